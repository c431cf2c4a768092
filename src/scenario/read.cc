#include "scenario/read.h"

#include <cmath>
#include <limits>

#include "base/file.h"
#include "base/zone.h"
#include "embedded/demo_systems.h"
#include "scenario/detail/sections.h"
#include "system/sheet.h"

namespace cw::scenario {
namespace {

using detail::Context;
using detail::Mistakes;
using detail::Table;

constexpr std::size_t longest_file = 4U << 20U;  // bytes

/// A sheet of this name that the program carries in itself; null when there is none.
const EmbeddedFile* embedded_sheet(const std::string& name) {
  for (const EmbeddedFile& file : embedded::demo_systems()) {
    if (file.name == "systems/" + name + ".toml") return &file;
  }
  return nullptr;
}

std::optional<System> read_system_of(const Table& top, const std::filesystem::path& directory) {
  const auto name = top.text("system");
  if (!name) {
    if (!top.has("system")) {
      top.fail("system", "system is missing",
               "Name the system sheet: system = \"office.toml\", or \"demo_office\"",
               ErrorCode::parse);
    }
    return std::nullopt;
  }
  const EmbeddedFile* embedded = embedded_sheet(*name);
  if (embedded == nullptr && !name->ends_with(".toml")) {
    top.fail("system", "\"" + *name + "\" is no system sheet",
             "Name a file that ends in .toml, or demo_office, heat_recovery or minimal",
             ErrorCode::not_found);
    return std::nullopt;
  }
  SheetReading reading = embedded != nullptr ? read_sheet_text(embedded->text, embedded->name)
                                             : read_sheet(directory / *name);
  for (const Error& error : reading.errors) top.mistakes().add_foreign(top.at("system"), error);
  return std::move(reading.system);
}

/// The clock: the offset of `start`, else zone, else the site's zone, else unstated.
void read_start(const Table& top, const std::string& site_zone, Context& context) {
  context.base.clock = {};
  const std::string zone = top.text("zone").value_or(site_zone);
  if (!zone.empty()) {
    if (zone_offset_minutes(zone, Instant{})) {
      context.base.clock = {Clock::Kind::zone, 0, zone};
    } else {
      top.fail("zone", "time zone \"" + zone + "\" is not known",
               "Use an IANA name such as \"America/Chicago\"", ErrorCode::not_found);
    }
  }
  const toml::node* node = top.toml().get("start");
  const auto date = node == nullptr ? std::nullopt : node->value_exact<toml::date_time>();
  if (!date || date->date.year < 1980 || date->date.year > 2100) {
    top.fail("start", node == nullptr ? "start is missing" : "start must be a date and time",
             "Write start = 2026-01-20T05:00:00, without quotes, from 1980 to 2100",
             ErrorCode::parse);
    return;
  }
  if (date->offset) context.base.clock = {Clock::Kind::offset, date->offset->minutes, {}};
  context.start_wall = detail::civil_of_toml(*date);
  const Result<Instant> start = detail::instant_of_wall(context.start_wall, context.base.clock);
  if (start) {
    context.base.start = *start;
  } else {
    top.fail("start", "start: " + start.error().message, start.error().fix);
  }
}

void read_lengths(const Table& top, Context& context) {
  if (!top.has("duration")) {
    top.fail("duration", "duration is missing", "Write duration = \"24 h\"", ErrorCode::parse);
  }
  context.duration_s = top.quantity_or("duration", Dimension::time, 60.0, longest_s, 3600.0);
  context.warm_up_s = top.quantity_or("warm_up", Dimension::time, 0.0, longest_warm_up_s, 0.0);
}

std::optional<Scenario> read_parts(const Table& top, const std::filesystem::path& directory) {
  Context context;
  context.directory = directory;
  std::optional<System> system = read_system_of(top, directory);
  read_start(top, system ? system->site().zone : "", context);
  read_lengths(top, context);
  // Without the system no place can be understood: the rest would be noise.
  if (!system) return std::nullopt;
  for (const OutdoorModule& module : system->outdoor()) context.module_ids.push_back(module.id);
  for (const IndoorUnit& unit : system->indoor()) context.unit_ids.push_back(unit.id);

  Scenario out{top.mistakes().file(),
               top.text("name").value_or("unnamed scenario"),
               top.text("note").value_or(""),
               top.text("system").value_or(""),
               *system,
               context.base.clock,
               context.base.start,
               context.duration_s,
               context.warm_up_s,
               293.15,
               system->charge().total_kg(),
               1,
               detail::read_weather(top, context),
               detail::read_plant(top),
               detail::read_schedule(top, context),
               detail::read_faults(top, context, *system),
               detail::read_loggers(top, context, *system)};
  out.rooms_K = top.quantity_or("rooms", Dimension::temperature, from_celsius(0.0).value,
                                from_celsius(40.0).value, out.rooms_K);
  out.charge_kg = top.quantity_or("charge", Dimension::mass, 0.1, 1000.0, out.charge_kg);
  out.seed = static_cast<std::uint64_t>(
      top.whole("seed", 0, std::numeric_limits<std::int64_t>::max()).value_or(1));
  double at_start = out.charge_kg;
  for (const FaultEvent& fault : out.faults) {
    if (!std::isfinite(fault.from_s)) at_start += fault.kind->charge_sign * fault.severity;
  }
  if (at_start <= 0.0) {
    top.fail("charge", "more refrigerant is missing than the system holds",
             "The charge is " + format_si(out.charge_kg, Dimension::mass, UnitSystem::si),
             ErrorCode::inconsistent);
  }
  return out;
}

ScenarioReading give(const Mistakes& mistakes, std::optional<Scenario> scenario) {
  ScenarioReading out;
  out.errors = mistakes.sorted();
  if (out.errors.size() > most_errors) {
    out.more_errors = out.errors.size() - most_errors;
    out.errors.resize(most_errors);
  }
  if (!mistakes.any()) out.scenario = std::move(scenario);
  return out;
}

}  // namespace

ScenarioReading read_scenario_text(std::string_view text, std::string_view name,
                                   const std::filesystem::path& directory) {
  if (text.size() > longest_file) {
    return {std::nullopt,
            {{ErrorCode::unreadable, "is too long for a scenario", std::string(name),
              "Name a scenario file (TOML)"}},
            0};
  }
  const Result<toml::table> root = parse_toml(text, name);
  if (!root) return {std::nullopt, {root.error()}, 0};
  Mistakes mistakes(name);
  const Table top(*root, "scenario",
                  {"name", "note", "system", "start", "zone", "duration", "warm_up", "rooms",
                   "charge", "seed", "weather", "plant", "schedule", "fault", "logger"},
                  mistakes);
  std::optional<Scenario> scenario = read_parts(top, directory);
  return give(mistakes, std::move(scenario));
}

ScenarioReading read_scenario(const std::filesystem::path& path) {
  const Result<std::string> text = read_file(path);
  if (!text) return {std::nullopt, {text.error()}, 0};
  return read_scenario_text(*text, path.string(), path.parent_path());
}

}  // namespace cw::scenario
