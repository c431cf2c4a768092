#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"

namespace cw::check {
std::vector<Finding> indoor_coil_heat(const CheckContext& context) {
  const LimitSheet& limits = context.limits;
  const double preheat = limits.value("indoor-coil-heat.preheat");
  const std::vector<Mask> steady = indoor_coil_masks(context);
  std::vector<Finding> out;
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    const CallTrack calls = track_calls(context, unit);
    std::vector<Mask> masks = steady;
    keep_calling(context, calls, preheat, masks);
    HeldJudge judge(context, "indoor-coil-heat", unit,
                    context.recording.find(unit.text, "gas_pipe_temperature"), Side::below,
                    std::move(masks));
    judge.subject = "gas-side pipe temperature";
    judge.rule(Verdict::fault, limits.value("indoor-coil-heat.fault_below"),
               limits.value("indoor-coil-heat.fault_hold"));
    judge.rule(Verdict::watch, limits.value("indoor-coil-heat.watch_below"),
               limits.value("indoor-coil-heat.watch_hold"));
    judge.least_total = limits.value("observation.least");
    judge.least_run = limits.value("indoor-coil-heat.watch_hold");
    judge.condition = calls.source.empty()
                          ? "whether the unit calls"
                          : "steady heating while the unit calls, after its preheat";
    judge.proof = "Record " + unit.text + ".gas_pipe_temperature with " + unit.text +
                  ".call (or controlled_temperature and set_point) through a call of at least " +
                  format_duration(judge.least_run + preheat) + " in steady heating.";
    out.push_back(judge.finish());
  }
  if (out.empty()) {
    out.push_back(
        unproven("indoor-coil-heat", *parse_place("system"), "No indoor unit in the log.",
                 "Record gas_pipe_temperature, call, controlled_temperature and set_point "
                 "of each indoor unit."));
  }
  return out;
}

}  // namespace cw::check
