#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"

namespace cw::check {
namespace {

/// How far the evaporating temperature is outside its target: above 0 too warm, below 0 too cold;
/// 0 inside the band. Without a logged target the band is the sheet's.
class TargetBand {
 public:
  TargetBand(const CheckContext& context, const Place& module)
      : target_(context.recording, context.recording.find_upward(module, "evaporating_target")),
        low_(context.limits.value("evaporating-target.target_low")),
        high_(context.limits.value("evaporating-target.target_high")) {}

  double off(std::size_t i, double t) {
    const float target = target_.at(i);
    const double low = is_missing(target) ? low_ : static_cast<double>(target);
    const double high = is_missing(target) ? high_ : static_cast<double>(target);
    return t > high ? t - high : t < low ? t - low : 0.0;
  }
  std::string text() const {
    return target_ ? "distance of the evaporating temperature from its target"
                   : "distance of the evaporating temperature from its usual band";
  }

 private:
  Follower target_;
  double low_;
  double high_;
};

}  // namespace

std::vector<Finding> evaporating_target(const CheckContext& context) {
  const std::string id = "evaporating-target";
  const LimitSheet& limits = context.limits;
  const std::vector<bool> called = anyone_calls(context);
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    const Channel* set = context.recording.find_upward(module, "saturated_evaporating_temperature");
    std::vector<Mask> masks = network_masks(context, module, Regime::cooling);
    for (std::size_t i = 0; i < masks.size(); ++i) {
      if (masks[i] == Mask::counts && !called[i]) masks[i] = Mask::ends;
    }
    TargetBand band(context, module);
    HeldJudge judge(context, id, module, set, Side::above, std::move(masks));
    judge.subject = set == nullptr ? "suction pressure" : band.text();
    judge.judge_value("evaporating_off_target", Dimension::temperature_difference, judge.guard,
                      [band](std::size_t i, double t) mutable { return band.off(i, t); });
    for (const auto& [verdict, by, hold] : {std::tuple{Verdict::fault, "fault_by", "fault_hold"},
                                            std::tuple{Verdict::watch, "watch_by", "watch_hold"}}) {
      const double limit = limits.value(id + "." + by);
      judge.rule(verdict, Side::above, limit, limits.value(id + "." + hold));
      judge.rule(verdict, Side::below, -limit, limits.value(id + "." + hold));
    }
    judge.condition = steady_text(context, module, Regime::cooling) +
                      (calls_are_logged(context) ? " while units call" : "");
    judge.asks_for(module.text + ".suction_pressure");
    out.push_back(judge.finish());
  }
  return out;
}

}  // namespace cw::check
