#include "checks/readings_file.h"

#include "base/toml_file.h"

namespace cw {

Result<ReadingsFile> parse_readings_file(std::string_view text, std::string_view name,
                                         double barometer) {
  const Result<toml::table> table = parse_toml(text, name);
  if (!table) return table.error();
  if (Status s = refuse_unknown_keys(*table, {"refrigerant", "mode", "readings"}, name); !s) {
    return s.error();
  }
  ReadingsFile out;
  out.refrigerant = (*table)["refrigerant"].value_or(std::string{});
  out.mode = (*table)["mode"].value_or(std::string{});
  const toml::table* readings = (*table)["readings"].as_table();
  if (readings == nullptr) {
    return Error{ErrorCode::parse, "there is no [readings] table", std::string(name),
                 "Write [readings] and below it \"outdoor.1.discharge_pressure\" = \"418 psig\""};
  }
  for (const auto& [key, node] : *readings) {
    const Result<Reading> reading =
        read_reading(key.str(), node.value_or(std::string{}), barometer);
    if (!reading) {
      Error error = reading.error();
      error.where = place_of(node, name) + ", " + error.where;
      return error;
    }
    out.readings.push_back(*reading);
  }
  return out;
}

}  // namespace cw
