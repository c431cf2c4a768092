#include <cmath>

#include "system/detail/pipe_draft.h"

namespace cw::detail {
namespace {

/// Does the sheet name sizes after EN 12735-1 only? Then those that it leaves open are such, too.
bool is_metric(const SystemParts& parts) {
  bool any = false;
  for (const Segment& segment : parts.segments) {
    for (const Line line : {Line::liquid, Line::gas, Line::third}) {
      const Tube* tube = segment.tube(line);
      if (tube == nullptr) continue;
      if (tube->standard != "EN 12735-1") return false;
      any = true;
    }
  }
  return any;
}

/// The EN size of the same diameter, where there is one (to 28.57 mm).
const Tube* metric_of(const Tube* inch) {
  constexpr double rounding_m = 0.06e-3;
  for (const Tube& tube : tube_table()) {
    const double difference = tube.outside_diameter_m - inch->outside_diameter_m;
    if (tube.standard == "EN 12735-1" && std::abs(difference) < rounding_m) return &tube;
  }
  return inch;
}

const Tube* size_or_default(const Tube* given, const std::string& by_capacity, bool metric,
                            Line line, Segment& segment, Notes& notes) {
  if (given != nullptr) return given;
  const Tube* tube = find_tube(by_capacity).value();
  if (metric) tube = metric_of(tube);
  segment.sizes_assumed = true;
  notes.assume({segment.id, std::string(name_of(line)), 0.0, Dimension::state, tube->name,
                "by the " + format_si(segment.cooling_behind_W, Dimension::power, UnitSystem::si) +
                    " of rated cooling that the pipe serves",
                "common practice, no source"});
  return tube;
}

/// A gas line thinner than its liquid line is a mistake; as thick as it is unusual.
void compare(const Segment& segment, const Tube& gas, std::string_view what, Notes& notes) {
  const double liquid = segment.liquid->outside_diameter_m;
  constexpr double rounding_m = 0.1e-3;
  if (gas.outside_diameter_m < liquid - rounding_m) {
    notes.fail_at_line(segment.line, ErrorCode::inconsistent,
                       segment.id + ": the " + std::string(what) + " line (" + gas.name +
                           ") is thinner than the liquid line (" + segment.liquid->name + ")",
                       "Are the two sizes swapped?");
  } else if (gas.outside_diameter_m < liquid + rounding_m && what == "gas") {
    notes.warn_at(notes.where(segment.line),
                  segment.id + ": gas and liquid line have the same size, " + gas.name,
                  "Check the sizes, and leave them if they are right");
  }
}

/// The temper of inch sizes that the sheet names by diameter alone.
void note_temper(const SystemParts& parts, Notes& notes) {
  for (const Segment& segment : parts.segments) {
    for (const Line line : {Line::liquid, Line::gas, Line::third}) {
      const Tube* tube = segment.tube(line);
      if (tube == nullptr || tube->temper != "annealed") continue;
      notes.assume({"pipes", "wall", 0.0, Dimension::state, "annealed (soft) tube",
                    "inch sizes up to 3/4 without \"drawn\"; a drawn tube's bore differs by up to "
                    "5 %",
                    "own choice"});
      return;
    }
  }
}

}  // namespace

void settle_sizes(SystemParts& parts, Notes& notes) {
  const std::vector<bool> before_branch = leads_to_branch(parts);
  const bool metric = is_metric(parts);
  for (Segment& segment : parts.segments) {
    const SizeRow& row = size_for(segment.cooling_behind_W);
    segment.liquid =
        size_or_default(segment.liquid, row.liquid, metric, Line::liquid, segment, notes);
    segment.gas = size_or_default(segment.gas, row.gas, metric, Line::gas, segment, notes);
    if (before_branch[segment.to]) {
      segment.third =
          size_or_default(segment.third, row.third, metric, Line::third, segment, notes);
      compare(segment, *segment.third, "third", notes);
    }
    compare(segment, *segment.gas, "gas", notes);
  }
  note_temper(parts, notes);
}

}  // namespace cw::detail
