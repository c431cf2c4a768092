#include <algorithm>
#include <cmath>
#include <optional>

#include "base/text.h"
#include "checks/catalogue.h"
#include "checks/ceiling.h"
#include "checks/deviations.h"
#include "checks/held_judge.h"
#include "fluid/saturation.h"
#include "fluid/state.h"
#include "system/system.h"
#include "twin/sheet_compressor.h"

namespace cw::check {
namespace {

constexpr const char* id = "capacity";

/// The module of the sheet that a place of the log is; null when the sheet has none.
const OutdoorModule* module_of_sheet(const System& system, const Place& place) {
  for (const OutdoorModule& module : system.outdoor()) {
    if (module.id == place.text) return &module;
  }
  // A log of a system with one module may call it the system.
  return system.outdoor().size() == 1 ? &system.outdoor().front() : nullptr;
}

/// Heat that a module moves, worked out from its compressor: mass flow by the model of the sheet's
/// compressor from speed and pressures, times what a kilogram takes up or gives off.
class CapacityJudge {
 public:
  CapacityJudge(const CheckContext& context, const Place& place, const OutdoorModule& module,
                Regime regime)
      : context_(context),
        recording_(context.recording),
        place_(place),
        module_(module),
        regime_(regime),
        high_(recording_.find_upward(place, "discharge_pressure")),
        low_(recording_.find_upward(place, "suction_pressure")),
        discharge_(recording_.find_upward(place, "discharge_temperature")),
        suction_(recording_.find_upward(place, "suction_temperature")),
        liquid_(recording_.find_upward(place, "liquid_temperature")),
        air_(outdoor_temperature_of(recording_, place)) {
    for (const Channel& c : recording_.channels) {
      if (c.quantity->name == "compressor_frequency" && c.place.module() == place.text) {
        speeds_.push_back(&c);
      }
    }
  }

  Finding run() {
    if (twin::compressor_is_assumed(*context_.system, module_)) {
      return open(
          "The sheet states neither displacement nor map of the compressor: an estimate "
          "from an assumed one would only give the rated capacity back.",
          "Enter the displacement, or a compressor map, in the system sheet.");
    }
    for (const auto& [channel, name] :
         {std::pair{high_, "discharge pressure"}, std::pair{low_, "suction pressure"},
          std::pair{air_, "outdoor temperature"}}) {
      if (channel == nullptr) return open(std::string("No ") + name + " in the log.", proof());
    }
    if (speeds_.empty()) return open("No compressor frequency in the log.", proof());
    if (cools() ? suction_ == nullptr : discharge_ == nullptr) {
      return open(
          std::string("No ") + (cools() ? "suction" : "discharge") + " temperature in the log.",
          proof());
    }
    const Result<twin::Compressor> compressor = twin::compressor_of(*context_.system, module_);
    if (!compressor) return open(compressor.error().message + ".", compressor.error().fix + ".");
    compressor_ = *compressor;
    look();
    if (too_fast_) {
      return open(
          "The log's compressor frequency goes over the highest speed of the sheet: it is "
          "no speed in revolutions, and no flow can be worked out.",
          "Map the frequency in revolutions per second (an inverter's output frequency "
          "divided by the motor's pole pairs), or correct speed_highest in the sheet.");
    }
    return settle();
  }

 private:
  bool cools() const { return regime_ == Regime::cooling; }
  double limit(const std::string& key) const {
    return context_.limits.value(std::string(id) + "." + key);
  }
  std::string mode() const { return cools() ? "cooling" : "heating"; }
  double rated() const { return cools() ? module_.cooling_W : module_.heating_W; }
  /// An estimate has no more than three figures.
  std::string power(double watts) const {
    const Unit unit = display_unit(Dimension::power, context_.units);
    const double shown = unit.from_si(watts);
    if (std::abs(shown) >= 1000.0) {
      const double step = std::pow(10.0, std::floor(std::log10(std::abs(shown))) - 2.0);
      return format_si(unit.to_si(step * std::round(shown / step)), Dimension::power,
                       context_.units);
    }
    return number_text(display_unit(Dimension::power, context_.units).from_si(watts), 3) + " " +
           std::string(display_symbol(Dimension::power, context_.units));
  }
  std::string proof() const {
    return "Record " + place_.text +
           ".compressor_frequency, both pressures, discharge, suction and liquid temperature, and "
           "site.outdoor_temperature through 30 min of " +
           mode() + " at full speed: with all units calling.";
  }
  Finding open(std::string because, std::string what) const {
    return unproven(id, place_, std::move(because), std::move(what));
  }

  /// What full speed gives at this outdoor temperature, by the rated figure.
  double rated_at(double outdoor) const {
    const double off =
        cools() ? outdoor - limit("cooling_rated_at") : limit("heating_rated_at") - outdoor;
    const double loss = limit(mode() + "_loss") * std::max(0.0, off);
    return rated() * std::max(0.3, 1.0 - loss);
  }

  /// Heat of one moment [W]; nan where a state cannot be had.
  double heat(double p_low, double p_high, double t_suction, double t_discharge, double t_liquid,
              double speed, double running) const {
    const fluid::Refrigerant& r = *context_.refrigerant;
    const double evaporating = fluid::dew_temperature_or_nan(r, p_low);
    const double condensing = fluid::dew_temperature_or_nan(r, p_high);
    const double bubble = fluid::bubble_temperature_or_nan(r, p_high);
    if (std::isnan(evaporating) || std::isnan(condensing) || std::isnan(bubble)) {
      return std::nan("");
    }
    if (std::isnan(t_suction)) t_suction = evaporating + assumed_superheat;
    if (std::isnan(t_liquid)) t_liquid = bubble - assumed_subcooling;
    // At or under saturation no temperature fixes a state: dry gas and full liquid stand for it.
    t_suction = std::max(t_suction, evaporating + 0.2);
    t_liquid = std::min(t_liquid, bubble - 0.2);
    const auto in = fluid::state_at(r, Kelvin{t_suction}, Pascal{p_low});
    const auto liquid = fluid::state_at(r, Kelvin{t_liquid}, Pascal{p_high});
    if (!in || !liquid) return std::nan("");
    double h = in->h;
    if (!cools()) {
      const auto out =
          fluid::state_at(r, Kelvin{std::max(t_discharge, condensing + 0.2)}, Pascal{p_high});
      if (!out) return std::nan("");
      h = out->h;
    }
    const twin::CompressorFlow flow = compressor_.flow(
        {p_low, p_high, in->rho, speed, evaporating, condensing}, twin::CompressorWear{});
    return running * flow.m_dot * (h - liquid->h);
  }

  /// Walks the recording; fills the lists.
  void look() {
    const std::vector<Mask> masks = network_masks(context_, place_, regime_);
    const CeilingTrack ceiling = track_ceiling(context_, place_);
    const bool stated = !context_.system->is_assumed(module_.id + ".compressor", "speed_highest");
    const double full_from = limit("full_from") * module_.speed_highest_Hz;
    std::vector<Follower> speeds;
    for (const Channel* c : speeds_) speeds.emplace_back(recording_, c);
    Follower high(recording_, high_), low(recording_, low_), hot(recording_, discharge_),
        cold(recording_, suction_), liquid(recording_, liquid_), air(recording_, air_);
    const std::size_t stride = comparison_stride(recording_);
    const double each = speeds_.front()->interval * static_cast<double>(stride);
    for (std::size_t i = 0; i < recording_.size(); i += stride) {
      if (masks[i] != Mask::counts) continue;
      double sum = 0.0;
      double running = 0.0;
      for (Follower& s : speeds) {
        const auto f = static_cast<double>(s.at(i));
        if (!(f > 0.5)) continue;
        sum += f;
        running += 1.0;
      }
      if (running < 1.0) continue;
      const double speed = sum / running;
      if (stated && speed > 1.1 * module_.speed_highest_Hz) too_fast_ = true;
      // One channel for the module stands for all its compressors.
      const bool common = speeds_.size() == 1 && module_.compressors > 1;
      const double q = heat(at(low, i), at(high, i), at(cold, i), at(hot, i), at(liquid, i), speed,
                            common ? module_.compressors : running);
      const double outdoor = at(air, i);
      if (std::isnan(q) || std::isnan(outdoor)) continue;
      heats_.push_back(q);
      observed_ += each;
      const bool all = common || running >= static_cast<double>(module_.compressors);
      const bool full = ceiling.at[i] || (stated && speed >= full_from);
      if (!all || !full) continue;
      full_.push_back(q);
      shares_.push_back(q / rated_at(outdoor));
      outdoors_.push_back(outdoor);
      full_time_ += each;
      if (full_.size() == 1) first_ = recording_.time[i];
      last_ = recording_.time[i];
    }
  }

  static double at(Follower& follower, std::size_t i) {
    return static_cast<double>(follower.at(i));
  }

  /// Relative half width at about 95 %: the compressor model, the pressure that the density hangs
  /// on, and what had to be assumed.
  double uncertainty() const {
    double u = limit(module_.compressor_map.empty() ? "model_uncertainty" : "map_uncertainty");
    std::vector<double> low;
    for (const float v : low_->values) {
      if (!is_missing(v)) low.push_back(static_cast<double>(v));
    }
    const double p = percentile_of(low, 0.5);
    if (p > 0.0) u = std::hypot(u, context_.limits.value("accuracy.low_pressure") / p);
    if (liquid_ == nullptr) u = std::hypot(u, 0.05);   // 5 K of subcooling in some 200 kJ/kg
    if (suction_ == nullptr) u = std::hypot(u, 0.03);  // 5 K of superheat in the density
    return u;
  }

  Measure measure(std::string name, Dimension dimension, std::vector<double> values,
                  double u) const {
    Measure m;
    m.name = std::move(name);
    m.dimension = dimension;
    m.value = percentile_of(values, 0.5);
    m.low = percentile_of(values, 0.05);
    m.high = percentile_of(values, 0.95);
    m.uncertainty = u * std::abs(m.value);
    m.seconds = observed_;
    return m;
  }

  Finding settle() {
    const double u = uncertainty();
    Finding out;
    out.check = id;
    out.place = place_;
    out.dimension = Dimension::ratio;
    out.observed = full_time_;
    out.measures.push_back(measure(mode() + "_capacity", Dimension::power, heats_, u));
    if (full_time_ < context_.limits.value("observation.least")) {
      Finding f = open(heats_.empty()
                           ? "The log shows no steady " + mode() + "."
                           : "At full speed it ran for " + format_duration(full_time_) +
                                 " only. As a rule it moved about " + power(out.measures[0].value) +
                                 " ± " + power(out.measures[0].uncertainty) +
                                 ": what was asked for, not what it can.",
                       proof());
      f.measures = out.measures;
      return f;
    }
    const double both = std::hypot(u, limit("rated_uncertainty"));
    out.measures.push_back(measure(mode() + "_capacity_of_rated", Dimension::ratio, shares_, both));
    out.measures.back().expected_low = limit("watch_below");
    out.measures.back().seconds = full_time_;
    return judge(std::move(out), u);
  }

  Finding judge(Finding out, double u) {
    const Measure& share = out.measures.back();
    const double given = percentile_of(full_, 0.5);
    const double outdoor = percentile_of(outdoors_, 0.5);
    out.because = "At full speed it moved about " + power(given) + " ± " + power(u * given) + ", " +
                  format_si(share.value, Dimension::ratio, context_.units) + " ± " +
                  format_si(share.uncertainty, Dimension::ratio, context_.units) + " of the " +
                  power(rated_at(outdoor)) + " that its rated " + power(rated()) + " are at " +
                  format_si(outdoor, Dimension::temperature, context_.units) +
                  " outdoors, if its compressor pumps as new.";
    if (liquid_ == nullptr) out.because += " The liquid's subcooling was assumed.";
    const double least = limit("watch_below");
    out.verdict = Verdict::ok;
    if (share.value - share.uncertainty > limit("implausible_above")) {
      out.verdict = Verdict::unproven;
      out.because +=
          " That is more than a machine gives over its rating: displacement, highest "
          "speed, number of compressors or the log's frequency are not what the sheet "
          "says.";
      out.proof = "Compare these with the machine's documents.";
    } else if (share.value + share.uncertainty < least) {
      out.verdict = Verdict::watch;
      out.evidence.push_back(
          {Verdict::watch, {first_, last_, share.value, least, full_time_}, std::nullopt});
    } else if (share.value < least) {
      out.verdict = Verdict::unproven;
      out.because += " That is closer to " + format_si(least, Dimension::ratio, context_.units) +
                     " than the estimate can tell.";
      out.proof =
          "A compressor map in the system sheet, or a measurement on the air side, narrows "
          "it.";
    }
    return out;
  }

  static constexpr double assumed_superheat = 5.0;   // K
  static constexpr double assumed_subcooling = 5.0;  // K

  const CheckContext& context_;
  const Recording& recording_;
  const Place& place_;
  const OutdoorModule& module_;
  Regime regime_;
  const Channel* high_;
  const Channel* low_;
  const Channel* discharge_;
  const Channel* suction_;
  const Channel* liquid_;
  const Channel* air_;
  std::vector<const Channel*> speeds_;
  twin::Compressor compressor_;
  std::vector<double> heats_;
  std::vector<double> full_;
  std::vector<double> shares_;
  std::vector<double> outdoors_;
  double observed_ = 0.0;
  double full_time_ = 0.0;
  Instant first_;
  Instant last_;
  bool too_fast_ = false;
};

}  // namespace

std::vector<Finding> capacity(const CheckContext& context) {
  std::vector<Finding> out;
  if (context.system == nullptr || context.refrigerant == nullptr) {
    return {unproven(id, whole_system(), "No system sheet was given.",
                     "Give the system sheet of the machine.")};
  }
  for (const Place& place : modules_of(context)) {
    const OutdoorModule* module = module_of_sheet(*context.system, place);
    if (module == nullptr) {
      out.push_back(unproven(id, place, "The system sheet has no such module.",
                             "Name the modules of the sheet as the log does: " + place.text + "."));
      continue;
    }
    const Work work = context.phases.timeline_of(place).work();
    if (work.heats || !work.cools) {
      out.push_back(CapacityJudge(context, place, *module, Regime::heating).run());
    }
    if (work.cools) out.push_back(CapacityJudge(context, place, *module, Regime::cooling).run());
  }
  return out;
}

}  // namespace cw::check
