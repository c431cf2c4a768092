#include <algorithm>
#include <cmath>

#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"

namespace cw::check {
namespace {

/// Whether the compressor of a module works at its ceiling.
class Ceiling {
 public:
  Ceiling(const CheckContext& context, const Place& module)
      : within_(context.limits.value("condensing-target.ceiling_within")) {
    const Recording& recording = context.recording;
    for (const Channel& channel : recording.channels) {
      if (channel.quantity->name == "compressor_frequency" &&
          channel.place.module() == module.text) {
        frequencies_.emplace_back(recording, &channel);
        highest_ = std::max(highest_, inferred_ceiling(channel));
      }
    }
    load_ = recording.find(module.text, "compressor_load");
    limit_ = recording.find_upward(module, "compressor_frequency_limit");
    load_follower_ = Follower(recording, load_);
    limit_follower_ = Follower(recording, limit_);
  }

  /// At index i; indices must not decrease within one pass.
  bool at(std::size_t i) {
    const float load = load_follower_.at(i);
    if (load >= static_cast<float>(1.0 - within_)) return true;
    float fastest = missing;
    for (Follower& frequency : frequencies_) {
      const float f = frequency.at(i);
      if (!is_missing(f) && !(fastest >= f)) fastest = f;
    }
    const float stated = limit_follower_.at(i);
    const double ceiling = is_missing(stated) ? highest_ : static_cast<double>(stated);
    return ceiling > 0.0 && static_cast<double>(fastest) >= ceiling * (1.0 - within_);
  }

  std::string text() const {
    if (limit_ != nullptr || load_ != nullptr) return " with the compressor at its ceiling";
    return " with the compressor at the highest frequency that the log shows (taken as its "
           "ceiling)";
  }

 private:
  /// The highest frequency of the log stands for the ceiling only when the log shows the compressor
  /// at clearly lower speeds too; a constant frequency says nothing.
  static double inferred_ceiling(const Channel& channel) {
    std::vector<float> running;
    for (const float f : channel.values) {
      if (f > 1.0F) running.push_back(f);
    }
    if (running.size() < 20) return 0.0;
    const auto low = running.begin() + static_cast<std::ptrdiff_t>(running.size() / 4);
    std::nth_element(running.begin(), low, running.end());
    const float lower_quartile = *low;
    const float highest = *std::max_element(running.begin(), running.end());
    return highest >= 1.15F * lower_quartile ? static_cast<double>(highest) : 0.0;
  }

  double within_;
  double highest_ = 0.0;
  std::vector<Follower> frequencies_;
  const Channel* load_ = nullptr;
  const Channel* limit_ = nullptr;
  Follower load_follower_{empty_, nullptr};
  Follower limit_follower_{empty_, nullptr};
  static inline const Recording empty_{};
};

/// [n_time] evaluated once, since rules walk the axis several times.
std::vector<bool> ceiling_track(const CheckContext& context, const Place& module,
                                std::string& text) {
  Ceiling ceiling(context, module);
  text = ceiling.text();
  std::vector<bool> out(context.recording.size());
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = ceiling.at(i);
  return out;
}

/// The target at each index: the sheet's, or the machine's own where the log has it and nobody has
/// overridden the sheet. [n_time]
std::vector<double> target_track(const CheckContext& context, const Place& module) {
  const Limit& stated = context.limits.limit("condensing-target.target");
  std::vector<double> out(context.recording.size(), stated.value);
  const Channel* logged = context.recording.find_upward(module, "condensing_target");
  if (logged == nullptr || stated.overridden) return out;
  Follower target(context.recording, logged);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const float t = target.at(i);
    if (!is_missing(t)) out[i] = static_cast<double>(t);
  }
  return out;
}

}  // namespace

std::vector<Finding> condensing_target(const CheckContext& context) {
  const LimitSheet& limits = context.limits;
  const std::vector<bool> called = anyone_calls(context);
  const double below_by = limits.value("condensing-target.watch_below_by");
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    const Timeline& timeline = context.phases.timeline_of(module);
    const std::vector<double> target = target_track(context, module);
    std::string ceiling_text;
    const std::vector<bool> at_ceiling = ceiling_track(context, module, ceiling_text);
    const Channel* sct = context.recording.find_upward(module, "saturated_condensing_temperature");
    HeldJudge judge(context, "condensing-target", module, sct, Side::below, [&](std::size_t i) {
      const Mask mask = heating_mask(timeline.kind_at[i]);
      return mask == Mask::counts && !called[i] ? Mask::ends : mask;
    });
    const auto lower_edge = [&](std::size_t i) { return target[i] - below_by; };
    judge.subject = sct == nullptr ? "discharge pressure" : "saturated condensing temperature";
    judge.rule(Verdict::fault, lower_edge, limits.value("condensing-target.fault_hold"));
    judge.rule(
        Verdict::fault, lower_edge, limits.value("condensing-target.fault_hold_at_ceiling"),
        [&](std::size_t i) { return at_ceiling[i]; }, ceiling_text);
    judge.rule(Verdict::watch, lower_edge, limits.value("condensing-target.watch_hold"));
    judge.least_total = limits.value("observation.least");
    judge.least_run = limits.value("condensing-target.watch_hold");
    judge.condition = "steady heating while units call";
    judge.proof = "Record " + module.text + ".discharge_pressure through at least " +
                  format_duration(judge.least_total) +
                  " of steady heating with indoor units calling.";
    out.push_back(judge.finish());
  }
  return out;
}

}  // namespace cw::check
