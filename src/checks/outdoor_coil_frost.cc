#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "checks/catalogue.h"
#include "checks/held_judge.h"

namespace cw::check {
namespace {

constexpr const char* id = "outdoor-coil-frost";

/// The frost question for one outdoor module.
class FrostJudge {
 public:
  FrostJudge(const CheckContext& context, const Place& module)
      : context_(context),
        limits_(context.limits),
        module_(module),
        timeline_(context.phases.timeline_of(module)),
        coil_(context.recording.find(module.text, "coil_temperature")),
        outdoor_(outdoor_temperature_of(context.recording, module)) {
    for (const Defrost& defrost : context.phases.defrosts) {
      if (defrost.place == module) defrosts_.push_back(&defrost);
    }
  }

  Finding run() {
    if (coil_ == nullptr || outdoor_ == nullptr) {
      const char* what = coil_ == nullptr ? "No outdoor coil temperature in the log."
                                          : "No outdoor temperature in the log.";
      return unproven(id, module_, what, proof());
    }
    measure_depth();
    Finding finding;
    finding.check = id;
    finding.place = module_;
    finding.channel = coil_->name();
    finding.dimension = Dimension::temperature_difference;
    finding.verdict = Verdict::ok;
    finding.observed = frosting_time_;
    judge_missing_defrost(finding);
    judge_restoring(finding);
    judge_intervals(finding);
    if (finding.verdict == Verdict::ok) say_ok(finding);
    return finding;
  }

 private:
  double limit(const char* key) const { return limits_.value(std::string(id) + "." + key); }
  std::string difference(double k) const {
    return format_si(k, Dimension::temperature_difference, context_.units);
  }
  std::string temperature(double t) const {
    return format_si(t, Dimension::temperature, context_.units);
  }
  std::string proof() const {
    return "Record " + module_.text + ".coil_temperature and site.outdoor_temperature through " +
           format_duration(limit("no_defrost_hold")) +
           " of steady heating with the coil below freezing, or through a defrost and the 20 min "
           "after it.";
  }

  /// How far the coil is under outdoor air, and how long it could frost at all.
  void measure_depth() {
    const Recording& recording = context_.recording;
    Follower outdoor(recording, outdoor_);
    const double coil_limit = limit("frost_coil_below");
    const double depth_limit = limit("frost_under_outdoor_by");
    const double freezing = limit("frost_possible_below");
    const double step_limit = longest_step(*coil_);
    Instant last_cold{};
    bool was_cold = false;
    for (std::size_t i = 0; i < recording.size(); ++i) {
      Sample sample;
      sample.time = recording.time[i];
      sample.mask = mask_of(timeline_.kind_at[i], Regime::heating);
      // A defrost is what is asked for: it ends the wait for one.
      if (timeline_.kind_at[i] == PhaseKind::defrost) sample.mask = Mask::ends;
      const float coil = coil_->values[i];
      const float out = outdoor.at(i);
      if (is_missing(coil) || is_missing(out)) {
        if (sample.mask == Mask::ends) samples_.push_back(sample);
        continue;
      }
      sample.value = static_cast<double>(out) - static_cast<double>(coil);
      sample.limit = depth_limit;
      sample.beyond = is_beyond(static_cast<double>(coil), coil_limit, Side::below) &&
                      is_beyond(sample.value, depth_limit, Side::above);
      samples_.push_back(sample);
      const bool cold = sample.mask == Mask::counts && static_cast<double>(coil) < freezing;
      if (cold && was_cold && seconds_between(last_cold, sample.time) <= step_limit) {
        frosting_time_ += seconds_between(last_cold, sample.time);
      }
      was_cold = cold;
      last_cold = sample.time;
      if (sample.mask == Mask::counts) deepest_ = std::max(deepest_, sample.value);
    }
  }

  /// Mean depth of the counted samples in [from, to].
  double mean_depth(Instant from, Instant to) const {
    double sum = 0.0;
    double count = 0.0;
    for (const Sample& s : samples_) {
      if (s.mask != Mask::counts || s.time < from || s.time > to) continue;
      sum += s.value;
      count += 1.0;
    }
    return count > 0.0 ? sum / count : 0.0;
  }

  /// Growth of the depth from the first to the last third of a window [K].
  double growth(const Window& w) const {
    const std::int64_t third = (w.end.ms - w.start.ms) / 3;
    return mean_depth({w.end.ms - third}, w.end) - mean_depth(w.start, {w.start.ms + third});
  }

  void judge_missing_defrost(Finding& finding) {
    const std::vector<Window> windows =
        find_held(samples_, limit("no_defrost_hold"), longest_step(*coil_),
                  limits_.value("observation.longest_pause"), Side::above);
    for (const Window& window : windows) {
      const double grown = growth(window);
      const bool grows = grown >= limit("growing_by");
      // A slow log without a flag can miss a defrost altogether.
      const bool may_miss = slow() && timeline_.inferred_defrost;
      const Verdict verdict = grows && !may_miss ? Verdict::fault : Verdict::watch;
      finding.evidence.push_back({verdict, window, std::nullopt});
      if (verdict <= finding.verdict) continue;
      finding.verdict = verdict;
      finding.because = "The coil stood more than " + difference(window.limit) +
                        " under outdoor air for " + format_duration(window.held) + " from " +
                        format_instant(window.start, context_.recording.clock) +
                        " and no defrost " + (may_miss ? "was seen" : "came") + "; the distance " +
                        (grows ? "grew by " + difference(grown) : std::string("did not grow")) +
                        ", at worst " + difference(window.value) + ".";
      if (may_miss) {
        finding.because += " With readings every " + format_duration(coil_->interval) +
                           " a defrost that did not help can have been missed.";
      }
    }
  }

  enum class Restored { unknown, no, yes };

  /// Readings come so seldom that the peak of a defrost falls between them.
  bool slow() const { return coil_->interval > limit("peak_interval"); }

  Restored restored(const Defrost& d) const {
    const double before = d.outdoor_before - d.coil_before;
    const double after = d.outdoor_after - d.coil_after;
    // A defrost whose end is not in the log may have warmed the coil further, and so may one
    // between two readings of a slow log.
    if (d.coil_peak < limit("restored_peak")) {
      return d.complete && !slow() ? Restored::no : Restored::unknown;
    }
    if (std::isnan(before) || std::isnan(after)) {
      return std::isnan(d.coil_peak) ? Restored::unknown : Restored::yes;
    }
    // Still deep under outdoor air and not better than before: the frost is still there.
    const bool still_there = after > limit("frost_under_outdoor_by") && after > before - 1.0;
    return still_there ? Restored::no : Restored::yes;
  }

  void judge_restoring(Finding& finding) {
    std::size_t in_row = 0;
    for (const Defrost* d : defrosts_) {
      const Restored result = restored(*d);
      if (result == Restored::unknown) continue;
      in_row = result == Restored::yes ? 0 : in_row + 1;
      if (in_row == 0) continue;
      const Verdict verdict = in_row >= 2 ? Verdict::fault : Verdict::watch;
      const double after = d->outdoor_after - d->coil_after;
      finding.evidence.push_back(
          {verdict,
           {d->start, d->end, std::isnan(after) ? 0.0 : after, limit("frost_under_outdoor_by"),
            seconds_between(d->start, d->end)},
           std::nullopt});
      if (verdict <= finding.verdict) continue;
      finding.verdict = verdict;
      std::string saw;
      if (!std::isnan(d->coil_peak)) {
        saw = " warmed it to " + temperature(d->coil_peak);
        if (d->coil_peak < limit("restored_peak")) {
          saw += " only (" + temperature(limit("restored_peak")) + " shows a thawed coil)";
        }
      }
      if (!std::isnan(after)) {
        saw += (saw.empty() ? " left it" : ", and") + std::string(" 10 to 20 min later") +
               (saw.empty() ? " " : " it was ") + difference(after) + " under outdoor air again";
      }
      finding.because =
          (in_row >= 2 ? "Defrosts do not restore the coil: that of " : "The defrost of ") +
          format_instant(d->start, context_.recording.clock) + saw + "." +
          (in_row >= 2 ? "" : " One defrost alone is no proof.");
    }
  }

  void judge_intervals(Finding& finding) {
    const double shortest = limit("short_interval");
    const double needed = limit("short_intervals");
    double in_row = 0.0;
    const Defrost* first = nullptr;
    for (const Defrost* d : defrosts_) {
      const bool is_short = d->since_last && *d->since_last < shortest;
      if (!is_short) first = d;
      in_row = is_short ? in_row + 1.0 : 0.0;
      if (in_row != needed || first == nullptr) continue;
      finding.evidence.push_back(
          {Verdict::watch,
           {first->start, d->end, *d->since_last, shortest, seconds_between(first->start, d->end)},
           Dimension::time});
      if (finding.verdict >= Verdict::watch) continue;
      finding.verdict = Verdict::watch;
      finding.because = "Defrosts follow each other in less than " + format_duration(shortest) +
                        ", " + std::to_string(static_cast<int>(needed)) + " times in a row from " +
                        format_instant(first->start, context_.recording.clock) + ".";
    }
  }

  void say_ok(Finding& finding) {
    std::size_t seen = 0;  // defrosts that are known to have restored the coil
    double lowest_peak = std::nan("");
    for (const Defrost* d : defrosts_) {
      if (restored(*d) != Restored::yes) continue;
      ++seen;
      if (!(lowest_peak <= d->coil_peak)) lowest_peak = d->coil_peak;
    }
    const bool waited = frosting_time_ >= limit("no_defrost_hold");
    if (seen == 0 && !waited) {
      finding.verdict = Verdict::unproven;
      finding.proof = proof();
      if (slow() && !defrosts_.empty()) {
        finding.because = "Readings come every " + format_duration(coil_->interval) +
                          ": how warm the coil got in a defrost falls between them.";
        finding.proof = "Record " + module_.text +
                        ".coil_temperature at least every minute through two defrosts.";
        return;
      }
      finding.because = frosting_time_ > 0.0
                            ? "Only " + format_duration(frosting_time_) +
                                  " of steady heating with a coil below freezing, and no defrost" +
                                  (defrosts_.empty() ? "." : " that is logged to its end.")
                            : "The log shows no steady heating with a coil below freezing.";
      return;
    }
    if (seen == 0 && defrosts_.empty() && frosting_time_ <= 0.0) return;
    const std::string depth = " it stood at most " + difference(deepest_) + " under outdoor air.";
    if (seen == 0) {
      finding.because = (defrosts_.empty() ? "No defrost was seen and none was due: in " : "In ") +
                        format_duration(frosting_time_) + " with a coil below freezing" + depth;
      if (slow()) {
        finding.because += " Readings come every " + format_duration(coil_->interval) +
                           ": defrosts may have come and gone between them.";
      }
      return;
    }
    finding.because =
        std::to_string(seen) + (seen == 1 ? " defrost, which" : " defrosts, each of which") +
        (std::isnan(lowest_peak) ? std::string(" brought the coil back")
                                 : " warmed the coil to " + temperature(lowest_peak) + " or more") +
        "; in steady heating" + depth;
  }

  const CheckContext& context_;
  const LimitSheet& limits_;
  const Place& module_;
  const Timeline& timeline_;
  const Channel* coil_;
  const Channel* outdoor_;
  std::vector<const Defrost*> defrosts_;
  std::vector<Sample> samples_;
  double frosting_time_ = 0.0;
  double deepest_ = 0.0;
};

}  // namespace

std::vector<Finding> outdoor_coil_frost(const CheckContext& context) {
  std::vector<Finding> out;
  for (const Place& module : modules_of(context)) out.push_back(FrostJudge(context, module).run());
  return out;
}

}  // namespace cw::check
