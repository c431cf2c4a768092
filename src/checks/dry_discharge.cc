#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

#include "checks/catalogue.h"
#include "checks/held_judge.h"
#include "checks/uncertainty.h"
#include "fluid/saturation.h"
#include "fluid/state.h"

namespace cw::check {
namespace {

/// The coldest discharge that dry suction gas allows, over both saturation temperatures: saturated
/// vapour compressed with an isentropic efficiency that no machine exceeds, heat loss included.
/// Worked out on a grid once, between its points linear: the surface is smooth, and exact states
/// for a season of samples would take minutes.
class DryDischarge {
 public:
  DryDischarge(const fluid::Refrigerant& refrigerant, double efficiency) {
    for (std::size_t e = 0; e < points; ++e) {
      for (std::size_t c = 0; c < points; ++c) {
        table_[e][c] = exact(refrigerant, efficiency, evaporating_at(e), condensing_at(c));
      }
    }
  }

  /// [K]; nan outside the grid (-45..25 degC evaporating, 15..68 degC condensing).
  double at(double evaporating, double condensing) const {
    const double x = (evaporating - evaporating_at(0)) / evaporating_step;
    const double y = (condensing - condensing_at(0)) / condensing_step;
    constexpr auto last = static_cast<double>(points - 1);
    if (!(x >= 0.0 && x <= last && y >= 0.0 && y <= last)) return std::nan("");
    const auto e = std::min(static_cast<std::size_t>(x), points - 2);
    const auto c = std::min(static_cast<std::size_t>(y), points - 2);
    const double u = x - static_cast<double>(e);
    const double v = y - static_cast<double>(c);
    return (1.0 - u) * ((1.0 - v) * table_[e][c] + v * table_[e][c + 1]) +
           u * ((1.0 - v) * table_[e + 1][c] + v * table_[e + 1][c + 1]);
  }

  static double exact(const fluid::Refrigerant& refrigerant, double efficiency, double evaporating,
                      double condensing) {
    const auto low = fluid::dew_pressure(refrigerant, Kelvin{evaporating});
    const auto high = fluid::dew_pressure(refrigerant, Kelvin{condensing});
    if (!low || !high || high->value <= low->value) return std::nan("");
    using fluid::InputPair;
    const auto suction = fluid::state_from(refrigerant, InputPair::p_q, low->value, 1.0);
    if (!suction) return std::nan("");
    const auto ideal = fluid::state_from(refrigerant, InputPair::p_s, high->value, suction->s);
    if (!ideal) return std::nan("");
    const double h = suction->h + (ideal->h - suction->h) / efficiency;
    const auto discharge = fluid::state_from(refrigerant, InputPair::p_h, high->value, h);
    return discharge ? discharge->T : std::nan("");
  }

 private:
  static constexpr std::size_t points = 15;
  static constexpr double evaporating_step = 5.0;
  static constexpr double condensing_step = 53.0 / 14.0;
  static double evaporating_at(std::size_t k) {
    return 228.15 + evaporating_step * static_cast<double>(k);
  }
  static double condensing_at(std::size_t k) {
    return 288.15 + condensing_step * static_cast<double>(k);
  }
  std::array<std::array<double, points>, points> table_{};
};

}  // namespace

std::vector<Finding> dry_discharge(const CheckContext& context) {
  const std::string id = "dry-discharge";
  const Recording& recording = context.recording;
  std::shared_ptr<const DryDischarge> model;
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    for (const Place& place : judged_places(recording, module, "discharge_temperature")) {
      const Channel* hot = recording.find(place.text, "discharge_temperature");
      const Channel* sct = recording.find_upward(place, "saturated_condensing_temperature");
      const Channel* set = recording.find_upward(place, "saturated_evaporating_temperature");
      const bool whole = hot != nullptr && sct != nullptr && set != nullptr;
      if (whole && model == nullptr && context.refrigerant != nullptr) {
        model = std::make_shared<DryDischarge>(*context.refrigerant,
                                               context.limits.value(id + ".efficiency"));
      }
      HeldJudge judge(context, id, place, whole && model ? hot : nullptr, Side::below,
                      compressor_masks(context, place, Regime::running));
      judge.subject = hot == nullptr   ? "discharge temperature"
                      : sct == nullptr ? "discharge pressure"
                      : set == nullptr ? "suction pressure"
                                       : "discharge temperature over the coldest that dry suction "
                                         "gas allows at these pressures";
      // The model moves 1.2 to 1.4 K with a kelvin of either saturation temperature.
      const double saturation = 1.4 * (whole ? uncertainty_of_difference(context, sct, set) : 0.0);
      judge.judge_value("discharge_over_dry", Dimension::temperature_difference,
                        std::hypot(context.limits.value("accuracy.pipe_temperature"), saturation),
                        [=, condensing = Follower(recording, sct),
                         evaporating = Follower(recording, set)](std::size_t i, double t) mutable {
                          return t - model->at(static_cast<double>(evaporating.at(i)),
                                               static_cast<double>(condensing.at(i)));
                        });
      judge.rules_of_sheet();
      judge.condition = steady_text(context, place, Regime::running);
      judge.asks_for(place.text + ".discharge_temperature, discharge and suction pressure");
      out.push_back(judge.finish());
    }
  }
  return out;
}

}  // namespace cw::check
