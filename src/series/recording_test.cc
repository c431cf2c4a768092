#include "series/recording.h"

#include <gtest/gtest.h>

namespace cw {
namespace {

Channel channel_of(const char* place, const char* quantity, std::vector<float> values) {
  Channel out;
  out.place = *parse_place(place);
  out.quantity = find_quantity(quantity);
  out.values = std::move(values);
  return out;
}

Recording minutes(std::size_t rows) {
  Recording out;
  for (std::size_t i = 0; i < rows; ++i) out.time.push_back({static_cast<std::int64_t>(i) * 60000});
  return out;
}

TEST(Recording, FindsUpward) {
  Recording r = minutes(1);
  r.channels.push_back(channel_of("system", "suction_pressure", {8e5F}));
  r.channels.push_back(channel_of("outdoor.2", "discharge_pressure", {2.5e6F}));
  const Place compressor = *parse_place("outdoor.2.compressor.1");
  ASSERT_NE(r.find_upward(compressor, "discharge_pressure"), nullptr);
  EXPECT_EQ(r.find_upward(compressor, "discharge_pressure")->place.text, "outdoor.2");
  ASSERT_NE(r.find_upward(compressor, "suction_pressure"), nullptr);
  EXPECT_EQ(r.find_upward(compressor, "suction_pressure")->place.text, "system");
  EXPECT_EQ(r.find_upward(*parse_place("outdoor.1"), "discharge_pressure"), nullptr);
}

TEST(Recording, PlacesStandInReportOrderOnce) {
  Recording r = minutes(1);
  for (const char* place : {"indoor.10", "indoor.2", "outdoor.1", "indoor.2"}) {
    r.channels.push_back(channel_of(place, "power", {1.0F}));
  }
  const std::vector<Place> places = r.places(PlaceKind::indoor);
  ASSERT_EQ(places.size(), 2U);
  EXPECT_EQ(places[0].text, "indoor.2");
  EXPECT_EQ(places[1].text, "indoor.10");
}

TEST(MeasureInterval, IsTheMedianStepBetweenReadings) {
  Recording r = minutes(9);
  Channel every_second = channel_of("site", "outdoor_temperature",
                                    {1, missing, 2, missing, 3, missing, 4, missing, 5});
  measure_interval(r, every_second);
  EXPECT_DOUBLE_EQ(every_second.interval, 120.0);
  Channel once = channel_of("site", "outdoor_temperature", std::vector<float>(9, missing));
  once.values[3] = 280.0F;
  measure_interval(r, once);
  EXPECT_DOUBLE_EQ(once.interval, 0.0);
}

/// 2.5 steps let one lost sample pass; the second one is a gap.
TEST(Follower, HoldsAReadingUntilTheGapLimit) {
  Recording r = minutes(12);
  Channel c = channel_of("site", "outdoor_temperature",
                         {10, 11, 12, 13, missing, missing, missing, missing, 18, 19, 20, 21});
  measure_interval(r, c);
  ASSERT_DOUBLE_EQ(c.interval, 60.0);
  Follower follower(r, &c);
  EXPECT_EQ(follower.at(0), 10.0F);
  EXPECT_EQ(follower.at(4), 13.0F);
  EXPECT_EQ(follower.at(5), 13.0F);
  EXPECT_TRUE(is_missing(follower.at(6)));
  EXPECT_TRUE(is_missing(follower.at(7)));
  EXPECT_EQ(follower.at(8), 18.0F);
}

TEST(Follower, SaysNothingBeforeTheFirstReadingAndWithoutAChannel) {
  Recording r = minutes(4);
  Channel c = channel_of("site", "outdoor_temperature", {missing, missing, 5, 6});
  measure_interval(r, c);
  Follower follower(r, &c);
  EXPECT_TRUE(is_missing(follower.at(1)));
  EXPECT_EQ(follower.at(3), 6.0F);
  Follower none(r, nullptr);
  EXPECT_FALSE(none);
  EXPECT_TRUE(is_missing(none.at(3)));
}

class Counted final : public LazyValues {
 public:
  std::size_t size() const noexcept override { return values_.size(); }
  const float* data() const override {
    ++made;
    return values_.data();
  }
  mutable int made = 0;

 private:
  std::vector<float> values_{1.0F, 2.0F, 3.0F};
};

TEST(Column, StoredValuesAreMadeOnceAndCopiedWhenWrittenTo) {
  const auto stored = std::make_shared<Counted>();
  Column column{std::shared_ptr<const LazyValues>(stored)};
  EXPECT_EQ(column.size(), 3U);
  EXPECT_EQ(stored->made, 0);
  const Column& reading = column;
  EXPECT_EQ(reading[1], 2.0F);
  EXPECT_EQ(reading.back(), 3.0F);
  EXPECT_EQ(stored->made, 1);
  Column copy = column;
  copy[1] = 9.0F;
  EXPECT_EQ(reading[1], 2.0F);
  EXPECT_EQ(std::as_const(copy)[1], 9.0F);
  EXPECT_EQ(stored->made, 1);
  const Column moved = std::move(copy);
  EXPECT_EQ(moved[1], 9.0F);
}

TEST(Column, SharedValuesAreCopiedWhenOneOfThemIsWrittenTo) {
  Column one(std::vector<float>{1.0F, 2.0F});
  one.share();
  Column other = one;
  EXPECT_EQ(other.data(), one.data());
  other[0] = 5.0F;
  EXPECT_EQ(std::as_const(one)[0], 1.0F);
  EXPECT_EQ(std::as_const(other)[0], 5.0F);
  one.share();
  EXPECT_EQ(one.size(), 2U) << "twice is as good as once";
}

TEST(Column, ComparesBits) {
  const Column a(std::vector<float>{1.0F, missing});
  Column b = a;
  EXPECT_TRUE(a == b);
  b[0] = 1.5F;
  EXPECT_FALSE(a == b);
}

}  // namespace
}  // namespace cw
