#pragma once

#include <filesystem>
#include <optional>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "scenario/scenario.h"

/// Reading a scenario (TOML; every key is in docs/user/simulate.md).
namespace cw::scenario {

/// Most errors that one reading reports; the rest are counted.
inline constexpr std::size_t most_errors = 20;
/// Longest recording, and longest warm-up [s]: a year and a week.
inline constexpr double longest_s = 366.0 * 86400.0;
inline constexpr double longest_warm_up_s = 7.0 * 86400.0;

/// A scenario, or what is wrong with it. Each error names file:line, what is wrong and how to mend
/// it; those of its system sheet and weather file name these.
struct ScenarioReading {
  std::optional<Scenario> scenario;
  std::vector<Error> errors;  ///< in the order of the file
  std::size_t more_errors = 0;
};

/// @param directory  that relative paths in the scenario start from
/// Never throws, whatever the text. Thread-safe.
ScenarioReading read_scenario_text(std::string_view text, std::string_view name,
                                   const std::filesystem::path& directory);
ScenarioReading read_scenario(const std::filesystem::path& path);

}  // namespace cw::scenario
