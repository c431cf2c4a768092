#include "checks/uncertainty.h"

#include <algorithm>
#include <cmath>

#include "fluid/saturation.h"

namespace cw {
namespace {

bool is_air(std::string_view quantity) {
  return quantity == "outdoor_temperature" || quantity == "controlled_temperature" ||
         quantity == "return_air_temperature" || quantity == "room_temperature" ||
         quantity == "supply_air_temperature";
}

/// Commands: what a machine wants is not measured.
bool is_command(std::string_view quantity) {
  return quantity == "set_point" || quantity == "condensing_target" ||
         quantity == "evaporating_target";
}

double of_saturation(const CheckContext& context, double t, std::string_view accuracy) {
  return saturation_slope(context, t) * context.limits.value(accuracy);
}

/// Of a saturation temperature that a difference at `place` is taken from.
double of_upward(const CheckContext& context, const Place& place, std::string_view quantity) {
  const Channel* channel = context.recording.find_upward(place, quantity);
  return channel == nullptr ? 0.0 : uncertainty_of(context, *channel);
}

}  // namespace

double typical(const Channel& channel) {
  constexpr std::size_t enough = 4000;
  const std::size_t step = std::max<std::size_t>(1, channel.values.size() / enough);
  std::vector<float> values;
  for (std::size_t i = 0; i < channel.values.size(); i += step) {
    if (!is_missing(channel.values[i])) values.push_back(channel.values[i]);
  }
  // A sparse channel may miss every step of the stride.
  if (values.empty()) {
    for (const float v : channel.values) {
      if (!is_missing(v)) values.push_back(v);
    }
  }
  if (values.empty()) return std::nan("");
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return static_cast<double>(*middle);
}

double saturation_slope(const CheckContext& context, double t) {
  if (context.refrigerant == nullptr || std::isnan(t)) return 0.0;
  const Result<Pascal> p = fluid::dew_pressure(*context.refrigerant, Kelvin{t});
  if (!p) return 0.0;
  const double step = 1e-3 * p->value;
  const double high = fluid::dew_temperature_or_nan(*context.refrigerant, p->value + step);
  const double low = fluid::dew_temperature_or_nan(*context.refrigerant, p->value - step);
  const double slope = (high - low) / (2.0 * step);
  return std::isnan(slope) ? 0.0 : slope;
}

double uncertainty_of(const CheckContext& context, const Channel& channel) {
  const LimitSheet& limits = context.limits;
  const std::string& name = channel.quantity->name;
  const double pipe = limits.value("accuracy.pipe_temperature");
  if (name == "saturated_condensing_temperature") {
    return of_saturation(context, typical(channel), "accuracy.high_pressure");
  }
  if (name == "saturated_evaporating_temperature") {
    return of_saturation(context, typical(channel), "accuracy.low_pressure");
  }
  if (name == "discharge_superheat" || name == "subcooling") {
    return std::hypot(pipe, of_upward(context, channel.place, "saturated_condensing_temperature"));
  }
  if (name == "shell_superheat" || name == "suction_superheat") {
    return std::hypot(pipe, of_upward(context, channel.place, "saturated_evaporating_temperature"));
  }
  if (name == "discharge_pressure" || name == "liquid_pressure") {
    return limits.value("accuracy.high_pressure");
  }
  if (name == "suction_pressure") return limits.value("accuracy.low_pressure");
  if (is_command(name)) return 0.0;
  if (channel.quantity->dimension == Dimension::temperature) {
    return is_air(name) ? limits.value("accuracy.air_temperature") : pipe;
  }
  return 0.0;
}

double uncertainty_of_difference(const CheckContext& context, const Channel* a, const Channel* b) {
  return std::hypot(a == nullptr ? 0.0 : uncertainty_of(context, *a),
                    b == nullptr ? 0.0 : uncertainty_of(context, *b));
}

}  // namespace cw
