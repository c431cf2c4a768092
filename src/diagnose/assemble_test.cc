// What one recording is taken to say of another: residuals put together by hand, without a twin.
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "diagnose/detail/assemble.h"
#include "system/sheet.h"

namespace cw::diagnose::detail {
namespace {

constexpr double absent = std::numeric_limits<double>::quiet_NaN();

/// A machine of one unit of which only the saturated evaporating temperature was read.
class Put {
 public:
  Put()
      : system_(
            parse_system("name = \"one\"\nrefrigerant = \"R-410A\"\n[[outdoor]]\ncooling = \"12 "
                         "kW\"\n[[indoor]]\ncooling = \"12 kW\"\n[piping]\nmain = \"10 m\"\nbranch "
                         "= \"2 m\"\n",
                         "one")
                .value()),
        features_(features_of(system_)) {}

  void moment(bool sound, double outdoor_K, double seen_K, double minutes = 15.0,
              PhaseKind kind = PhaseKind::heating) {
    Moment m;
    m.end = Instant{m.start.ms + static_cast<std::int64_t>(60000.0 * minutes)};
    m.kind = kind;
    m.weather.temperature_K = outdoor_K;
    m.sound = sound;
    m.orders.units.resize(1);
    m.orders.units[0].call = true;
    m.seen.assign(features_.size(), absent);
    m.noise.assign(features_.size(), 0.0);
    m.drift.assign(features_.size(), 0.0);
    std::vector<double> healthy(features_.size(), absent);
    for (std::size_t f = 0; f < features_.size(); ++f) {
      if (features_[f].trait->name != "evaporating") continue;
      m.seen[f] = seen_K;
      healthy[f] = 270.0;
    }
    side_.moments.push_back(moments_.size());
    side_.present += sound ? 0 : 1;
    side_.healthy.push_back(healthy);
    moments_.push_back(std::move(m));
  }
  Problem problem() const {
    return assemble(Judgement{}, features_, moments_, side_, cause_book(), {});
  }

 private:
  System system_;
  std::vector<Feature> features_;
  std::vector<Moment> moments_;
  TwinSide side_;
};

double sigma_with_sound_at(double outdoor_K, PhaseKind kind = PhaseKind::heating) {
  Put put;
  put.moment(false, 275.0, 269.0);
  put.moment(true, outdoor_K, 269.0, 15.0, kind);
  return put.problem().rows.at(0).sigma;
}

TEST(Assemble, TheMoreAlikeTheWeatherTheMoreASoundRecordingTells) {
  Put alone;
  alone.moment(false, 275.0, 269.0);
  const double without = alone.problem().rows.at(0).sigma;
  EXPECT_LT(sigma_with_sound_at(275.0), sigma_with_sound_at(277.0));
  EXPECT_LT(sigma_with_sound_at(277.0), sigma_with_sound_at(281.0));
  EXPECT_LT(sigma_with_sound_at(281.0), sigma_with_sound_at(275.0, PhaseKind::cooling));
  EXPECT_LT(sigma_with_sound_at(275.0, PhaseKind::cooling), without);
  // Farther than far off makes no difference.
  EXPECT_NEAR(sigma_with_sound_at(300.0), sigma_with_sound_at(310.0), 1e-6);
}

// The mean and variance of one of two jointly normal numbers when the other is known: textbook.
TEST(Assemble, OneReadingIsTheConditionalOfTwoNormalNumbers) {
  Put put;
  put.moment(false, 275.0, 269.0);
  put.moment(true, 275.0, 269.4);
  const Trait& t = *find_trait("evaporating");
  const double errors = t.own * t.own + t.common * t.common;
  // What a stretch has to itself, and what a sensor drifts by from one recording to the next.
  const double shared = t.bias * t.bias + errors;
  const double apart = 0.35 * 0.35 * (400.0 / 900.0) * errors + 0.25 * 0.25 * t.bias * t.bias;
  const double share = shared / (shared + apart);
  const Problem problem = put.problem();
  ASSERT_EQ(problem.residuals.value.size(), 1U);
  EXPECT_TRUE(problem.learnt);
  EXPECT_NEAR(problem.residuals.value[0], -1.0 - share * -0.6, 1e-3);
  const double variance = (shared + apart) * (1.0 - share * share);
  EXPECT_NEAR(problem.rows[0].sigma, std::sqrt(variance), 1e-3);
}

TEST(Assemble, AShortStretchTellsLess) {
  const auto sigma = [](double minutes) {
    Put put;
    put.moment(false, 275.0, 269.0, minutes);
    return put.problem().rows.at(0).sigma;
  };
  EXPECT_GT(sigma(4.0), sigma(10.0));
  EXPECT_GT(sigma(10.0), sigma(15.0));
  EXPECT_EQ(sigma(2.0), sigma(4.0));
}

}  // namespace
}  // namespace cw::diagnose::detail
