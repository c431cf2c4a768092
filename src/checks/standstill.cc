#include <algorithm>
#include <cmath>

#include "checks/catalogue.h"
#include "checks/held_judge.h"
#include "checks/together.h"
#include "checks/uncertainty.h"
#include "fluid/saturation.h"

namespace cw::check {
namespace {

/// The coldest and the warmest part of the system that the log shows.
class Surroundings {
 public:
  explicit Surroundings(const CheckContext& context) {
    const Recording& recording = context.recording;
    const auto add = [&](const Channel* channel) {
      if (channel == nullptr) return;
      parts_.emplace_back(recording, channel);
      uncertainty_ = std::max(uncertainty_, uncertainty_of(context, *channel));
    };
    for (const Place& module : modules_of(context)) {
      add(outdoor_temperature_of(recording, module));
      add(recording.find(module.text, "coil_temperature"));
    }
    for (const Place& unit : recording.places(PlaceKind::indoor)) {
      add(controlled_temperature_of(recording, unit));
    }
  }

  bool empty() const { return parts_.empty(); }
  double uncertainty() const { return uncertainty_; }

  /// How far t lies above the warmest (positive) or below the coldest part (negative); nan where
  /// nothing is known.
  double outside(std::size_t i, double t) {
    float low = missing;
    float high = missing;
    for (Follower& part : parts_) {
      const float v = part.at(i);
      if (is_missing(v)) continue;
      if (!(low <= v)) low = v;
      if (!(high >= v)) high = v;
    }
    if (is_missing(low)) return std::nan("");
    return t > static_cast<double>(high)  ? t - static_cast<double>(high)
           : t < static_cast<double>(low) ? t - static_cast<double>(low)
                                          : 0.0;
  }

 private:
  std::vector<Follower> parts_;
  double uncertainty_ = 0.0;
};

/// One pressure of a module against the temperatures around the refrigerant.
Finding pressure_finding(const CheckContext& context, const Place& module,
                         const std::vector<Mask>& masks, std::string_view pressure,
                         std::string_view saturated) {
  const std::string id = "standstill-pressure";
  const Channel* channel = context.recording.find_upward(module, pressure);
  const bool measured = channel != nullptr;
  if (!measured) channel = context.recording.find_upward(module, saturated);
  Surroundings around(context);
  HeldJudge judge(context, id, module, around.empty() ? nullptr : channel, Side::above, masks);
  judge.subject = channel == nullptr ? std::string(find_quantity(pressure)->label)
                  : around.empty()   ? std::string("outdoor or room temperature")
                                     : "saturation temperature at the " +
                                         std::string(find_quantity(pressure)->label) +
                                         " against the parts around it";
  const fluid::Refrigerant* refrigerant = context.refrigerant;
  const Channel* dew = context.recording.find_upward(module, saturated);
  const double of_pressure = dew == nullptr ? 0.0 : uncertainty_of(context, *dew);
  judge.judge_value(
      "standstill_" + std::string(saturated) + "_outside", Dimension::temperature_difference,
      std::hypot(of_pressure, around.uncertainty()), [=](std::size_t i, double v) mutable {
        // At rest there is liquid beside the gas: the bubble point counts for blends.
        const double t = measured && refrigerant != nullptr
                             ? fluid::bubble_temperature_or_nan(*refrigerant, v)
                             : v;
        return around.outside(i, t);
      });
  const double by = context.limits.value(id + ".outside_by");
  const double hold = context.limits.value(id + ".watch_hold");
  judge.rule(Verdict::fault, Side::above, context.limits.value(id + ".fault_above_by"), hold);
  judge.rule(Verdict::watch, Side::above, by, hold);
  judge.rule(Verdict::watch, Side::below, -by, hold);
  judge.condition = "standstill after " + format_duration(context.limits.value(id + ".settle"));
  judge.asks_for("both pressures with outdoor and room temperatures");
  return judge.finish();
}

Finding zero_finding(const CheckContext& context, const Place& place,
                     const std::vector<Mask>& masks, const char* quantity,
                     const Channel* reference) {
  const std::string id = "sensor-zero";
  const Channel* channel = context.recording.find(place.text, quantity);
  HeldJudge judge(context, id, place, reference == nullptr ? nullptr : channel, Side::above, masks);
  judge.subject = channel == nullptr ? std::string(find_quantity(quantity)->label)
                  : reference == nullptr
                      ? std::string("air temperature")
                      : channel->quantity->label + " against the " + reference->quantity->label;
  judge.judge_value(
      "zero_of_" + std::string(quantity), Dimension::temperature_difference,
      uncertainty_of_difference(context, channel, reference),
      [air = Follower(context.recording, reference)](std::size_t i, double t) mutable {
        return t - static_cast<double>(air.at(i));
      });
  const double by = context.limits.value(id + ".watch_by");
  judge.rule(Verdict::watch, Side::above, by, context.limits.value(id + ".watch_hold"));
  judge.rule(Verdict::watch, Side::below, -by, context.limits.value(id + ".watch_hold"));
  judge.condition = "standstill after " + format_duration(context.limits.value(id + ".settle"));
  judge.asks_for(place.text + "." + quantity + " and the air temperature beside it");
  return judge.finish();
}

}  // namespace

std::vector<Finding> standstill_pressure(const CheckContext& context) {
  const std::vector<Mask> masks =
      standstill_masks(context, context.limits.value("standstill-pressure.settle"));
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    out.push_back(worst_of({pressure_finding(context, module, masks, "discharge_pressure",
                                             "saturated_condensing_temperature"),
                            pressure_finding(context, module, masks, "suction_pressure",
                                             "saturated_evaporating_temperature")},
                           "At rest the pressures agree with saturation at the temperatures around "
                           "the refrigerant."));
  }
  return out;
}

std::vector<Finding> standstill_equal(const CheckContext& context) {
  const std::string id = "standstill-equal";
  const std::vector<Mask> masks = standstill_masks(context, context.limits.value(id + ".settle"));
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    const Channel* high = context.recording.find_upward(module, "discharge_pressure");
    const Channel* low = context.recording.find_upward(module, "suction_pressure");
    HeldJudge judge(context, id, module, low == nullptr ? nullptr : high, Side::above, masks);
    judge.subject = high == nullptr  ? "discharge pressure"
                    : low == nullptr ? "suction pressure"
                                     : "high less low pressure at rest";
    judge.judge_value(
        "standstill_pressure_difference", Dimension::pressure_difference,
        uncertainty_of_difference(context, high, low),
        [suction = Follower(context.recording, low)](std::size_t i, double p) mutable {
          return p - static_cast<double>(suction.at(i));
        });
    judge.rules_of_sheet();
    judge.condition = "standstill after " + format_duration(context.limits.value(id + ".settle"));
    judge.asks_for(module.text + ".discharge_pressure and suction_pressure");
    out.push_back(judge.finish());
  }
  return out;
}

std::vector<Finding> sensor_zero(const CheckContext& context) {
  const std::vector<Mask> masks =
      standstill_masks(context, context.limits.value("sensor-zero.settle"));
  const std::string ok = "After the rest the pipes read like the air around them.";
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    const Channel* air = outdoor_temperature_of(context.recording, module);
    std::vector<Finding> parts;
    for (const char* quantity : {"coil_temperature", "suction_temperature", "liquid_temperature"}) {
      parts.push_back(zero_finding(context, module, masks, quantity, air));
    }
    out.push_back(worst_of(std::move(parts), ok));
  }
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    const Channel* air = controlled_temperature_of(context.recording, unit);
    std::vector<Finding> parts;
    for (const char* quantity : {"gas_pipe_temperature", "liquid_pipe_temperature"}) {
      parts.push_back(zero_finding(context, unit, masks, quantity, air));
    }
    out.push_back(worst_of(std::move(parts), ok));
  }
  return out;
}

}  // namespace cw::check
