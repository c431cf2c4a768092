#include <cmath>

#include "checks/catalogue.h"
#include "checks/channel_check.h"
#include "checks/uncertainty.h"

namespace cw::check {

std::vector<Finding> valve_leak(const CheckContext& context) {
  const std::string id = "valve-leak";
  const Recording& recording = context.recording;
  const double settle = context.limits.value(id + ".settle");
  const std::vector<Mask> steady = indoor_coil_masks(context, Regime::cooling);
  std::vector<Finding> out;
  for (const Place& unit : recording.places(PlaceKind::indoor)) {
    const CallTrack calls = track_calls(context, unit);
    std::vector<Mask> masks = steady;
    std::size_t since = 0;  // first sample of the present rest
    for (std::size_t i = 0; i < masks.size(); ++i) {
      if (calls.state[i] != CallTrack::State::no) {
        since = i + 1;
        masks[i] = Mask::ends;
      } else if (seconds_between(recording.time[since], recording.time[i]) < settle) {
        masks[i] = Mask::ends;
      }
    }
    const Channel* pipe = recording.find(unit.text, "liquid_pipe_temperature");
    const Channel* room = controlled_temperature_of(recording, unit);
    HeldJudge judge(context, id, unit, room == nullptr ? nullptr : pipe, Side::above,
                    std::move(masks));
    judge.subject = pipe == nullptr   ? "liquid-side pipe temperature"
                    : room == nullptr ? "controlled temperature"
                                      : "the stopped unit's liquid-side pipe under its room";
    judge.judge_value("stopped_pipe_under_room", Dimension::temperature_difference,
                      uncertainty_of_difference(context, pipe, room),
                      [air = Follower(recording, room)](std::size_t i, double t) mutable {
                        return static_cast<double>(air.at(i)) - t;
                      });
    judge.rules_of_sheet();
    judge.condition = "steady cooling while the unit does not call";
    judge.asks_for(unit.text + ".liquid_pipe_temperature, controlled_temperature and call");
    out.push_back(judge.finish());
  }
  if (out.empty()) {
    out.push_back(unproven(id, whole_system(), "No indoor unit in the log.",
                           "Record liquid_pipe_temperature, controlled_temperature and call of "
                           "each indoor unit."));
  }
  return out;
}

}  // namespace cw::check
