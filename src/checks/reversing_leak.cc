#include <algorithm>
#include <cmath>

#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"
#include "checks/together.h"
#include "checks/uncertainty.h"

namespace cw::check {
namespace {

constexpr const char* id = "reversing-leak";

double limit_of(const CheckContext& context, const char* key) {
  return context.limits.value(std::string(id) + "." + key);
}

/// Heating: gas out of a coil that outdoor air warms cannot be warmer than that air.
Finding in_heating(const CheckContext& context, const Place& module) {
  const Channel* suction = context.recording.find(module.text, "suction_temperature");
  const Channel* air = outdoor_temperature_of(context.recording, module);
  HeldJudge judge(context, id, module, air == nullptr ? nullptr : suction, Side::above,
                  network_masks(context, module, Regime::heating));
  judge.subject = suction == nullptr ? std::string("suction temperature")
                  : air == nullptr   ? std::string("outdoor temperature")
                                     : std::string(
                                           "suction gas over the outdoor air that warmed it (it "
                                             "cannot be warmer by itself)");
  judge.judge_value("suction_over_outdoor", Dimension::temperature_difference,
                    uncertainty_of_difference(context, suction, air),
                    [t = Follower(context.recording, air)](std::size_t i, double v) mutable {
                      return v - static_cast<double>(t.at(i));
                    });
  judge.rule(Verdict::watch, limit_of(context, "over_air"), limit_of(context, "watch_hold"));
  judge.condition = steady_text(context, module, Regime::heating);
  judge.asks_for(module.text + ".suction_temperature and site.outdoor_temperature");
  return judge.finish();
}

/// The warmest gas-side pipe of the calling units at each index; nan where none calls. [n_time]
std::vector<double> warmest_return(const CheckContext& context) {
  const Recording& recording = context.recording;
  std::vector<double> out(recording.size(), std::nan(""));
  for (const Place& unit : recording.places(PlaceKind::indoor)) {
    const Channel* gas = recording.find(unit.text, "gas_pipe_temperature");
    if (gas == nullptr) continue;
    const CallTrack calls = track_calls(context, unit);
    Follower pipe(recording, gas);
    for (std::size_t i = 0; i < out.size(); ++i) {
      const auto t = static_cast<double>(pipe.at(i));
      if (calls.state[i] == CallTrack::State::yes && !(out[i] >= t)) out[i] = t;
    }
  }
  return out;
}

/// Cooling: gas on its way from the indoor coils to the compressor.
Finding in_cooling(const CheckContext& context, const Place& module,
                   const std::vector<double>& returned) {
  const Channel* suction = context.recording.find(module.text, "suction_temperature");
  const bool any =
      std::any_of(returned.begin(), returned.end(), [](double t) { return !std::isnan(t); });
  HeldJudge judge(context, id, module, any ? suction : nullptr, Side::above,
                  network_masks(context, module, Regime::cooling));
  judge.subject = suction == nullptr ? std::string("suction temperature")
                  : !any             ? std::string("gas-side pipe temperature of a calling unit")
                                     : std::string(
                                           "suction gas over the warmest gas that calling units "
                                                       "send back");
  const double pipe = context.limits.value("accuracy.pipe_temperature");
  judge.judge_value("suction_over_return", Dimension::temperature_difference, std::sqrt(2.0) * pipe,
                    [&](std::size_t i, double v) { return v - returned[i]; });
  judge.rule(Verdict::watch, limit_of(context, "over_return"), limit_of(context, "watch_hold"));
  judge.condition = steady_text(context, module, Regime::cooling);
  judge.asks_for(module.text +
                 ".suction_temperature, gas_pipe_temperature and call of the indoor units");
  return judge.finish();
}

/// Times in which the pressure difference fell to half behind a stop [s].
class Equalising {
 public:
  Equalising(const CheckContext& context, const Place& module)
      : context_(context),
        module_(module),
        high_(context.recording.find_upward(module, "discharge_pressure")),
        low_(context.recording.find_upward(module, "suction_pressure")) {}

  Finding run() {
    if (high_ == nullptr || low_ == nullptr) {
      return open(std::string("No ") + (high_ == nullptr ? "discharge" : "suction") +
                  " pressure in the log.");
    }
    const double quick = limit_of(context_, "halves_within");
    const double step = std::max(high_->interval, low_->interval);
    if (step > quick / 2.0) {
      return open("Readings come every " + format_duration(step) +
                  ": too seldom to see how quickly the pressures meet behind a stop.");
    }
    follow_stops();
    if (halves_.size() < 2) {
      return open("The log shows " + std::to_string(halves_.size()) +
                  " stops with the pressures falling together behind them; two are needed.");
    }
    return judge(quick, step);
  }

 private:
  Finding open(std::string because) const {
    return unproven(id, module_, std::move(because),
                    "Record " + module_.text +
                        ".discharge_pressure and suction_pressure at least every " +
                        format_duration(limit_of(context_, "halves_within") / 2.0) +
                        " through two stops of the system.");
  }

  void follow_stops() {
    const std::vector<PhaseKind>& kinds = context_.phases.system.kind_at;
    const std::vector<Instant>& time = context_.recording.time;
    Follower high(context_.recording, high_);
    Follower low(context_.recording, low_);
    constexpr double least = 400e3;  // Pa; under that nothing can be told of a fall
    double before = std::nan("");
    std::size_t stopped = 0;  // first index at rest, 0: none
    for (std::size_t i = 0; i < kinds.size(); ++i) {
      const double apart = static_cast<double>(high.at(i)) - static_cast<double>(low.at(i));
      if (kinds[i] != PhaseKind::off) {
        before = kinds[i] == PhaseKind::unknown ? std::nan("") : apart;
        stopped = 0;
        continue;
      }
      if (stopped == 0 && before >= least) stopped = i;
      if (stopped == 0 || !(apart <= before / 2.0)) continue;
      halves_.push_back(seconds_between(time[stopped - 1], time[i]));
      ends_.push_back(time[i]);
      before = std::nan("");
      stopped = 0;
    }
  }

  Finding judge(double quick, double step) const {
    Finding out;
    out.check = id;
    out.place = module_;
    out.dimension = Dimension::time;
    out.channel = high_->name();
    std::vector<double> copy = halves_;
    Measure m;
    m.name = "pressure_half_time_at_stop";
    m.dimension = Dimension::time;
    m.value = percentile_of(copy, 0.5);
    m.low = percentile_of(copy, 0.05);
    m.high = percentile_of(copy, 0.95);
    m.uncertainty = step;
    m.expected_low = quick;
    out.measures.push_back(m);
    out.because = "Behind " + std::to_string(halves_.size()) +
                  " stops the pressures fell to half their distance in " +
                  format_duration(m.value) + " as a rule.";
    // From the last reading before the stop to the first one at half: the true time is no longer.
    out.verdict = m.value < quick ? Verdict::watch : Verdict::ok;
    if (out.verdict == Verdict::watch) {
      out.because +=
          " A tight valve keeps them apart for longer, unless the machine opens a bypass at a "
          "stop.";
      out.evidence.push_back(
          {Verdict::watch, {ends_.front(), ends_.back(), m.value, quick, m.value}, {}});
    }
    return out;
  }

  const CheckContext& context_;
  const Place& module_;
  const Channel* high_;
  const Channel* low_;
  std::vector<double> halves_;
  std::vector<Instant> ends_;
};

}  // namespace

std::vector<Finding> reversing_leak(const CheckContext& context) {
  const std::vector<double> returned = warmest_return(context);
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) {
    out.push_back(worst_of({in_heating(context, module), in_cooling(context, module, returned),
                            Equalising(context, module).run()},
                           ""));
  }
  return out;
}

}  // namespace cw::check
