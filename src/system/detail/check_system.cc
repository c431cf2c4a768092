#include "system/detail/check_system.h"

#include <array>

#include "base/text.h"
#include "system/piping.h"

namespace cw::detail {
namespace {

std::string shown(double si, Dimension dimension) {
  return format_si(si, dimension, UnitSystem::si);
}

void check_capacity(const System& system, Notes& notes) {
  double outdoor_W = 0.0;
  double indoor_W = 0.0;
  for (const OutdoorModule& module : system.outdoor()) outdoor_W += module.cooling_W;
  for (const IndoorUnit& unit : system.indoor()) indoor_W += unit.cooling_W;
  const double ratio = indoor_W / outdoor_W;
  const DefaultFigure& least = default_figure("check.connection_ratio_least");
  const DefaultFigure& most = default_figure("check.connection_ratio_most");
  if (ratio >= least.value && ratio <= most.value) return;
  notes.warn_at("system",
                "the indoor units have " + number_text(100.0 * ratio, 3) +
                    " % of the rated cooling of the outdoor modules",
                "Usual is " + number_text(100.0 * least.value) + " to " +
                    number_text(100.0 * most.value) + " %; is a unit missing or there twice?");
}

void check_lengths(const System& system, Notes& notes) {
  const PipeLengths lengths = pipe_lengths(system);
  const DefaultFigure& path = default_figure("check.longest_path");
  const DefaultFigure& total = default_figure("check.total_length");
  const DefaultFigure& lift = default_figure("check.highest_lift");
  const std::string rule = "; the equipment's documents rule";
  if (lengths.longest_path_m > path.value) {
    notes.warn_at(system.indoor()[lengths.longest_unit].id,
                  "the way to it is " + shown(lengths.longest_path_m, Dimension::length),
                  "Common machines allow " + path.text + rule);
  }
  if (lengths.total_m > total.value) {
    notes.warn_at("system", "all pipes together are " + shown(lengths.total_m, Dimension::length),
                  "Common machines allow " + total.text + rule);
  }
  for (const double height : {lengths.highest_lift_m, lengths.deepest_drop_m}) {
    if (height <= lift.value) continue;
    notes.warn_at("system",
                  "units and modules are " + shown(height, Dimension::length) + " apart in height",
                  "Common machines allow " + lift.text + rule);
  }
}

void check_gas_speeds(const System& system, Notes& notes) {
  const Kelvin evaporating{default_figure("outdoor.rated_evaporating").value};
  const Kelvin condensing{default_figure("outdoor.rated_condensing").value};
  const DefaultFigure& least = default_figure("check.gas_speed_least");
  const DefaultFigure& most = default_figure("check.gas_speed_most");
  for (const Segment& segment : system.segments()) {
    const Result<double> speed = rated_gas_speed(system, segment, evaporating, condensing);
    if (!speed) return;  // a refrigerant without states here has no speeds to check
    const bool slow = *speed < least.value;
    if (!slow && *speed <= most.value) continue;
    notes.warn_at(segment.line > 0 ? notes.where(segment.line) : segment.id,
                  segment.id + ": gas at rated cooling moves at " +
                      shown(*speed, Dimension::speed) + " in " + segment.gas->name,
                  std::string(slow ? "The line is wide for what it serves: oil may stay in it"
                                   : "The line is narrow for what it serves: its pressure drop "
                                     "costs capacity") +
                      " (usual is " + least.text + " to " + most.text + ")");
  }
}

}  // namespace

void check_system(const System& system, Notes& notes) {
  check_capacity(system, notes);
  check_lengths(system, notes);
  check_gas_speeds(system, notes);
}

}  // namespace cw::detail
