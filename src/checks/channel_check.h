#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "checks/calls.h"
#include "checks/held_judge.h"

namespace cw {

/// A check that holds one channel of a module or its compressors against the limits that its
/// section of the sheet has (HeldJudge::rules_of_sheet).
struct ChannelCheck {
  std::string id;
  std::string_view quantity;
  std::vector<std::string_view> inputs;  ///< what the channel is worked out from, for "No ... "
  Regime regime = Regime::running;
};
std::vector<Finding> judge_modules(const CheckContext& context, const ChannelCheck& check);

/// Judges something of every indoor unit while it calls and its first `settle` [s] are over.
/// `judge_unit` gets the unit and the mask of that time. Without indoor units one finding says so.
std::vector<Finding> judge_calling_units(
    const CheckContext& context, const std::string& id, Regime regime, double settle,
    const std::string& channels,
    const std::function<Finding(const Place&, const CallTrack&, std::vector<Mask>)>& judge_unit);

/// "steady cooling while the unit calls", or what is missing to know it.
std::string calling_text(const CheckContext& context, const CallTrack& calls, Regime regime);

}  // namespace cw
