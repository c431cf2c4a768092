#include "checks/hold.h"

#include <algorithm>

namespace cw {
namespace {

/// Walks counted samples and tells runs apart; both find_held and observe are built on it, so that
/// what was seen and what was held are measured alike.
class RunWalker {
 public:
  RunWalker(double longest_step, double longest_pause)
      : longest_step_(longest_step), longest_pause_(longest_pause) {}

  /// Time that counts between the last counted sample and this one; negative when a new run begins.
  double advance(const Sample& sample) {
    if (sample.mask == Mask::ends) {
      active_ = false;
      return -1.0;
    }
    const double since_any = active_ ? seconds_between(last_any_, sample.time) : 0.0;
    if (active_ && since_any > longest_step_) active_ = false;
    last_any_ = sample.time;
    if (sample.mask == Mask::pauses) {
      paused_ = true;
      return -1.0;
    }
    if (!active_) {
      active_ = true;
      paused_ = false;
      last_counted_ = sample.time;
      return -1.0;
    }
    const double step = seconds_between(last_counted_, sample.time);
    last_counted_ = sample.time;
    if (!paused_) return step;
    paused_ = false;
    return step > longest_pause_ ? -1.0 : 0.0;
  }

 private:
  double longest_step_;
  double longest_pause_;
  bool active_ = false;
  bool paused_ = false;
  Instant last_any_;
  Instant last_counted_;
};

/// Beyond or not, with lone readings overruled by two neighbours that agree.
std::vector<bool> smoothed(const std::vector<Sample>& samples, double longest_step) {
  std::vector<std::size_t> counted;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (samples[i].mask == Mask::counts) counted.push_back(i);
  }
  std::vector<bool> out(samples.size(), false);
  for (std::size_t k = 0; k < counted.size(); ++k) {
    const std::size_t i = counted[k];
    out[i] = samples[i].beyond;
    if (k == 0 || k + 1 == counted.size()) continue;
    const Sample& before = samples[counted[k - 1]];
    const Sample& after = samples[counted[k + 1]];
    const bool adjacent = seconds_between(before.time, samples[i].time) <= longest_step &&
                          seconds_between(samples[i].time, after.time) <= longest_step;
    if (adjacent && before.beyond == after.beyond) out[i] = before.beyond;
  }
  return out;
}

}  // namespace

std::vector<Window> find_held(const std::vector<Sample>& samples, double hold, double longest_step,
                              double longest_pause, Side side) {
  const std::vector<bool> beyond = smoothed(samples, longest_step);
  std::vector<Window> out;
  RunWalker walker(longest_step, longest_pause);
  Window window;
  bool open = false;
  double since_beyond = 0.0;  // time behind the last reading that is truly beyond
  const auto close = [&] {
    if (open && window.held >= hold - 1e-6) out.push_back(window);
    open = false;
  };
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const Sample& sample = samples[i];
    const double step = walker.advance(sample);
    if (sample.mask == Mask::pauses) continue;
    if (sample.mask == Mask::ends || step < 0.0) close();
    if (sample.mask == Mask::ends) continue;
    if (!beyond[i]) {
      close();
      continue;
    }
    if (open) since_beyond += step;
    // An overruled reading does not end a window, but it is no end of one either.
    if (!sample.beyond) continue;
    if (!open) {
      window = {sample.time, sample.time, sample.value, sample.limit, 0.0};
      open = true;
    } else {
      window.held += since_beyond;
      window.end = sample.time;
      const double excess = (sample.value - sample.limit) * (side == Side::above ? 1.0 : -1.0);
      const double worst = (window.value - window.limit) * (side == Side::above ? 1.0 : -1.0);
      if (excess > worst) {
        window.value = sample.value;
        window.limit = sample.limit;
      }
    }
    since_beyond = 0.0;
  }
  close();
  return out;
}

Observed observe(const std::vector<Sample>& samples, double longest_step, double longest_pause) {
  Observed out;
  RunWalker walker(longest_step, longest_pause);
  double run = 0.0;
  for (const Sample& sample : samples) {
    const double step = walker.advance(sample);
    if (sample.mask == Mask::pauses) continue;
    if (sample.mask == Mask::ends || step < 0.0) run = 0.0;
    if (sample.mask == Mask::ends) continue;
    ++out.readings;
    if (step > 0.0) {
      run += step;
      out.total += step;
      out.longest = std::max(out.longest, run);
    }
  }
  return out;
}

}  // namespace cw
