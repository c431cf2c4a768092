#include "checks/held_judge.h"

#include <algorithm>
#include <cmath>

#include "base/contract.h"
#include "base/text.h"
#include "checks/uncertainty.h"

namespace cw {

HeldJudge::HeldJudge(const CheckContext& context, std::string check, Place place,
                     const Channel* channel, Side side, std::vector<Mask> masks)
    : context_(context),
      check_(std::move(check)),
      place_(std::move(place)),
      channel_(channel),
      side_(side),
      masks_(std::move(masks)) {
  if (channel == nullptr) return;
  dimension_ = channel->quantity->dimension;
  subject = channel->quantity->label;
  name_ = channel->quantity->name;
  guard = uncertainty_of(context, *channel);
}

void HeldJudge::judge_value(Dimension dimension, std::function<double(std::size_t, double)> value) {
  dimension_ = dimension;
  value_ = std::move(value);
}

void HeldJudge::judge_value(std::string name, Dimension dimension, double uncertainty,
                            std::function<double(std::size_t, double)> value) {
  judge_value(dimension, std::move(value));
  name_ = std::move(name);
  guard = uncertainty;
}

void HeldJudge::rule(Verdict verdict, double limit, double hold) {
  rule(verdict, side_, limit, hold);
}

void HeldJudge::rule(Verdict verdict, Side side, double limit, double hold) {
  rules_.push_back({verdict, side, [limit](std::size_t) { return limit; }, hold, {}, {}, limit});
}

void HeldJudge::rule(Verdict verdict, std::function<double(std::size_t)> limit, double hold,
                     std::function<bool(std::size_t)> also, std::string also_text) {
  rules_.push_back({verdict, side_, std::move(limit), hold, std::move(also), std::move(also_text),
                    std::nullopt});
}

void HeldJudge::rules_of_sheet() {
  for (const auto& [verdict, word] :
       {std::pair{Verdict::fault, "fault"}, std::pair{Verdict::watch, "watch"}}) {
    for (const auto& [side, end] :
         {std::pair{Side::above, "_above"}, std::pair{Side::below, "_below"}}) {
      const std::string key = check_ + "." + word;
      if (!context_.limits.has(key + end)) continue;
      rule(verdict, side, context_.limits.value(key + end), context_.limits.value(key + "_hold"));
    }
  }
}

void HeldJudge::asks_for(const std::string& channels) {
  least_total = context_.limits.value("observation.least");
  least_run = context_.limits.value(check_ + ".watch_hold");
  proof = "Record " + channels + " through at least " + format_duration(least_total) + " of " +
          condition + ".";
}

double HeldJudge::longest_step() const { return cw::longest_step(*channel_); }

std::vector<Sample> HeldJudge::take_samples() {
  const Recording& recording = context_.recording;
  std::vector<Sample> out;
  out.reserve(recording.size());
  index_.reserve(recording.size());
  for (std::size_t i = 0; i < recording.size(); ++i) {
    const Mask mask = masks_[i];
    const float reading = channel_->values[i];
    if (is_missing(reading) && mask == Mask::counts) continue;
    Sample sample;
    sample.time = recording.time[i];
    sample.mask = mask;
    if (mask == Mask::counts) {
      const double own = static_cast<double>(reading);
      sample.value = value_ ? value_(i, own) : own;
      if (std::isnan(sample.value)) continue;
    } else if (!out.empty() && out.back().mask == Mask::ends && mask == Mask::ends) {
      continue;  // one end is enough
    }
    out.push_back(sample);
    index_.push_back(i);
  }
  return out;
}

bool HeldJudge::apply(const Rule& rule, double margin, std::vector<Sample>& samples) const {
  const double outwards = rule.side == Side::above ? margin : -margin;
  bool any = false;
  for (std::size_t k = 0; k < samples.size(); ++k) {
    Sample& sample = samples[k];
    if (sample.mask != Mask::counts) continue;
    sample.limit = rule.constant ? *rule.constant : rule.limit(index_[k]);
    sample.beyond = is_beyond(sample.value, sample.limit + outwards, rule.side) &&
                    (!rule.also || rule.also(index_[k]));
    any = any || sample.beyond;
  }
  return any;
}

namespace {

bool overlap(const Window& a, const Window& b) { return a.start <= b.end && b.start <= a.end; }

/// Why a window is longer by the clock than the time that it counts.
std::string masked_text(const Window& window) {
  const double masked = seconds_between(window.start, window.end) - window.held;
  return masked < 60.0 ? "" : " (start-up, defrosts and recovery not counted)";
}

std::string beyond_word(Side side) { return side == Side::above ? " above " : " below "; }

/// How far a window's worst reading is beyond its limit.
double excess(const Window& w, Side side) {
  return (w.value - w.limit) * (side == Side::above ? 1.0 : -1.0);
}

const Window& longest_of(const std::vector<Window>& windows) {
  return *std::max_element(windows.begin(), windows.end(),
                           [](const Window& a, const Window& b) { return a.held < b.held; });
}

const Window& worst_of(const std::vector<Window>& windows, Side side) {
  return *std::max_element(
      windows.begin(), windows.end(),
      [side](const Window& a, const Window& b) { return excess(a, side) < excess(b, side); });
}

}  // namespace

std::vector<Window> HeldJudge::windows_of(const Rule& rule, std::vector<Sample>& samples,
                                          std::vector<Window>& near) const {
  if (!apply(rule, 0.0, samples)) return {};
  std::vector<Window> plain =
      find_held(samples, rule.hold, longest_step(), longest_pause(), rule.side);
  if (guard <= 0.0 || plain.empty()) return plain;
  std::vector<Window> certain;
  if (apply(rule, guard, samples)) {
    certain = find_held(samples, rule.hold, longest_step(), longest_pause(), rule.side);
  }
  apply(rule, 0.0, samples);
  std::vector<Window> out;
  for (const Window& window : plain) {
    const bool sure = std::any_of(certain.begin(), certain.end(),
                                  [&](const Window& w) { return overlap(w, window); });
    (sure ? out : near).push_back(window);
  }
  return out;
}

std::string HeldJudge::show(double si) const {
  // A ratio of pressures is no share: nobody says 280 %.
  if (name_ == "pressure_ratio") return number_text(si, 3);
  return format_si(si, dimension_, context_.units);
}

std::string HeldJudge::show_guard() const {
  const Dimension dimension = dimension_ == Dimension::temperature
                                  ? Dimension::temperature_difference
                              : dimension_ == Dimension::pressure ? Dimension::pressure_difference
                                                                  : dimension_;
  return format_si(guard, dimension, context_.units);
}

void HeldJudge::say_held(Finding& finding, const Rule& rule,
                         const std::vector<Window>& windows) const {
  const Window& longest = longest_of(windows);
  const Clock& clock = context_.recording.clock;
  finding.because = subject + beyond_word(rule.side) + show(longest.limit) + " for " +
                    format_duration(longest.held) + rule.also_text + ", from " +
                    format_instant(longest.start, clock) + " to " +
                    format_instant(longest.end, clock) + masked_text(longest) +
                    (rule.side == Side::above ? "; highest " : "; lowest ") +
                    show(worst_of(windows, rule.side).value);
  if (guard > 0.0) finding.because += " ± " + show_guard();
  finding.because += ".";
  if (windows.size() > 1) {
    finding.because += " " + std::to_string(windows.size()) + " such times in all.";
  }
}

std::string HeldJudge::near_text(const Rule& rule, const std::vector<Window>& windows) const {
  const Window& longest = longest_of(windows);
  return subject + beyond_word(rule.side) + show(longest.limit) + " for " +
         format_duration(longest.held) + " from " +
         format_instant(longest.start, context_.recording.clock) +
         (rule.side == Side::above ? ", highest " : ", lowest ") +
         show(worst_of(windows, rule.side).value) + ": closer to the limit than the sensors can " +
         "tell (± " + show_guard() + ").";
}

std::vector<const HeldJudge::Rule*> HeldJudge::mildest() const {
  const Rule* low = nullptr;
  const Rule* high = nullptr;
  for (const Rule& rule : rules_) (rule.side == Side::above ? high : low) = &rule;
  std::vector<const Rule*> out;
  for (const Rule* rule : {low, high}) {
    if (rule != nullptr) out.push_back(rule);
  }
  return out;
}

void HeldJudge::say_ok(Finding& finding, const std::vector<Sample>& samples) const {
  std::string limits;
  std::string extremes;
  double hold = 0.0;
  for (const Rule* rule : mildest()) {
    const double sign = rule->side == Side::above ? 1.0 : -1.0;
    double extreme = std::nan("");
    double limit = 0.0;
    for (std::size_t k = 0; k < samples.size(); ++k) {
      const Sample& s = samples[k];
      if (s.mask != Mask::counts) continue;
      const double here = rule->constant ? *rule->constant : rule->limit(index_[k]);
      if (std::isnan(extreme) || (s.value - here) * sign > (extreme - limit) * sign) {
        extreme = s.value;
        limit = here;
      }
    }
    const bool above = rule->side == Side::above;
    limits +=
        (limits.empty() ? "" : " or ") + std::string(above ? "above " : "below ") + show(limit);
    extremes += (extremes.empty() ? "" : ", ") + std::string(above ? "highest " : "lowest ") +
                show(extreme);
    hold = rule->hold;
  }
  finding.because = subject + " never held " + limits + " for " + format_duration(hold) + " in " +
                    format_duration(finding.observed) + " of " + condition + "; " + extremes + ".";
  if (channel_->interval > hold) {
    finding.because += " Readings come every " + format_duration(channel_->interval) +
                       ": what lasts less can fall between them.";
  }
}

std::string HeldJudge::nothing_seen() const {
  const std::vector<PhaseKind>& kinds = context_.phases.timeline_of(place_).kind_at;
  const auto count = [&](PhaseKind kind) {
    return static_cast<std::size_t>(std::count(kinds.begin(), kinds.end(), kind));
  };
  const std::size_t off = count(PhaseKind::off);
  const std::size_t running = kinds.size() - off;
  if (running == 0 && !kinds.empty()) {
    const std::vector<PhaseKind>& all = context_.phases.system.kind_at;
    const bool others =
        std::any_of(all.begin(), all.end(), [](PhaseKind kind) { return kind != PhaseKind::off; });
    return others ? "Its compressor does not run in this log." : "No compressor runs in this log.";
  }
  if (const std::size_t unknown = count(PhaseKind::unknown); unknown > 0 && unknown * 2 > running) {
    return "The log does not show whether the machine heats or cools.";
  }
  if (const std::size_t thawing = count(PhaseKind::defrost); thawing * 2 > running) {
    return "The log says defrost in nearly all of the running time: a defrost flag that does not "
           "clear shows nothing.";
  }
  return "The log never shows " + condition + ".";
}

Measure HeldJudge::measure(const std::vector<Sample>& samples) const {
  Measure out;
  out.name = name_;
  out.dimension = dimension_;
  out.uncertainty = guard;
  std::vector<double> values;
  for (const Sample& s : samples) {
    if (s.mask == Mask::counts) values.push_back(s.value);
  }
  for (const Rule* rule : mildest()) {
    double sum = 0.0;
    for (std::size_t k = 0; !rule->constant && k < samples.size(); ++k) {
      if (samples[k].mask == Mask::counts) sum += rule->limit(index_[k]);
    }
    const double limit = rule->constant   ? *rule->constant
                         : values.empty() ? std::nan("")
                                          : sum / static_cast<double>(values.size());
    (rule->side == Side::above ? out.expected_high : out.expected_low) = limit;
  }
  out.value = percentile_of(values, 0.5);
  out.low = percentile_of(values, 0.05);
  out.high = percentile_of(values, 0.95);
  std::size_t k = 0;
  for (const SteadyWindow& window : context_.windows) {
    std::vector<double> inside;
    while (k < samples.size() && samples[k].time < window.start) ++k;
    for (; k < samples.size() && samples[k].time <= window.end; ++k) {
      if (samples[k].mask == Mask::counts) inside.push_back(samples[k].value);
    }
    out.by_window.push_back(percentile_of(inside, 0.5));
  }
  return out;
}

Finding HeldJudge::open(const Finding& finding, std::string because) const {
  Finding out = finding;
  out.verdict = Verdict::unproven;
  out.because = std::move(because);
  out.proof = proof;
  out.evidence.clear();
  return out;
}

Finding HeldJudge::finish_instant(Finding finding, std::vector<Sample>& samples) const {
  const auto counted = [](const Sample& s) { return s.mask == Mask::counts; };
  const auto at = std::find_if(samples.begin(), samples.end(), counted);
  if (at == samples.end()) return open(finding, nothing_seen());
  const std::string reads = subject + " reads " + show(at->value);
  for (const Rule& rule : rules_) {
    if (!apply(rule, 0.0, samples)) continue;
    const std::string limit = beyond_word(rule.side) + show(at->limit);
    const bool sure = apply(rule, guard, samples);
    if (!sure) continue;
    finding.verdict = Verdict::watch;
    finding.because = reads + "," + limit + rule.also_text +
                      ". One reading cannot show whether it " + "is held; for " +
                      format_duration(rule.hold) + " it would be " +
                      (rule.verdict == Verdict::fault ? "a fault." : "worth watching.");
    finding.evidence.push_back(
        {Verdict::watch, {at->time, at->time, at->value, at->limit, 0.0}, std::nullopt});
    return finding;
  }
  for (const Rule* rule : mildest()) {
    if (!apply(*rule, 0.0, samples)) continue;
    return open(finding, reads + "," + beyond_word(rule->side) + show(at->limit) +
                             ": closer to the limit than the sensors can tell (± " + show_guard() +
                             ").");
  }
  finding.verdict = Verdict::ok;
  std::string limits;
  for (const Rule* rule : mildest()) {
    apply(*rule, 0.0, samples);
    limits += (limits.empty() ? "not" : " nor") + beyond_word(rule->side) + show(at->limit);
  }
  finding.because = reads + ", " + limits + " at this moment.";
  return finding;
}

Finding HeldJudge::finish() {
  CW_REQUIRE(!rules_.empty());
  if (channel_ == nullptr) return unproven(check_, place_, "No " + subject + " in the log.", proof);
  Finding finding;
  finding.check = check_;
  finding.place = place_;
  finding.channel = channel_->name();
  finding.dimension = dimension_;
  std::vector<Sample> samples = take_samples();
  const Observed seen = observe(samples, longest_step(), longest_pause());
  finding.observed = seen.total;
  longest_run_ = seen.longest;
  finding.measures.push_back(measure(samples));
  finding.measures.back().seconds = seen.total;
  if (context_.instant) return finish_instant(std::move(finding), samples);

  bool found = false;
  std::string near_words;
  std::size_t beyond = 0;
  for (const Rule& rule : rules_) {
    std::vector<Window> near;
    std::vector<Window> windows = windows_of(rule, samples, near);
    beyond = std::max(beyond, static_cast<std::size_t>(std::count_if(
                                  samples.begin(), samples.end(), [](const Sample& s) {
                                    return s.mask == Mask::counts && s.beyond;
                                  })));
    if (!near.empty()) near_words = near_text(rule, near);
    // A time that a worse rule has named already is not named again.
    std::erase_if(windows, [&](const Window& w) {
      return std::any_of(finding.evidence.begin(), finding.evidence.end(),
                         [&](const Evidence& e) { return overlap(w, e.window); });
    });
    if (windows.empty()) continue;
    if (!found) {
      finding.verdict = rule.verdict;
      say_held(finding, rule, windows);
      found = true;
    }
    for (const Window& window : windows)
      finding.evidence.push_back({rule.verdict, window, std::nullopt});
  }
  std::stable_sort(
      finding.evidence.begin(), finding.evidence.end(),
      [](const Evidence& a, const Evidence& b) { return a.window.start < b.window.start; });
  if (seen.readings > 0) {
    beyond_share_ = static_cast<double>(beyond) / static_cast<double>(seen.readings);
  }
  if (found) return finding;
  if (seen.readings == 0 || seen.total < least_total || seen.longest < least_run) {
    return open(finding, seen.readings == 0
                             ? nothing_seen()
                             : "Only " + format_duration(seen.total) + " of " + condition +
                                   ", the longest stretch " + format_duration(seen.longest) + ".");
  }
  if (const double least = context_.limits.value("observation.least_readings");
      static_cast<double>(seen.readings) < least) {
    Finding few = open(finding, "Only " + std::to_string(seen.readings) + " readings, " +
                                    format_duration(channel_->interval) + " apart, in " +
                                    condition + ": too few to call it well.");
    few.proof += " A reading a minute is enough.";
    return few;
  }
  if (!near_words.empty()) return open(finding, near_words);
  if (beyond_share_ > 0.9) {
    // Nothing was held long enough, but nothing else was seen either: that is no good news.
    return open(finding, subject + " stood on the wrong side of its limit in nearly all of the " +
                             format_duration(seen.total) +
                             " that counted, in stretches too short to call it held.");
  }
  finding.verdict = Verdict::ok;
  say_ok(finding, samples);
  return finding;
}

std::vector<Place> judged_places(const Recording& recording, const Place& module,
                                 std::string_view quantity) {
  std::vector<Place> out;
  for (const Place& compressor : recording.places(PlaceKind::compressor)) {
    if (compressor.module() == module.text &&
        recording.find(compressor.text, quantity) != nullptr) {
      out.push_back(compressor);
    }
  }
  if (out.empty() || recording.find(module.text, quantity) != nullptr) {
    out.insert(out.begin(), module);
  }
  return out;
}

std::string missing_input(const Recording& recording, const Place& place,
                          const std::vector<std::string_view>& quantities) {
  const Quantity* quantity = nullptr;
  for (const std::string_view name : quantities) {
    quantity = find_quantity(name);
    CW_REQUIRE(quantity != nullptr);
    if (recording.find_upward(place, name) == nullptr) break;
  }
  return quantity->label;
}

std::vector<Place> modules_of(const CheckContext& context) {
  std::vector<Place> out;
  for (const Timeline& timeline : context.phases.modules) out.push_back(timeline.place);
  return out;
}

Finding unproven(std::string check, Place place, std::string because, std::string proof) {
  Finding out;
  out.check = std::move(check);
  out.place = std::move(place);
  out.verdict = Verdict::unproven;
  out.because = std::move(because);
  out.proof = std::move(proof);
  return out;
}

Place whole_system() { return *parse_place("system"); }

double percentile_of(std::vector<double>& values, double share) {
  if (values.empty()) return std::nan("");
  const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1) + 0.5);
  std::nth_element(values.begin(), values.begin() + at, values.end());
  return values[static_cast<std::size_t>(at)];
}

}  // namespace cw
