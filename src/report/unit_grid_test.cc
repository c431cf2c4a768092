#include "report/unit_grid.h"

#include <gtest/gtest.h>

#include <cmath>

namespace cw {
namespace {

/// One hour at 60 s: the unit is off for 15 min, calls 4 K away for 15, calls 0.2 K away for 15,
/// and does not call for 15.
Recording hour() {
  Recording out;
  for (int i = 0; i < 60; ++i) out.time.push_back({i * 60000});
  const auto add = [&](const char* quantity, auto value) {
    Channel channel;
    channel.place = parse_place("indoor.3").value();
    channel.quantity = find_quantity(quantity);
    std::vector<float> values;
    for (int i = 0; i < 60; ++i) values.push_back(static_cast<float>(value(i / 15)));
    channel.values = std::move(values);
    measure_interval(out, channel);
    out.channels.push_back(std::move(channel));
  };
  add("unit_on", [](int quarter) { return quarter == 0 ? 0.0 : 1.0; });
  add("call", [](int quarter) { return quarter == 1 || quarter == 2 ? 1.0 : 0.0; });
  add("set_point", [](int) { return 294.15; });
  add("controlled_temperature", [](int quarter) { return quarter == 1 ? 290.15 : 293.95; });
  return out;
}

struct Judged {
  Judgement judgement = judge(hour(), {}).value();
  CallBook calls{context_of(judgement, UnitSystem::si)};
};

TEST(UnitGrid, SaysWhoCallsWhoHoldsAndWhoRests) {
  const Judged judged;
  const auto rows = unit_grid(judged.judgement, judged.calls, {0}, {3600000}, 4);
  ASSERT_EQ(rows.size(), 1U);
  EXPECT_EQ(rows[0].place.text, "indoor.3");
  EXPECT_EQ(rows[0].state, "ochi");
  EXPECT_NEAR(rows[0].deviation[1], -4.0, 1e-4);
  EXPECT_NEAR(rows[0].deviation[2], -0.2, 1e-4);
  EXPECT_NEAR(rows[0].calling_s, 1800.0, 1.0);
  EXPECT_NEAR(rows[0].away_s, 900.0, 1.0);
  EXPECT_NEAR(rows[0].trouble, 0.25, 1e-3);
}

TEST(UnitGrid, PiecesShorterThanTheLoggersStepAreFilled) {
  const Judged judged;
  const auto rows = unit_grid(judged.judgement, judged.calls, {1000000}, {1060000}, 20);
  EXPECT_EQ(rows[0].state, std::string(20, 'c'));
  for (const double value : rows[0].deviation) EXPECT_NEAR(value, -4.0, 1e-4);
}

TEST(UnitGrid, OutsideTheRecordingNothingIsKnown) {
  const Judged judged;
  const auto rows = unit_grid(judged.judgement, judged.calls, {7200000}, {10800000}, 3);
  EXPECT_EQ(rows[0].state, "...");
  EXPECT_TRUE(std::isnan(rows[0].deviation[0]));
  EXPECT_EQ(rows[0].trouble, 0.0);
}

TEST(UnitGrid, AMomentHasOnePiece) {
  const Judged judged;
  const auto rows = unit_grid(judged.judgement, judged.calls, {1200000}, {1200000}, 1);
  EXPECT_EQ(rows[0].state, "c");
}

}  // namespace
}  // namespace cw
