#include <algorithm>
#include <cmath>

#include "checks/catalogue.h"
#include "checks/held_judge.h"
#include "checks/own_mode.h"
#include "checks/together.h"
#include "checks/uncertainty.h"
#include "fluid/saturation.h"

namespace cw::check {
namespace {

/// The pressure that all modules share: of the first module, or the system, that has it.
const Channel* shared_pressure(const CheckContext& context, const char* quantity) {
  for (const Place& module : modules_of(context)) {
    if (const Channel* c = context.recording.find_upward(module, quantity)) return c;
  }
  return nullptr;
}

/// Heating and cooling at once, of the whole system.
std::vector<Mask> mixed_masks(const CheckContext& context) {
  return indoor_coil_masks(context, Regime::mixed);
}

/// A box's liquid against one side's pressure: positive is how far it lies on the wrong side.
Finding outside(const CheckContext& context, const Place& box, const Channel* other, bool above) {
  const std::string id = "branch-pressure";
  const Channel* liquid = context.recording.find(box.text, "liquid_pressure");
  HeldJudge judge(context, id, box, other == nullptr ? nullptr : liquid, Side::above,
                  mixed_masks(context));
  const char* name = above ? "discharge pressure" : "suction pressure";
  judge.subject = liquid == nullptr  ? std::string("liquid pressure of the branch box")
                  : other == nullptr ? std::string(name)
                  : above ? std::string("liquid pressure of the box over the discharge pressure")
                          : std::string(
                                "liquid pressure of the box short of its least distance "
                                "over the suction pressure");
  const double least = above ? 0.0 : context.limits.value(id + ".least_over_low");
  judge.judge_value(above ? "branch_liquid_over_high" : "branch_liquid_short_over_low",
                    Dimension::pressure_difference,
                    uncertainty_of_difference(context, liquid, other),
                    [=, p = Follower(context.recording, other)](std::size_t i, double v) mutable {
                      const double over = v - static_cast<double>(p.at(i));
                      return above ? over : least - over;
                    });
  judge.rule(Verdict::watch, context.limits.value(id + ".outside_by"),
             context.limits.value(id + ".watch_hold"));
  judge.condition = "heating and cooling at once";
  judge.asks_for(box.text + ".liquid_pressure, discharge_pressure and suction_pressure");
  return judge.finish();
}

/// Boxes of the log; one finding in their place where there are none.
std::vector<Place> boxes_of(const CheckContext& context) {
  return context.recording.places(PlaceKind::branch);
}

Finding no_boxes(const std::string& id, const std::string& channels) {
  return unproven(id, whole_system(), "No branch box in the log.",
                  "Record " + channels + " of each branch box while the system heats and cools.");
}

Finding judge_unit(const CheckContext& context, const Place& unit, const OwnMode& own,
                   const char* pipe_name, OwnMode::Side side) {
  const std::string id = "mixed-units";
  const bool heats = side == OwnMode::Side::heats;
  const double settle = context.limits.value(id + ".settle");
  std::vector<Mask> masks = mixed_masks(context);
  for (std::size_t i = 0; i < masks.size(); ++i) {
    if (masks[i] != Mask::counts) continue;
    if (own.side[i] != side) {
      masks[i] = Mask::ends;
    } else if (own.since[i] < settle) {
      masks[i] = Mask::pauses;
    }
  }
  const Channel* pipe = context.recording.find(unit.text, pipe_name);
  HeldJudge judge(context, id, unit, own.source.empty() ? nullptr : pipe,
                  heats ? Side::below : Side::above, std::move(masks));
  judge.subject = own.source.empty() ? std::string("mode (or call and cooling_call) of the unit")
                                     : find_quantity(pipe_name)->label + " of a unit that " +
                                           (heats ? "heats" : "cools");
  const std::string key = id + (heats ? ".heats_" : ".cools_");
  const std::string end = heats ? "_below" : "_above";
  judge.rule(Verdict::fault, context.limits.value(key + "fault" + end),
             context.limits.value(id + ".fault_hold"));
  judge.rule(Verdict::watch, context.limits.value(key + "watch" + end),
             context.limits.value(id + ".watch_hold"));
  judge.condition =
      std::string("heating and cooling at once while the unit ") + (heats ? "heats" : "cools");
  judge.asks_for(unit.text +
                 ".mode (or call and cooling_call), gas_pipe_temperature and "
                 "liquid_pipe_temperature");
  return judge.finish();
}

}  // namespace

std::vector<Finding> branch_pressure(const CheckContext& context) {
  const Channel* high = shared_pressure(context, "discharge_pressure");
  const Channel* low = shared_pressure(context, "suction_pressure");
  std::vector<Finding> out;
  for (const Place& box : boxes_of(context)) {
    std::vector<Finding> sides = {outside(context, box, high, true),
                                  outside(context, box, low, false)};
    // One side alone does not make it ok.
    const bool found = std::max(sides[0].verdict, sides[1].verdict) > Verdict::unproven;
    const auto open = std::find_if(sides.begin(), sides.end(),
                                   [](const Finding& f) { return f.verdict == Verdict::unproven; });
    if (!found && open != sides.end()) {
      out.push_back(std::move(*open));
      continue;
    }
    out.push_back(worst_of(std::move(sides),
                           "The box's liquid stands between the high and the low pressure, far "
                           "enough over the low one to feed its units."));
  }
  if (out.empty()) out.push_back(no_boxes("branch-pressure", "liquid_pressure"));
  return out;
}

std::vector<Finding> branch_liquid(const CheckContext& context) {
  const std::string id = "branch-liquid";
  const Recording& recording = context.recording;
  const fluid::Refrigerant* refrigerant = context.refrigerant;
  std::vector<Finding> out;
  for (const Place& box : boxes_of(context)) {
    const Channel* liquid = recording.find(box.text, "liquid_temperature");
    const Channel* pressure = recording.find(box.text, "liquid_pressure");
    const bool whole = liquid != nullptr && pressure != nullptr && refrigerant != nullptr;
    HeldJudge judge(context, id, box, whole ? liquid : nullptr, Side::below, mixed_masks(context));
    judge.subject = liquid == nullptr     ? std::string("liquid temperature of the branch box")
                    : pressure == nullptr ? std::string("liquid pressure of the branch box")
                                          : std::string("subcooling of the liquid in the box");
    double guard = context.limits.value("accuracy.pipe_temperature");
    if (whole) {
      const double bubble = fluid::bubble_temperature_or_nan(*refrigerant, typical(*pressure));
      guard = std::hypot(guard, saturation_slope(context, bubble) *
                                    context.limits.value("accuracy.high_pressure"));
    }
    judge.judge_value("branch_subcooling", Dimension::temperature_difference, guard,
                      [=, p = Follower(recording, pressure)](std::size_t i, double t) mutable {
                        const auto now = static_cast<double>(p.at(i));
                        return fluid::bubble_temperature_or_nan(*refrigerant, now) - t;
                      });
    judge.rules_of_sheet();
    judge.condition = "heating and cooling at once";
    judge.asks_for(box.text + ".liquid_temperature and liquid_pressure");
    out.push_back(judge.finish());
  }
  if (out.empty()) out.push_back(no_boxes(id, "liquid_temperature and liquid_pressure"));
  return out;
}

std::vector<Finding> mixed_units(const CheckContext& context) {
  std::vector<Finding> out;
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    const OwnMode own = own_mode(context.recording, unit);
    const bool has_liquid = context.recording.find(unit.text, "liquid_pipe_temperature") != nullptr;
    out.push_back(
        worst_of({judge_unit(context, unit, own, "gas_pipe_temperature", OwnMode::Side::heats),
                  judge_unit(context, unit, own,
                             has_liquid ? "liquid_pipe_temperature" : "gas_pipe_temperature",
                             OwnMode::Side::cools)},
                 ""));
  }
  if (out.empty()) {
    out.push_back(unproven("mixed-units", whole_system(), "No indoor unit in the log.",
                           "Record mode (or call and cooling_call) and the pipe temperatures of "
                           "each indoor unit."));
  }
  return out;
}

}  // namespace cw::check
