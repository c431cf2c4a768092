#include "series/pyramid.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "series/recording.h"

namespace cw {
namespace {

/// One channel over irregular stamps with holes: rows fall out, readings are missing, and the
/// logger was off now and then.
Recording recording_of(std::size_t rows, unsigned seed, double filled) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  Recording out;
  Channel channel;
  channel.place = *parse_place("outdoor.1");
  channel.quantity = find_quantity("discharge_temperature");
  std::int64_t ms = 1768370400000;
  for (std::size_t i = 0; i < rows; ++i) {
    ms += share(random) < 0.002 ? 4000000 : 60000 + static_cast<std::int64_t>(share(random) * 500);
    out.time.push_back({ms});
    channel.values.push_back(share(random) < filled ? static_cast<float>(300 + 50 * share(random))
                                                    : missing);
  }
  measure_interval(out, channel);
  out.channels.push_back(std::move(channel));
  return out;
}

/// The definition in pyramid.h, reading by reading.
std::vector<Bucket> plain_overview(const Recording& recording, Instant from, Instant to,
                                   std::size_t buckets) {
  const Channel& channel = recording.channels.front();
  std::vector<Bucket> out(buckets);
  const auto limit = static_cast<std::int64_t>(longest_step(channel) * 1e3);
  bool any = false;
  Instant last;
  for (std::size_t i = 0; i < recording.size(); ++i) {
    const float value = channel.values[i];
    const Instant now = recording.time[i];
    if (is_missing(value) || now > to) continue;
    const bool lift = !any || now.ms - last.ms > limit;
    any = true;
    last = now;
    if (now < from) continue;
    std::size_t k = buckets - 1;
    while (k > 0 && now.ms < from.ms + static_cast<std::int64_t>(
                                           static_cast<double>(to.ms - from.ms) *
                                           (static_cast<double>(k) / static_cast<double>(buckets))))
      --k;
    Bucket& bucket = out[k];
    if (bucket.empty) {
      bucket = {value, value, value, value, now, now, false, lift, false};
      continue;
    }
    bucket.lowest = std::min(bucket.lowest, value);
    bucket.highest = std::max(bucket.highest, value);
    bucket.gap_inside = bucket.gap_inside || lift;
    bucket.last = value;
    bucket.last_time = now;
  }
  return out;
}

void expect_same(const std::vector<Bucket>& a, const std::vector<Bucket>& b, const char* what) {
  ASSERT_EQ(a.size(), b.size());
  for (std::size_t k = 0; k < a.size(); ++k) {
    SCOPED_TRACE(std::string(what) + ", piece " + std::to_string(k));
    ASSERT_EQ(a[k].empty, b[k].empty);
    if (a[k].empty) continue;
    ASSERT_EQ(a[k].lowest, b[k].lowest);
    ASSERT_EQ(a[k].highest, b[k].highest);
    ASSERT_EQ(a[k].first, b[k].first);
    ASSERT_EQ(a[k].last, b[k].last);
    ASSERT_EQ(a[k].first_time, b[k].first_time);
    ASSERT_EQ(a[k].last_time, b[k].last_time);
    ASSERT_EQ(a[k].gap_before, b[k].gap_before);
    ASSERT_EQ(a[k].gap_inside, b[k].gap_inside);
  }
}

TEST(Pyramid, AgreesWithTheReadingsForAnyWindow) {
  for (const double filled : {1.0, 0.6, 0.001}) {
    Recording walked = recording_of(20000, 7, filled);
    Recording stacked = walked;
    add_pyramids(stacked);
    ASSERT_NE(stacked.channels.front().pyramid, nullptr);
    EXPECT_EQ(stacked.channels.front().pyramid->levels().size(), 3U);
    std::mt19937 random(11);
    for (int round = 0; round < 30; ++round) {
      const auto pick = [&] {
        const std::int64_t span = walked.time.back().ms - walked.time.front().ms;
        return Instant{walked.time.front().ms - 100000 +
                       static_cast<std::int64_t>(random() % 1000000) * (span + 200000) / 1000000};
      };
      Instant from = pick();
      Instant to = pick();
      if (to < from) std::swap(from, to);
      const std::size_t buckets = 1 + random() % (round % 3 == 0 ? 5000 : 40);
      const auto expected = plain_overview(walked, from, to, buckets);
      expect_same(overview(walked, walked.channels.front(), from, to, buckets), expected, "rows");
      expect_same(overview(stacked, stacked.channels.front(), from, to, buckets), expected,
                  "pyramid");
    }
  }
}

TEST(Pyramid, WholeRecordingHoldsTheLastReading) {
  const Recording r = recording_of(1000, 3, 1.0);
  const auto all = overview(r, r.channels.front(), r.time.front(), r.time.back(), 10);
  EXPECT_EQ(all.front().first_time, r.time.front());
  EXPECT_EQ(all.back().last_time, r.time.back());
  EXPECT_EQ(all.back().last, r.channels.front().values.back());
  const auto one = overview(r, r.channels.front(), r.time[5], r.time[5], 1);
  ASSERT_FALSE(one.front().empty);
  EXPECT_EQ(one.front().lowest, r.channels.front().values[5]);
}

TEST(Pyramid, NothingWhereNothingWas) {
  const Recording r = recording_of(100, 3, 1.0);
  const Channel& channel = r.channels.front();
  for (const Bucket& b : overview(r, channel, {0}, {1000}, 5)) EXPECT_TRUE(b.empty);
  for (const Bucket& b : overview(r, channel, r.time.back(), r.time.front(), 5)) {
    EXPECT_TRUE(b.empty);
  }
  EXPECT_TRUE(overview(r, channel, r.time.front(), r.time.back(), 0).empty());
  Recording nothing;
  nothing.channels.push_back({channel.place, channel.quantity, {}, "", 0.0, nullptr});
  add_pyramids(nothing);
  for (const Bucket& b : overview(nothing, nothing.channels.front(), {0}, {1}, 2)) {
    EXPECT_TRUE(b.empty);
  }
}

/// Between two samples of a logger there is no gap however short the pieces are; where samples are
/// lost there is one.
TEST(Pyramid, ZoomedInThePenStaysDownBetweenSamples) {
  Recording r;
  Channel channel;
  channel.place = *parse_place("site");
  channel.quantity = find_quantity("outdoor_temperature");
  for (int i = 0; i < 20; ++i) {
    if (i >= 10 && i < 14) continue;  // four lost samples
    r.time.push_back({i * std::int64_t{60000}});
    channel.values.push_back(static_cast<float>(270 + i));
  }
  measure_interval(r, channel);
  r.channels.push_back(channel);
  const auto pieces = overview(r, r.channels.front(), {0}, {19 * 60000}, 19 * 12);
  std::vector<std::int64_t> lifted;
  for (const Bucket& b : pieces) {
    if (!b.empty && b.gap_before) lifted.push_back(b.first_time.ms / 60000);
  }
  EXPECT_EQ(lifted, (std::vector<std::int64_t>{0, 14}));
  const auto one = overview(r, r.channels.front(), {0}, {19 * 60000}, 1);
  EXPECT_TRUE(one.front().gap_inside);
}

}  // namespace
}  // namespace cw
