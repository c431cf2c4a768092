#include <algorithm>
#include <cmath>

#include "checks/calls.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"
#include "checks/spectrum.h"

namespace cw::check {
namespace {

constexpr const char* id = "hunting";
/// "For ever" is more than a few times: the window laid over a stretch leaves half of them.
constexpr double least_periods = 6.0;
constexpr double least_stretch = 1200.0;   ///< [s]
constexpr std::size_t fewest_values = 16;  ///< that a spectrum is made of

/// A stretch of steady running: indices [first, last].
struct Stretch {
  std::size_t first = 0;
  std::size_t last = 0;
};

/// What one signal does in one stretch.
struct Seen {
  const Channel* channel = nullptr;
  Swing swing;
};

class HuntingJudge {
 public:
  HuntingJudge(const CheckContext& context, const Place& module, const std::vector<int>& calling)
      : context_(context), recording_(context.recording), module_(module), calling_(calling) {
    for (const char* name :
         {"suction_temperature", "saturated_evaporating_temperature", "discharge_temperature",
          "saturated_condensing_temperature", "liquid_temperature"}) {
      if (const Channel* c = recording_.find_upward(module, name)) signals_.push_back(c);
    }
  }

  Finding run() {
    if (signals_.size() < 2) {
      return unproven(id, module_,
                      "The log has fewer than two of the signals in which hunting shows.", proof());
    }
    for (const Channel* signal : signals_) step_ = std::max(step_, signal->interval);
    shortest_ = std::max(limit("shortest_period"), 4.0 * step_);
    if (shortest_ > limit("longest_period")) {
      return unproven(
          id, module_,
          "Readings come every " + format_duration(step_) + ": too seldom to see a valve hunt.",
          proof());
    }
    Finding out;
    out.check = id;
    out.place = module_;
    out.dimension = Dimension::temperature_difference;
    for (const Stretch& stretch : stretches()) look_at(stretch, out);
    return settle(std::move(out));
  }

 private:
  double limit(const char* key) const { return context_.limits.value(std::string(id) + "." + key); }
  std::string proof() const {
    return "Record " + module_.text +
           ".suction_temperature and suction_pressure (with discharge temperature and pressure) at "
           "least every 30 s through " +
           format_duration(limit("span")) + " of steady running.";
  }

  /// Steady stretches of at most `span`, evenly chosen where there are many.
  std::vector<Stretch> stretches() const {
    const std::vector<Mask> masks = compressor_masks(context_, module_, Regime::running);
    const double longest = limit("span");
    const double least = std::max(least_stretch, (least_periods + 1.0) * shortest_);
    std::vector<Stretch> out;
    const auto close = [&](std::size_t first, std::size_t end) {
      if (end > first &&
          seconds_between(recording_.time[first], recording_.time[end - 1]) >= least) {
        out.push_back({first, end - 1});
      }
    };
    std::size_t first = 0;
    for (std::size_t i = 0; i < masks.size(); ++i) {
      const bool gap =
          i > 0 && seconds_between(recording_.time[i - 1], recording_.time[i]) > gap_factor * step_;
      const bool full =
          i > first && seconds_between(recording_.time[first], recording_.time[i]) > longest;
      if (masks[i] == Mask::counts && !gap && !full) continue;
      close(first, i);
      first = masks[i] == Mask::counts ? i : i + 1;
    }
    close(first, masks.size());
    constexpr std::size_t most = 48;
    if (out.size() <= most) return out;
    std::vector<Stretch> chosen;
    for (std::size_t k = 0; k < most; ++k) chosen.push_back(out[k * out.size() / most]);
    return chosen;
  }

  /// Calls take(sample) at equal steps through a stretch, with the last sample by then, until it
  /// returns false.
  template <class Take>
  void at_equal_steps(const Stretch& stretch, Take take) const {
    const Instant start = recording_.time[stretch.first];
    std::size_t i = stretch.first;
    for (double t = 0.0;; t += step_) {
      const Instant now{start.ms + static_cast<std::int64_t>(t * 1e3)};
      while (i < stretch.last && recording_.time[i + 1] <= now) ++i;
      if (!take(i) || i >= stretch.last) return;
    }
  }

  /// A signal at equal steps through a stretch; empty where readings are missing.
  std::vector<double> sampled(const Channel* channel, const Stretch& stretch) const {
    Follower follower(recording_, channel);
    std::vector<double> out;
    std::size_t missing = 0;
    at_equal_steps(stretch, [&](std::size_t i) {
      const float v = follower.at(i);
      if (!is_missing(v)) {
        out.push_back(static_cast<double>(v));
        return true;
      }
      if (out.empty()) return false;
      out.push_back(out.back());
      if (++missing <= out.size() / 10 + 2) return true;
      out.clear();
      return false;
    });
    return out;
  }

  /// Units that begin and stop calling in the same rhythm drive the swing themselves: the control
  /// follows, it does not hunt.
  bool follows_calls(const Stretch& stretch, double period) const {
    if (calling_.empty()) return false;
    std::vector<double> count;
    at_equal_steps(stretch, [&](std::size_t i) {
      count.push_back(static_cast<double>(calling_[i]));
      return true;
    });
    if (count.size() < fewest_values) return false;
    const Swing calls = strongest_swing(count, step_, 0.8 * period, 1.25 * period);
    return calls.share >= limit("least_share") && std::abs(calls.period / period - 1.0) < 0.1;
  }

  void look_at(const Stretch& stretch, Finding& out) {
    const double seconds =
        seconds_between(recording_.time[stretch.first], recording_.time[stretch.last]);
    const double longest = std::min(limit("longest_period"), seconds / least_periods);
    std::vector<std::vector<double>> values;
    std::vector<Seen> swings;
    for (const Channel* signal : signals_) {
      values.push_back(sampled(signal, stretch));
      if (values.back().size() < fewest_values) continue;
      swings.push_back({signal, strongest_swing(values.back(), step_, shortest_, longest)});
    }
    if (swings.size() < 2) return;
    out.observed += seconds;
    bool with_calls = false;
    for (const Seen& main : swings) {
      if (main.swing.amplitude < limit("watch_amplitude") ||
          main.swing.share < limit("least_share")) {
        continue;
      }
      const Seen* second = nullptr;
      for (const Seen& other : swings) {
        const bool same = std::abs(other.swing.period / main.swing.period - 1.0) < 0.1;
        if (&other != &main && same && other.swing.share >= limit("least_share")) second = &other;
      }
      if (second == nullptr) continue;
      if (follows_calls(stretch, main.swing.period)) {
        with_calls = true;
        continue;
      }
      const Window window{recording_.time[stretch.first], recording_.time[stretch.last],
                          main.swing.amplitude, limit("watch_amplitude"), seconds};
      out.evidence.push_back({Verdict::watch, window, std::nullopt});
      if (main.swing.amplitude > worst_.swing.amplitude) {
        worst_ = main;
        second_ = *second;
        worst_window_ = window;
      }
      return;
    }
    if (with_calls) with_calls_ += seconds;
  }

  Finding settle(Finding out) {
    Measure m;
    m.name = "hunting_amplitude";
    m.dimension = Dimension::temperature_difference;
    m.value = m.low = m.high = worst_.swing.amplitude;
    m.expected_high = limit("watch_amplitude");
    m.seconds = out.observed;
    if (out.observed <= 0.0) {
      return unproven(id, module_, "The log shows no steady running of 20 min without a gap.",
                      proof());
    }
    out.measures.push_back(m);
    if (out.evidence.empty() && out.observed - with_calls_ < least_stretch) {
      return unproven(id, module_,
                      "Wherever readings swing they do so in the rhythm in which units begin and "
                      "stop calling: what the control adds cannot be told.",
                      "Let the same units call for an hour, and record it.");
    }
    if (out.evidence.empty()) {
      out.verdict = Verdict::ok;
      out.because =
          "No swing of " +
          format_si(limit("watch_amplitude"), Dimension::temperature_difference, context_.units) +
          " or more shows in two signals at once, with periods of " + format_duration(shortest_) +
          " to " +
          format_duration(std::min(limit("longest_period"), limit("span") / least_periods)) +
          ", in " + format_duration(out.observed) + " of steady running.";
      if (with_calls_ > 0.0) {
        out.because += " In " + format_duration(with_calls_) +
                       " of it readings swing in the rhythm in which units begin and stop calling: "
                       "what the control adds there cannot be told.";
      }
      return out;
    }
    Measure period;
    period.name = "hunting_period";
    period.dimension = Dimension::time;
    period.value = period.low = period.high = worst_.swing.period;
    out.measures.push_back(period);
    out.verdict = Verdict::watch;
    out.channel = worst_.channel->name();
    out.because =
        worst_.channel->quantity->label + " swings by " +
        format_si(worst_.swing.amplitude, Dimension::temperature_difference, context_.units) +
        " from peak to peak every " + format_duration(std::round(worst_.swing.period)) +
        ", and the " + second_.channel->quantity->label + " with it (" +
        format_si(second_.swing.amplitude, Dimension::temperature_difference, context_.units) +
        "), from " + format_instant(worst_window_.start, context_.recording.clock) + " to " +
        format_instant(worst_window_.end, context_.recording.clock) + ".";
    return out;
  }

  const CheckContext& context_;
  const Recording& recording_;
  const Place& module_;
  std::vector<const Channel*> signals_;
  const std::vector<int>& calling_;  ///< [n_time] units that call; empty: not logged
  double step_ = 0.0;
  double with_calls_ = 0.0;  ///< running whose swing comes with the calls [s]
  double shortest_ = 0.0;
  Seen worst_;
  Seen second_;
  Window worst_window_;
};

/// How many units call at each time; empty where no unit's calls are logged. What is worked out
/// from rooms and set points may come and go with noise.
std::vector<int> calling_units(const CheckContext& context) {
  std::vector<int> out;
  for (const Place& unit : context.recording.places(PlaceKind::indoor)) {
    const CallTrack calls = track_calls(context, unit);
    if (calls.source != "call flag") continue;
    out.resize(context.recording.size(), 0);
    for (std::size_t i = 0; i < out.size(); ++i) {
      out[i] += calls.state[i] == CallTrack::State::yes ? 1 : 0;
    }
  }
  return out;
}

}  // namespace

std::vector<Finding> hunting(const CheckContext& context) {
  std::vector<Finding> out;
  const std::vector<int> calling = calling_units(context);
  for (const Place& module : modules_of(context))
    out.push_back(HuntingJudge(context, module, calling).run());
  return out;
}

}  // namespace cw::check
