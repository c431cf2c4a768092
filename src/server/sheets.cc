#include "server/sheets.h"

#include "report/sheet_report.h"
#include "scenario/examples.h"
#include "server/answers.h"

namespace cw::server {

std::optional<std::string> example_sheet(const std::string& id) {
  for (const EmbeddedFile& file : scenario::example_systems()) {
    if (file.name == "systems/" + id + ".toml") return std::string(file.text);
  }
  return std::nullopt;
}

Status check_names_no_file(const System& system) {
  for (const OutdoorModule& module : system.outdoor()) {
    if (module.compressor_map.empty()) continue;
    return Error{ErrorCode::unsupported,
                 "a sheet with a compressor's map is not run in the workbench",
                 module.id + ", compressor.map", "Use the command line, or take the key out"};
  }
  return Done{};
}

Result<System> system_of(const std::string& toml) {
  Result<System> system = parse_system(toml, "sheet");
  if (!system) return system;
  if (Status s = check_names_no_file(*system); !s) return s.error();
  return system;
}

Response sheet_refusal(const SheetReading& reading) {
  std::string out = "{\"error\":" + error_json(reading.errors.front()) + ",\"errors\":[";
  for (std::size_t i = 0; i < reading.errors.size(); ++i) {
    out += (i > 0 ? "," : "") + error_json(reading.errors[i]);
  }
  return json_response(out + "],\"more_errors\":" + std::to_string(reading.more_errors) + "}\n",
                       422);
}

Response sheet_response(const std::string& toml, UnitSystem units) {
  const SheetReading reading = read_sheet_text(toml, "sheet");
  if (!reading.system) return sheet_refusal(reading);
  if (Status s = check_names_no_file(*reading.system); !s) return error_response(422, s.error());
  const SheetReport report{*reading.system, units};
  return json_response("{\"toml\":" + json_text(toml) + ",\"sheet\":" + sheet_json(report) +
                       ",\"svg\":" + json_text(sheet_svg(report)) + "}\n");
}

Response take_sheet(const Call& call, const std::function<Status(const std::string&)>& keep) {
  const Result<UnitSystem> units = call.units();
  if (!units) return error_response(400, units.error());
  Response out = sheet_response(call.request.body, *units);
  if (out.status != 200) return out;
  const Status done = keep(call.request.body);
  return done ? std::move(out) : error_response(done.error());
}

}  // namespace cw::server
