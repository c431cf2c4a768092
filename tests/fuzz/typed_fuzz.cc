// libFuzzer target of the texts that people write: whatever stands in them, each reader gives a
// result or an error that says what is wrong, and what is made of a good one holds together. The
// first byte says which reader has the rest.
#include <cmath>
#include <cstdint>
#include <string_view>

#include "base/contract.h"
#include "base/units.h"
#include "checks/limit_sheet.h"
#include "checks/readings_file.h"
#include "fieldwork/leak_register.h"
#include "fieldwork/tightness_log.h"
#include "fieldwork/vacuum_rise.h"
#include "fluid/refrigerant.h"
#include "scenario/weather.h"
#include "system/piping.h"
#include "system/sheet.h"
#include "twin/compressor.h"
#include "twin/compressor_map_file.h"
#include "twin/working_point.h"

namespace {

void require_words(const cw::Error& error) { CW_REQUIRE(!error.message.empty()); }
void require_finite(double value) { CW_REQUIRE(std::isfinite(value)); }

/// A sheet, its sums, and one steady state of its twin. A machine of many units would make one
/// input take seconds: of those the model alone is made.
void system_sheet(std::string_view text) {
  const cw::SheetReading reading = cw::read_sheet_text(text, "system.toml");
  for (const cw::Error& error : reading.errors) require_words(error);
  if (!reading.system) {
    CW_REQUIRE(!reading.errors.empty());
    return;
  }
  const cw::System& system = *reading.system;
  const auto liquid = cw::liquid_mass(system, cw::Kelvin{310.0});
  if (!liquid) require_words(liquid.error());
  const auto parameters = cw::twin::parameters_of(system);
  if (!parameters) return require_words(parameters.error());
  const auto model = cw::twin::make_model(system, *parameters);
  if (!model) return require_words(model.error());
  constexpr std::size_t most_modules = 2;
  constexpr std::size_t most_units = 4;
  if (system.outdoor().size() > most_modules || system.indoor().size() > most_units) return;
  cw::twin::Ask ask;
  ask.weather.temperature_K = 280.15;
  const auto point = cw::twin::working_point(*model, ask);
  if (!point) return require_words(point.error());
  require_finite(point->charge_kg);
  require_finite(point->subcooling_K);
  for (const auto& module : point->readings.modules) {
    require_finite(module.discharge_pressure);
    require_finite(module.suction_pressure);
    require_finite(module.power);
  }
}

void limit_sheet(std::string_view text) {
  const auto sheet = cw::LimitSheet::parse(text, "limits.toml", "/nonexistent");
  if (!sheet) return require_words(sheet.error());
  for (const cw::Limit& limit : sheet->all()) require_finite(limit.value);
}

void weather_file(std::string_view text) {
  const auto year = cw::scenario::parse_weather_year(text, "weather.csv");
  if (!year) return require_words(year.error());
  CW_REQUIRE(year->temperature_K.size() == year->relative_humidity.size());
}

void leak_register(std::string_view text) {
  const auto entries = cw::field::parse_register(text, "register.csv");
  if (!entries) require_words(entries.error());
}

void pressure_log(std::string_view text) {
  const auto log = cw::field::read_pressure_log(text, "log.csv", cw::standard_atmosphere);
  if (!log) return require_words(log.error());
  const auto fit = cw::field::fit_tightness_log(log->samples, 100.0);
  if (!fit) require_words(fit.error());
}

void rise_log(std::string_view text) {
  std::size_t rejected = 0;
  auto points = cw::field::read_rise_log(text, "rise.csv", rejected);
  if (!points) points = cw::field::read_rise(text, "--rise");
  if (!points) return require_words(points.error());
  // The fit goes through all time constants: long logs would be slow with sanitizers.
  if (points->size() > 60) return;
  const auto fit = cw::field::fit_rise(*points, 1.0);
  if (!fit) require_words(fit.error());
}

void compressor_map(std::string_view text) {
  const auto map = cw::twin::parse_compressor_map(text, "map.toml");
  if (!map) return require_words(map.error());
  const auto refrigerant = cw::fluid::find_refrigerant("R-410A");
  const auto compressor = cw::twin::make_map_compressor(**refrigerant, *map);
  if (!compressor) require_words(compressor.error());
}

void readings_file(std::string_view text) {
  const auto file = cw::parse_readings_file(text, "readings.toml", cw::standard_atmosphere);
  if (!file) return require_words(file.error());
  cw::JudgeOptions options;
  if (!file->refrigerant.empty()) options.refrigerant = file->refrigerant;
  options.stated_mode = file->mode == "cooling" ? cw::PhaseKind::cooling : cw::PhaseKind::heating;
  const auto judgement = cw::judge_readings(file->readings, options);
  if (!judgement) require_words(judgement.error());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using Reader = void (*)(std::string_view);
  // In this order they are named in tests/fuzz/README.md and in the seeds' first byte: 'a' first.
  constexpr Reader readers[] = {system_sheet, limit_sheet, weather_file,   leak_register,
                                pressure_log, rise_log,    compressor_map, readings_file};
  if (size == 0) return 0;
  const std::string_view text(reinterpret_cast<const char*>(data) + 1, size - 1);
  readers[(data[0] + 256U - 'a') % std::size(readers)](text);
  return 0;
}
