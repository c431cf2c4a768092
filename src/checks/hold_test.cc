#include "checks/hold.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <optional>
#include <random>

namespace cw {
namespace {

constexpr double step = 30.0;         // s between samples
constexpr double longest_gap = 75.0;  // s: 2.5 intervals
constexpr double longest_break = 1800.0;

/// One letter a sample: B beyond the limit, I within it, p masked (pauses), e masked (ends),
/// '.' no reading. Samples follow each other by `step`.
std::vector<Sample> samples_of(std::string_view text, double seconds = step) {
  std::vector<Sample> out;
  for (std::size_t k = 0; k < text.size(); ++k) {
    Sample s;
    s.time = {static_cast<std::int64_t>(static_cast<double>(k) * seconds * 1e3)};
    s.limit = 100.0;
    s.value = text[k] == 'B' ? 101.0 : 99.0;
    s.beyond = text[k] == 'B';
    s.mask = text[k] == 'p' ? Mask::pauses : text[k] == 'e' ? Mask::ends : Mask::counts;
    if (text[k] != '.') out.push_back(s);
  }
  return out;
}

std::string times(std::string_view letter, int n) {
  std::string out;
  for (int i = 0; i < n; ++i) out += letter;
  return out;
}

std::vector<Window> held(std::string_view text, double hold, double pause = longest_break) {
  return find_held(samples_of(text), hold, longest_gap, pause, Side::above);
}

// A hold of 10 min at 30 s takes 21 readings: 20 steps.
constexpr double ten_minutes = 600.0;

TEST(Hold, OneSampleShortIsNoFinding) {
  EXPECT_TRUE(held("II" + times("B", 20) + "II", ten_minutes).empty());
}

TEST(Hold, ExactlyTheHoldIsAFinding) {
  const auto windows = held("II" + times("B", 21) + "II", ten_minutes);
  ASSERT_EQ(windows.size(), 1U);
  EXPECT_DOUBLE_EQ(windows[0].held, 600.0);
  EXPECT_EQ(windows[0].start.ms, 60'000);
  EXPECT_EQ(windows[0].end.ms, 660'000);
  EXPECT_EQ(windows[0].value, 101.0);
  EXPECT_EQ(windows[0].limit, 100.0);
}

TEST(Hold, OneMoreIsAFindingOneStepLonger) {
  const auto windows = held("II" + times("B", 22) + "II", ten_minutes);
  ASSERT_EQ(windows.size(), 1U);
  EXPECT_DOUBLE_EQ(windows[0].held, 630.0);
}

TEST(Hold, EdgesAtBothEndsOfTheRecording) {
  EXPECT_EQ(held(times("B", 21), ten_minutes).size(), 1U);
  EXPECT_TRUE(held(times("B", 20), ten_minutes).empty());
}

TEST(Hold, NothingAtAll) {
  EXPECT_TRUE(find_held({}, ten_minutes, longest_gap, longest_break, Side::above).empty());
  EXPECT_TRUE(held(times("I", 100), ten_minutes).empty());
}

TEST(Hold, OneLostSampleIsNoGap) {
  // 10 readings, one lost, 10 readings: 60 s between, under 75 s. 20 steps of 30 s in all.
  const auto windows = held(times("B", 10) + "." + times("B", 10), ten_minutes);
  ASSERT_EQ(windows.size(), 1U);
  EXPECT_DOUBLE_EQ(windows[0].held, 600.0);
}

TEST(Hold, TwoLostSamplesAreAGap) {
  EXPECT_TRUE(held(times("B", 12) + ".." + times("B", 12), ten_minutes).empty());
  const auto windows = held(times("B", 21) + ".." + times("B", 21), ten_minutes);
  ASSERT_EQ(windows.size(), 2U);
  EXPECT_DOUBLE_EQ(windows[0].held, 600.0);
  EXPECT_DOUBLE_EQ(windows[1].held, 600.0);
}

TEST(Hold, GapLimitItselfIsNoGap) {
  std::vector<Sample> samples = samples_of(times("B", 22));
  const auto move_second_half = [&](std::int64_t by) {
    std::vector<Sample> out = samples;
    for (std::size_t i = 11; i < out.size(); ++i) out[i].time.ms += by;
    return find_held(out, ten_minutes, longest_gap, longest_break, Side::above).size();
  };
  EXPECT_EQ(move_second_half(45'000), 1U);  // a step of 75.000 s
  EXPECT_EQ(move_second_half(45'001), 0U);  // a step of 75.001 s
}

TEST(Hold, ALoneReadingInsideDoesNotEndAHold) {
  const auto windows = held(times("B", 10) + "I" + times("B", 10), ten_minutes);
  ASSERT_EQ(windows.size(), 1U);
  EXPECT_DOUBLE_EQ(windows[0].held, 600.0);
  EXPECT_EQ(windows[0].value, 101.0) << "the worst reading, never the overruled one";
}

TEST(Hold, TwoReadingsInsideEndAHold) {
  EXPECT_TRUE(held(times("B", 12) + "II" + times("B", 12), ten_minutes).empty());
}

TEST(Hold, ALoneReadingBeyondStartsNothing) {
  EXPECT_TRUE(held("IIIBIII", 0.0).empty());
  EXPECT_TRUE(held("IIBIIBIIBII", 0.0).empty());
}

TEST(Hold, AlternatingReadingsHoldNothing) { EXPECT_TRUE(held(times("BI", 60), 60.0).empty()); }

TEST(Hold, AWindowBeginsAndEndsAtReadingsBeyond) {
  // The lone B before and behind would drag the overruled I beside it into the window.
  const auto windows = held("IIBI" + times("B", 21) + "IBII", 300.0);
  ASSERT_EQ(windows.size(), 1U);
  EXPECT_EQ(windows[0].start.ms, 4 * 30'000);
  EXPECT_EQ(windows[0].end.ms, 24 * 30'000);
  EXPECT_DOUBLE_EQ(windows[0].held, 600.0);
  EXPECT_TRUE(held("II" + times("B", 20) + "IBII", ten_minutes).empty())
      << "a reading within the limit completes no hold";
}

TEST(Hold, MasksThatPauseNeitherCountNorEnd) {
  // 11 readings = 300 s, a pause, 11 readings = 300 s: exactly the hold.
  const auto windows = held(times("B", 11) + times("p", 20) + times("B", 11), ten_minutes);
  ASSERT_EQ(windows.size(), 1U);
  EXPECT_DOUBLE_EQ(windows[0].held, 600.0);
  EXPECT_EQ(windows[0].end.ms - windows[0].start.ms, 41 * 30'000) << "the window spans the pause";
  EXPECT_TRUE(held(times("B", 11) + times("p", 20) + times("B", 10), ten_minutes).empty());
}

TEST(Hold, ValuesOfMaskedReadingsDoNotMatter) {
  std::vector<Sample> samples = samples_of(times("B", 11) + times("p", 5) + times("B", 11));
  for (Sample& s : samples) {
    if (s.mask != Mask::pauses) continue;
    s.value = 500.0;
    s.beyond = true;
  }
  const auto windows = find_held(samples, ten_minutes, longest_gap, longest_break, Side::above);
  ASSERT_EQ(windows.size(), 1U);
  EXPECT_EQ(windows[0].value, 101.0);
}

TEST(Hold, APauseAsLongAsAllowedGoesOnAndALongerOneEnds) {
  // 59 masked readings: the counted readings around them lie 60 steps = 1800 s apart.
  EXPECT_EQ(held(times("B", 11) + times("p", 59) + times("B", 11), ten_minutes).size(), 1U);
  EXPECT_TRUE(held(times("B", 11) + times("p", 60) + times("B", 11), ten_minutes).empty());
}

TEST(Hold, SeveralPausesEachWithinTheLimit) {
  const std::string piece = times("B", 11) + times("p", 50);
  const auto windows = held(piece + piece + piece + times("B", 11), 1200.0);
  ASSERT_EQ(windows.size(), 1U);
  EXPECT_DOUBLE_EQ(windows[0].held, 1200.0);
}

TEST(Hold, AGapInsideAPauseEnds) {
  EXPECT_TRUE(held(times("B", 11) + "pp...pp" + times("B", 11), ten_minutes).empty());
}

TEST(Hold, AReadingWithinTheLimitAfterAPauseEnds) {
  EXPECT_TRUE(held(times("B", 11) + "pppII" + times("B", 11), ten_minutes).empty());
}

TEST(Hold, MasksThatEndEnd) {
  EXPECT_TRUE(held(times("B", 12) + "e" + times("B", 12), ten_minutes).empty());
  EXPECT_TRUE(held(times("B", 12) + "ppepp" + times("B", 12), ten_minutes).empty());
  EXPECT_EQ(held(times("B", 21) + "e" + times("B", 21), ten_minutes).size(), 2U);
}

TEST(Hold, TheWorstReadingAndTheLimitAtIt) {
  std::vector<Sample> samples = samples_of(times("B", 21));
  samples[7].value = 112.0;
  samples[7].limit = 105.0;  // 7 beyond
  samples[9].value = 113.0;
  samples[9].limit = 110.0;  // 3 beyond
  auto windows = find_held(samples, ten_minutes, longest_gap, longest_break, Side::above);
  ASSERT_EQ(windows.size(), 1U);
  EXPECT_EQ(windows[0].value, 112.0);
  EXPECT_EQ(windows[0].limit, 105.0);
  for (Sample& s : samples) {
    s.value = -s.value;
    s.limit = -s.limit;
  }
  windows = find_held(samples, ten_minutes, longest_gap, longest_break, Side::below);
  ASSERT_EQ(windows.size(), 1U);
  EXPECT_EQ(windows[0].value, -112.0);
}

// --- the limit itself
// -----------------------------------------------------------------------------

TEST(Beyond, AtTheLimitIsNotBeyondIt) {
  EXPECT_FALSE(is_beyond(368.15, 368.15, Side::above));
  EXPECT_FALSE(is_beyond(368.15, 368.15, Side::below));
  EXPECT_TRUE(is_beyond(368.16, 368.15, Side::above));
  EXPECT_TRUE(is_beyond(368.14, 368.15, Side::below));
}

TEST(Beyond, StorageInFloat32DoesNotMoveAReadingOverTheLimit) {
  // Every tenth of a degree from -40 to 130 degC, stored as the recording stores it.
  for (int tenths = -400; tenths <= 1300; ++tenths) {
    const double t_degC = tenths / 10.0;
    const auto stored = static_cast<double>(static_cast<float>(t_degC + 273.15));
    EXPECT_FALSE(is_beyond(stored, t_degC + 273.15, Side::above)) << t_degC;
    EXPECT_FALSE(is_beyond(stored, t_degC + 273.15, Side::below)) << t_degC;
    const auto next = static_cast<double>(static_cast<float>(t_degC + 0.1 + 273.15));
    EXPECT_TRUE(is_beyond(next, t_degC + 273.15, Side::above)) << "a display digit is resolved";
  }
}

TEST(Beyond, ConvertedFromFahrenheit) {
  // 203 degF is 95 degC, 122 degF is 50 degC, 113 degF is 45 degC, 239 degF is 115 degC: exactly.
  for (const auto& [degF, degC] :
       {std::pair{203.0, 95.0}, {122.0, 50.0}, {113.0, 45.0}, {239.0, 115.0}, {120.2, 49.0}}) {
    const double si = (degF + 459.67) * 5.0 / 9.0;
    const auto stored = static_cast<double>(static_cast<float>(si));
    EXPECT_FALSE(is_beyond(stored, degC + 273.15, Side::above)) << degF;
    EXPECT_FALSE(is_beyond(stored, degC + 273.15, Side::below)) << degF;
  }
  // A difference of two float32 readings, 18 degF against 10 K.
  const auto hot = static_cast<float>((138.0 + 459.67) * 5.0 / 9.0);
  const auto cold = static_cast<float>((120.0 + 459.67) * 5.0 / 9.0);
  EXPECT_FALSE(is_beyond(static_cast<double>(hot - cold), 10.0, Side::below));
}

// --- what was seen
// --------------------------------------------------------------------------------

TEST(Observe, CountsOnlyWhatCounts) {
  const auto seen =
      observe(samples_of(times("I", 11) + times("p", 10) + times("B", 11) + "e" + times("I", 5)),
              longest_gap, longest_break);
  EXPECT_DOUBLE_EQ(seen.total, 300.0 + 300.0 + 120.0);
  EXPECT_DOUBLE_EQ(seen.longest, 600.0) << "a pause does not break what was seen";
  EXPECT_EQ(seen.readings, 27U);
}

TEST(Observe, GapsDoNotCount) {
  const auto seen =
      observe(samples_of(times("I", 11) + "...." + times("I", 11)), longest_gap, longest_break);
  EXPECT_DOUBLE_EQ(seen.total, 600.0);
  EXPECT_DOUBLE_EQ(seen.longest, 300.0);
}

TEST(Observe, NothingSeen) {
  const auto seen = observe(samples_of("ppppeeee"), longest_gap, longest_break);
  EXPECT_EQ(seen.readings, 0U);
  EXPECT_DOUBLE_EQ(seen.total, 0.0);
}

// --- against a reference
// --------------------------------------------------------------------------

/// The words of hold.h, tried on every pair of readings: no walking state, no cleverness, O(n^3).
class Reference {
 public:
  Reference(const std::vector<Sample>& samples, double gap, double pause)
      : all_(samples), gap_(gap), pause_(pause) {
    for (std::size_t i = 0; i < all_.size(); ++i) {
      if (all_[i].mask == Mask::counts) counted_.push_back(i);
    }
  }

  std::vector<Window> windows(double hold) const {
    std::vector<Window> out;
    std::size_t k = 0;
    while (k < counted_.size()) {
      // The longest chain from k whose readings are all beyond (after overruling).
      if (!overruled(k)) {
        ++k;
        continue;
      }
      std::size_t last = k;
      while (last + 1 < counted_.size() && overruled(last + 1) && link(last).has_value()) ++last;
      // From the first to the last reading that is truly beyond.
      std::size_t a = k;
      std::size_t b = last;
      while (a <= b && !sample(a).beyond) ++a;
      while (b > a && !sample(b).beyond) --b;
      if (a <= b && sample(a).beyond) {
        Window w{sample(a).time, sample(b).time, sample(a).value, sample(a).limit, 0.0};
        for (std::size_t j = a; j < b; ++j) w.held += *link(j);
        for (std::size_t j = a; j <= b; ++j) {
          if (sample(j).beyond && sample(j).value - sample(j).limit > w.value - w.limit) {
            w.value = sample(j).value;
            w.limit = sample(j).limit;
          }
        }
        if (w.held >= hold) out.push_back(w);
      }
      k = last + 1;
    }
    return out;
  }

 private:
  const Sample& sample(std::size_t k) const { return all_[counted_[k]]; }

  /// Time that counts between counted readings k and k+1; empty where a hold ends between them.
  std::optional<double> link(std::size_t k) const {
    bool masked = false;
    for (std::size_t i = counted_[k]; i < counted_[k + 1]; ++i) {
      if (seconds_between(all_[i].time, all_[i + 1].time) > gap_) return std::nullopt;
      if (all_[i + 1].mask == Mask::ends) return std::nullopt;
      masked |= all_[i + 1].mask == Mask::pauses;
    }
    const double apart = seconds_between(sample(k).time, sample(k + 1).time);
    if (!masked) return apart;
    if (apart > pause_) return std::nullopt;
    return 0.0;
  }

  /// Beyond, unless both neighbours (near enough) agree that it is not; and the reverse.
  bool overruled(std::size_t k) const {
    if (k == 0 || k + 1 == counted_.size()) return sample(k).beyond;
    const Sample& before = sample(k - 1);
    const Sample& after = sample(k + 1);
    const bool near = seconds_between(before.time, sample(k).time) <= gap_ &&
                      seconds_between(sample(k).time, after.time) <= gap_;
    return near && before.beyond == after.beyond ? before.beyond : sample(k).beyond;
  }

  const std::vector<Sample>& all_;
  double gap_;
  double pause_;
  std::vector<std::size_t> counted_;
};

/// A random log: stretches of each kind, with jittered steps, lost samples and lone readings.
std::vector<Sample> random_samples(std::mt19937& random, std::size_t size) {
  const auto below = [&](unsigned n) { return static_cast<int>(random() % n); };
  std::vector<Sample> out;
  std::int64_t now = 0;
  Mask mask = Mask::counts;
  bool beyond = false;
  while (out.size() < size) {
    if (below(6) == 0) {
      const int pick = below(8);
      mask = pick < 5 ? Mask::counts : pick < 7 ? Mask::pauses : Mask::ends;
    }
    if (below(5) == 0) beyond = !beyond;
    const int wait = below(20);
    now += wait == 0 ? 76'000 : wait == 1 ? 75'000 : wait == 2 ? 60'000 : 30'000;
    Sample s;
    s.time = {now};
    s.mask = mask;
    s.limit = 100.0 + below(3);
    s.beyond = (below(10) == 0) != beyond;
    s.value = s.limit + (s.beyond ? 1.0 + below(9) : -1.0 - below(9));
    out.push_back(s);
  }
  return out;
}

TEST(HoldProperty, AgreesWithTheReference) {
  std::size_t found = 0;
  for (std::uint32_t seed = 1; seed <= 3000; ++seed) {
    std::mt19937 random(seed);
    const auto samples = random_samples(random, 20 + random() % 100);
    const double pause = 60.0 * static_cast<double>(1 + random() % 6);
    const double hold = 30.0 * static_cast<double>(random() % 12);
    const auto got = find_held(samples, hold, longest_gap, pause, Side::above);
    const auto want = Reference(samples, longest_gap, pause).windows(hold);
    ASSERT_EQ(got.size(), want.size()) << "seed " << seed;
    for (std::size_t i = 0; i < got.size(); ++i) {
      ASSERT_EQ(got[i].start, want[i].start) << "seed " << seed;
      ASSERT_EQ(got[i].end, want[i].end) << "seed " << seed;
      ASSERT_DOUBLE_EQ(got[i].held, want[i].held) << "seed " << seed;
      ASSERT_EQ(got[i].value, want[i].value) << "seed " << seed;
      ASSERT_EQ(got[i].limit, want[i].limit) << "seed " << seed;
    }
    found += got.size();
  }
  EXPECT_GT(found, 3000U) << "the random logs must contain what is tested";
}

TEST(HoldProperty, LongerHoldsFindASubset) {
  for (std::uint32_t seed = 1; seed <= 300; ++seed) {
    std::mt19937 random(seed);
    const auto samples = random_samples(random, 200);
    std::size_t last = samples.size();
    for (double hold = 0.0; hold <= 900.0; hold += 30.0) {
      const std::size_t now =
          find_held(samples, hold, longest_gap, longest_break, Side::above).size();
      EXPECT_LE(now, last);
      last = now;
    }
  }
}

TEST(HoldProperty, NothingIsHeldLongerThanItWasSeen) {
  for (std::uint32_t seed = 1; seed <= 300; ++seed) {
    std::mt19937 random(seed);
    const auto samples = random_samples(random, 200);
    const Observed seen = observe(samples, longest_gap, longest_break);
    double sum = 0.0;
    for (const Window& w : find_held(samples, 0.0, longest_gap, longest_break, Side::above)) {
      EXPECT_LE(w.held, seen.longest);
      EXPECT_LE(w.held, seconds_between(w.start, w.end));
      sum += w.held;
    }
    EXPECT_LE(sum, seen.total);
  }
}

}  // namespace
}  // namespace cw
