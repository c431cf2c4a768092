#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <memory>
#include <optional>

#include "checks/catalogue.h"
#include "checks/held_judge.h"
#include "checks/together.h"
#include "checks/uncertainty.h"
#include "fluid/saturation.h"
#include "fluid/state.h"
#include "system/system.h"
#include "twin/sheet_compressor.h"

namespace cw::check {
namespace {

/// Saturated vapour at the suction and the pressure behind the compressor.
struct Ends {
  fluid::FluidState suction;
  double high = 0.0;  ///< [Pa]
};

std::optional<Ends> ends_at(const fluid::Refrigerant& refrigerant, double evaporating,
                            double condensing) {
  const auto low = fluid::dew_pressure(refrigerant, Kelvin{evaporating});
  const auto high = fluid::dew_pressure(refrigerant, Kelvin{condensing});
  if (!low || !high || high->value <= low->value) return std::nullopt;
  const auto suction = fluid::state_from(refrigerant, fluid::InputPair::p_q, low->value, 1.0);
  if (!suction) return std::nullopt;
  return Ends{*suction, high->value};
}

double temperature_at(const fluid::Refrigerant& refrigerant, double p, double h) {
  const auto state = fluid::state_from(refrigerant, fluid::InputPair::p_h, p, h);
  return state ? state->T : std::nan("");
}

/// The discharge temperature of dry suction gas over both saturation temperatures [K]. Worked out
/// on a grid once, between its points linear: the surface is smooth, and exact states for a season
/// of samples would take minutes.
class DryDischarge {
 public:
  using Exact = std::function<double(double evaporating, double condensing)>;

  explicit DryDischarge(const Exact& exact) {
    for (std::size_t e = 0; e < points; ++e) {
      for (std::size_t c = 0; c < points; ++c) {
        table_[e][c] = exact(evaporating_at(e), condensing_at(c));
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

/// The coldest that physics allows: an isentropic efficiency that no machine exceeds, heat loss
/// included.
DryDischarge coldest(const fluid::Refrigerant& refrigerant, double efficiency) {
  return DryDischarge([&](double evaporating, double condensing) {
    const auto ends = ends_at(refrigerant, evaporating, condensing);
    if (!ends) return std::nan("");
    const auto ideal =
        fluid::state_from(refrigerant, fluid::InputPair::p_s, ends->high, ends->suction.s);
    if (!ideal) return std::nan("");
    const double h = ends->suction.h + (ideal->h - ends->suction.h) / efficiency;
    return temperature_at(refrigerant, ends->high, h);
  });
}

/// What the sheet's compressor does with dry gas at a speed, by its model: all of its power ends up
/// in the gas.
DryDischarge by_model(const fluid::Refrigerant& refrigerant, const twin::Compressor& compressor,
                      double speed) {
  return DryDischarge([&](double evaporating, double condensing) {
    const auto ends = ends_at(refrigerant, evaporating, condensing);
    if (!ends) return std::nan("");
    const twin::CompressorFlow flow = compressor.flow(
        {ends->suction.p, ends->high, ends->suction.rho, speed, evaporating, condensing}, {});
    if (flow.m_dot <= 0.0) return std::nan("");
    return temperature_at(refrigerant, ends->high, ends->suction.h + flow.power / flow.m_dot);
  });
}

/// What is judged at one place.
struct Inputs {
  Place place;
  const Channel* hot = nullptr;
  const Channel* sct = nullptr;
  const Channel* set = nullptr;

  Inputs(const Recording& recording, const Place& at)
      : place(at),
        hot(recording.find(at.text, "discharge_temperature")),
        sct(recording.find_upward(at, "saturated_condensing_temperature")),
        set(recording.find_upward(at, "saturated_evaporating_temperature")) {}

  bool whole() const { return hot != nullptr && sct != nullptr && set != nullptr; }
};

HeldJudge judge_of(const CheckContext& context, const Inputs& in,
                   const std::shared_ptr<const DryDischarge>& model, const std::string& name,
                   const std::string& subject) {
  HeldJudge judge(context, "dry-discharge", in.place, in.whole() && model ? in.hot : nullptr,
                  Side::below, compressor_masks(context, in.place, Regime::running));
  judge.subject = in.hot == nullptr   ? "discharge temperature"
                  : in.sct == nullptr ? "discharge pressure"
                  : in.set == nullptr ? "suction pressure"
                                      : subject;
  // The model moves 1.2 to 1.4 K with a kelvin of either saturation temperature.
  const double saturation =
      1.4 * (in.whole() ? uncertainty_of_difference(context, in.sct, in.set) : 0.0);
  judge.judge_value(
      name, Dimension::temperature_difference,
      std::hypot(context.limits.value("accuracy.pipe_temperature"), saturation),
      [model, condensing = Follower(context.recording, in.sct),
       evaporating = Follower(context.recording, in.set)](std::size_t i, double t) mutable {
        return t - model->at(static_cast<double>(evaporating.at(i)),
                             static_cast<double>(condensing.at(i)));
      });
  judge.condition = steady_text(context, in.place, Regime::running);
  return judge;
}

/// The model of the sheet's compressor for a module at the speed at which it usually runs; null
/// without a sheet, without its displacement, or without a speed.
std::shared_ptr<const DryDischarge> sheet_model(const CheckContext& context, const Place& place) {
  if (context.system == nullptr || context.refrigerant == nullptr) return nullptr;
  const Channel* speed = context.recording.find_upward(place, "compressor_frequency");
  for (const OutdoorModule& module : context.system->outdoor()) {
    if (module.id != place.module()) continue;
    if (twin::compressor_is_assumed(*context.system, module)) return nullptr;
    const auto compressor = twin::compressor_of(*context.system, module);
    if (!compressor) return nullptr;
    std::vector<double> running;
    for (std::size_t i = 0; speed != nullptr && i < speed->values.size(); ++i) {
      if (speed->values[i] > 1.0F) running.push_back(static_cast<double>(speed->values[i]));
    }
    const double usual = percentile_of(running, 0.5);
    if (!(usual <= 1.1 * module.speed_highest_Hz)) return nullptr;
    return std::make_shared<DryDischarge>(by_model(*context.refrigerant, *compressor, usual));
  }
  return nullptr;
}

}  // namespace

std::vector<Finding> dry_discharge(const CheckContext& context) {
  const std::string id = "dry-discharge";
  std::shared_ptr<const DryDischarge> bound;
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    std::shared_ptr<const DryDischarge> model;
    for (const Place& place : judged_places(context.recording, module, "discharge_temperature")) {
      const Inputs in(context.recording, place);
      if (in.whole() && bound == nullptr && context.refrigerant != nullptr) {
        bound = std::make_shared<DryDischarge>(
            coldest(*context.refrigerant, context.limits.value(id + ".efficiency")));
      }
      const std::string channels =
          place.text + ".discharge_temperature, discharge and suction pressure";
      HeldJudge judge = judge_of(context, in, bound, "discharge_over_dry",
                                 "discharge temperature over the coldest that dry suction gas "
                                 "allows at these pressures");
      judge.rules_of_sheet();
      judge.asks_for(channels);
      std::vector<Finding> parts = {judge.finish()};
      if (in.whole() && model == nullptr) model = sheet_model(context, place);
      if (model != nullptr) {
        HeldJudge sheet = judge_of(context, in, model, "discharge_over_model",
                                   "discharge temperature over what the sheet's compressor makes "
                                   "of dry suction gas at these pressures");
        sheet.rule(Verdict::watch, -context.limits.value(id + ".model_margin"),
                   context.limits.value(id + ".watch_hold"));
        sheet.asks_for(channels);
        parts.push_back(sheet.finish());
      }
      const std::string ok = parts.front().because;
      out.push_back(worst_of(std::move(parts), ok));
    }
  }
  return out;
}

}  // namespace cw::check
