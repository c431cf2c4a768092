#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "scenario/detail/table.h"
#include "scenario/scenario.h"

/// The parts of a scenario file, each read by a file of its own.
namespace cw::scenario::detail {

/// What every section may need to know.
struct Context {
  TimeBase base;
  CivilTime start_wall;  ///< wall clock at the start
  double duration_s = 0.0;
  double warm_up_s = 0.0;
  std::filesystem::path directory;
  std::vector<std::string> module_ids;
  std::vector<std::string> unit_ids;
};

WeatherCourse read_weather(const Table& top, const Context& context);
PlantRule read_plant(const Table& top);
Schedule read_schedule(const Table& top, const Context& context);
std::vector<FaultEvent> read_faults(const Table& top, const Context& context, const System& system);
std::vector<LoggerSheet> read_loggers(const Table& top, const Context& context,
                                      const System& system);

}  // namespace cw::scenario::detail
