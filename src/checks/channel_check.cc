#include "checks/channel_check.h"

namespace cw {

std::vector<Finding> judge_modules(const CheckContext& context, const ChannelCheck& check) {
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    for (const Place& place : judged_places(context.recording, module, check.quantity)) {
      const Channel* channel = context.recording.find_upward(place, check.quantity);
      HeldJudge judge(context, check.id, place, channel, Side::above,
                      compressor_masks(context, place, check.regime));
      if (channel == nullptr) judge.subject = missing_input(context.recording, place, check.inputs);
      judge.rules_of_sheet();
      judge.condition = steady_text(context, place, check.regime);
      std::string channels;
      for (const std::string_view input : check.inputs) {
        channels += (channels.empty() ? place.text + "." : " and ") + std::string(input);
      }
      judge.asks_for(channels);
      out.push_back(judge.finish());
    }
  }
  return out;
}

std::vector<Finding> judge_calling_units(
    const CheckContext& context, const std::string& id, Regime regime, double settle,
    const std::string& channels,
    const std::function<Finding(const Place&, const CallTrack&, std::vector<Mask>)>& judge_unit) {
  const std::vector<Mask> steady = indoor_coil_masks(context, regime);
  std::vector<Finding> out;
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    const CallTrack calls = track_calls(context, unit);
    std::vector<Mask> masks = steady;
    keep_calling(context, calls, settle, masks);
    out.push_back(judge_unit(unit, calls, std::move(masks)));
  }
  if (out.empty()) {
    out.push_back(unproven(id, whole_system(), "No indoor unit in the log.",
                           "Record " + channels + " of each indoor unit."));
  }
  return out;
}

std::string calling_text(const CheckContext& context, const CallTrack& calls, Regime regime) {
  if (calls.source.empty()) return "whether the unit calls";
  return steady_text(context, context.phases.system.place, regime) + " while the unit calls";
}

}  // namespace cw
