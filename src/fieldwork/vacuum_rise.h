#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

/// Reading a vacuum rise: valve closed, pump off, pressure against time.
namespace cw::field {

struct RisePoint {
  double seconds = 0.0;
  double pressure = 0.0;  ///< absolute [Pa]
};

/// What a rise looks like.
enum class RiseShape {
  flat,        ///< nothing beyond the scatter
  leak,        ///< keeps rising in a line
  levelling,   ///< goes to a plateau: water or refrigerant coming out
  outgassing,  ///< rises ever more slowly without a plateau: oil, plastics
  undecided,   ///< levels, but plateau and outgassing cannot be told apart
  rising,      ///< rises, but a line and a curve cannot be told apart
  leak_and_levelling,
  too_few,  ///< fewer than 4 readings: a line and a curve look the same
};

/// p(t) = p0 + q t + D s(t): q the leak, s(t) = 1 - exp(-t/tau) for what levels off or ln(1 + t/t0)
/// for outgassing, q and D not negative.
///
/// Intervals are 95 %, by the profile of the sum of squares over all time constants from a sixtieth
/// of the test's length to its whole length and over both shapes. A source slower than the test
/// looks like a leak: no reading can tell them apart, and the interval does not.
struct RiseFit {
  RiseShape shape = RiseShape::too_few;
  double start = 0.0;                                     ///< p0 [Pa]
  double leak = 0.0, leak_low = 0.0, leak_high = 0.0;     ///< q [Pa/s]
  double level = 0.0, level_low = 0.0, level_high = 0.0;  ///< D of the plateau [Pa]
  double plateau = 0.0;                                   ///< p0 + D, without the leak [Pa]
  double tau = 0.0;      ///< time constant of the levelling [s]; nan when nothing levels
  double scatter = 0.0;  ///< standard uncertainty of one reading that the fit used [Pa]
  double misfit = 0.0;   ///< root mean square of the residuals [Pa]
  double seconds = 0.0;  ///< length of the test
};

/// @param u  standard uncertainty of one reading [Pa]; raised to what the residuals show
/// @error inconsistent  fewer than 3 readings, times that do not rise
Result<RiseFit> fit_rise(const std::vector<RisePoint>& points, double u);

/// Reads "0min:500um,10min:700um,20min:900um". A pressure without gauge or absolute counts from
/// zero, as vacuum gauges do.
/// @error parse, unit with the part that is wrong
Result<std::vector<RisePoint>> read_rise(std::string_view text, std::string_view where);

/// A CSV log with a head such as `time [min],pressure [micron]`; bad rows are counted.
Result<std::vector<RisePoint>> read_rise_log(std::string_view text, std::string_view name,
                                             std::size_t& rejected);

}  // namespace cw::field
