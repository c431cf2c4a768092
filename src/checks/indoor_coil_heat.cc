#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"

namespace cw::check {
namespace {

/// Steady heating while the unit calls and its preheat is over. [n_time]
std::vector<Mask> coil_masks(const CheckContext& context, const CallTrack& calls, double preheat) {
  std::vector<Mask> out = indoor_coil_masks(context);
  for (std::size_t i = 0; i < out.size(); ++i) {
    if (out[i] == Mask::ends) continue;
    if (calls.state[i] != CallTrack::State::yes) {
      out[i] = Mask::ends;
    } else if (calls.began[i] &&
               seconds_between(calls.since[i], context.recording.time[i]) < preheat) {
      out[i] = Mask::pauses;
    }
  }
  return out;
}

}  // namespace

std::vector<Finding> indoor_coil_heat(const CheckContext& context) {
  const LimitSheet& limits = context.limits;
  const double preheat = limits.value("indoor-coil-heat.preheat");
  std::vector<Finding> out;
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    const CallTrack calls = track_calls(context, unit);
    HeldJudge judge(context, "indoor-coil-heat", unit,
                    context.recording.find(unit.text, "gas_pipe_temperature"), Side::below,
                    coil_masks(context, calls, preheat));
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
