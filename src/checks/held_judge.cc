#include "checks/held_judge.h"

#include <algorithm>
#include <cmath>

#include "base/contract.h"

namespace cw {

HeldJudge::HeldJudge(const CheckContext& context, std::string check, Place place,
                     const Channel* channel, Side side, std::function<Mask(std::size_t)> mask)
    : context_(context),
      check_(std::move(check)),
      place_(std::move(place)),
      channel_(channel),
      side_(side),
      mask_(std::move(mask)) {
  if (channel != nullptr) {
    dimension_ = channel->quantity->dimension;
    subject = channel->quantity->label;
  }
}

void HeldJudge::judge_value(Dimension dimension, std::function<double(std::size_t, double)> value) {
  dimension_ = dimension;
  value_ = std::move(value);
}

void HeldJudge::rule(Verdict verdict, double limit, double hold) {
  rule(
      verdict, [limit](std::size_t) { return limit; }, hold);
}

void HeldJudge::rule(Verdict verdict, std::function<double(std::size_t)> limit, double hold,
                     std::function<bool(std::size_t)> also, std::string also_text) {
  rules_.push_back({verdict, std::move(limit), hold, std::move(also), std::move(also_text)});
}

std::vector<Sample> HeldJudge::samples_for(const Rule& rule) const {
  const Recording& recording = context_.recording;
  std::vector<Sample> out;
  out.reserve(recording.size());
  for (std::size_t i = 0; i < recording.size(); ++i) {
    const Mask mask = mask_(i);
    const float reading = channel_->values[i];
    if (is_missing(reading)) {
      if (mask == Mask::ends) out.push_back({recording.time[i], 0.0, 0.0, mask, false});
      continue;
    }
    Sample sample;
    sample.time = recording.time[i];
    sample.mask = mask;
    if (mask == Mask::counts) {
      const double own = static_cast<double>(reading);
      sample.value = value_ ? value_(i, own) : own;
      sample.limit = rule.limit(i);
      if (std::isnan(sample.value) || std::isnan(sample.limit)) continue;
      sample.beyond = is_beyond(sample.value, sample.limit, side_) && (!rule.also || rule.also(i));
    }
    out.push_back(sample);
  }
  return out;
}

void HeldJudge::say_held(Finding& finding, const Rule& rule,
                         const std::vector<Window>& windows) const {
  const Window& longest =
      *std::max_element(windows.begin(), windows.end(),
                        [](const Window& a, const Window& b) { return a.held < b.held; });
  const Clock& clock = context_.recording.clock;
  finding.because = subject + (side_ == Side::above ? " above " : " below ") + show(longest.limit) +
                    " for " + format_duration(longest.held) + rule.also_text + ", from " +
                    format_instant(longest.start, clock) + " to " +
                    format_instant(longest.end, clock) + "; at worst " + show(longest.value) + ".";
  if (windows.size() > 1) {
    finding.because += " " + std::to_string(windows.size()) + " such times in all.";
  }
}

void HeldJudge::say_ok(Finding& finding, const std::vector<Sample>& samples,
                       const Rule& mildest) const {
  double extreme = std::nan("");
  double limit = 0.0;
  for (const Sample& s : samples) {
    if (s.mask != Mask::counts) continue;
    const bool worse = side_ == Side::above ? s.value - s.limit > extreme - limit
                                            : s.value - s.limit < extreme - limit;
    if (std::isnan(extreme) || worse) {
      extreme = s.value;
      limit = s.limit;
    }
  }
  finding.because = subject + " never held " + (side_ == Side::above ? "above " : "below ") +
                    show(limit) + " for " + format_duration(mildest.hold) + " in " +
                    format_duration(finding.observed) + " of " + condition + "; at worst " +
                    show(extreme) + ".";
}

std::string HeldJudge::nothing_seen() const {
  const std::vector<PhaseKind>& kinds = context_.phases.timeline_of(place_).kind_at;
  const auto unknown = std::count(kinds.begin(), kinds.end(), PhaseKind::unknown);
  const auto off = std::count(kinds.begin(), kinds.end(), PhaseKind::off);
  const auto running = static_cast<std::ptrdiff_t>(kinds.size()) - off;
  // Running that cannot be told from cooling is another gap in the log than not running.
  if (unknown > 0 && unknown * 2 > running) {
    return "The log does not show whether the machine heats or cools.";
  }
  return "The log never shows " + condition + ".";
}

Finding HeldJudge::finish() {
  CW_REQUIRE(!rules_.empty());
  if (channel_ == nullptr) return unproven(check_, place_, "No " + subject + " in the log.", proof);
  Finding finding;
  finding.check = check_;
  finding.place = place_;
  finding.channel = channel_->name();
  finding.dimension = dimension_;
  const double step = longest_step(*channel_);
  const double pause = context_.limits.value("observation.longest_pause");

  std::vector<Sample> samples;
  bool found = false;
  for (const Rule& rule : rules_) {
    samples = samples_for(rule);
    std::vector<Window> windows = find_held(samples, rule.hold, step, pause, side_);
    // A time that a worse rule has named already is not named again.
    std::erase_if(windows, [&](const Window& w) {
      return std::any_of(finding.evidence.begin(), finding.evidence.end(), [&](const Evidence& e) {
        return w.start <= e.window.end && e.window.start <= w.end;
      });
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
  const Observed seen = observe(samples, step, pause);
  finding.observed = seen.total;
  longest_run_ = seen.longest;
  const auto beyond = std::count_if(samples.begin(), samples.end(), [](const Sample& s) {
    return s.mask == Mask::counts && s.beyond;
  });
  if (seen.readings > 0) {
    beyond_share_ = static_cast<double>(beyond) / static_cast<double>(seen.readings);
  }
  if (found) return finding;
  if (seen.readings == 0 || seen.total < least_total || seen.longest < least_run) {
    Finding out = unproven(check_, place_,
                           seen.readings == 0
                               ? nothing_seen()
                               : "Only " + format_duration(seen.total) + " of " + condition +
                                     ", the longest stretch " + format_duration(seen.longest) + ".",
                           proof);
    out.channel = finding.channel;
    out.dimension = dimension_;
    out.observed = seen.total;
    return out;
  }
  finding.verdict = Verdict::ok;
  say_ok(finding, samples, rules_.back());
  return finding;
}

Mask heating_mask(PhaseKind kind) noexcept {
  switch (kind) {
    case PhaseKind::heating:
    case PhaseKind::mixed:
      return Mask::counts;
    case PhaseKind::starting:
    case PhaseKind::defrost:
    case PhaseKind::recovering:
      return Mask::pauses;
    default:
      return Mask::ends;
  }
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

}  // namespace cw
