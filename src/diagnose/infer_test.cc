#include "diagnose/infer.h"

#include <gtest/gtest.h>

#include <cmath>

namespace cw::diagnose {
namespace {

/// Three readings, each off by one; nothing shared.
Residuals three(double a, double b, double c) { return {{a, b, c}, {1.0, 1.0, 1.0}, {}}; }

/// A cause that moves the readings along one direction, in proportion to its severity.
Hypothesis along(double a, double b, double c, double prior = 0.1) {
  Hypothesis out;
  out.prior = prior;
  out.knots = {{1.0, {a, b, c}}, {2.0, {2 * a, 2 * b, 2 * c}}};
  return out;
}

InferOptions normal() {
  InferOptions out;
  out.freedom = 1e7;  // the t distribution is then a normal one
  out.unknown_prior = 1e-12;
  out.pair_prior = 1e-12;
  return out;
}

TEST(Infer, TheCauseWhoseDirectionWasSeenIsFirstWithItsSeverity) {
  const auto answer =
      infer(three(6.0, 0.0, 3.0), {along(4, 0, 2), along(0, 4, 0), along(4, 0, -2)}, normal());
  ASSERT_TRUE(answer);
  EXPECT_GT(answer->fits[0].probability, 0.9);
  EXPECT_NEAR(answer->fits[0].severity, 1.5, 0.11);  // half of the distance between two points
  EXPECT_LE(answer->fits[0].low, 1.5);
  EXPECT_GE(answer->fits[0].high, 1.5);
}

// The posterior odds of two single-severity hypotheses are known: with knots that do not differ
// (severity 1 and a hair more) and equal priors they are exp((d2 - d1) / 2) for normal errors.
TEST(Infer, OddsOfTwoFixedHypothesesAreThoseOfTheLikelihood) {
  const auto fixed = [](double a) {
    Hypothesis out;
    out.prior = 0.1;
    // Points between nothing and the first knot would spread the severity: both are the same.
    out.knots = {{1e-9, {a, 0, 0}}, {2e-9, {a, 0, 0}}};
    return out;
  };
  InferOptions options = normal();
  const auto answer = infer(three(1.0, 0.0, 0.0), {fixed(1.0), fixed(1.0)}, options);
  ASSERT_TRUE(answer);
  EXPECT_NEAR(answer->fits[0].probability / answer->fits[1].probability, 1.0, 1e-12);
  // Healthy against "nothing changes" with a fifth of the prior: the odds are those of the priors.
  const auto nothing = infer(three(0.3, -0.2, 0.1), {along(0, 0, 0)}, options);
  EXPECT_NEAR(nothing->healthy / nothing->fits[0].probability, options.healthy_prior / 0.1, 1e-6);
}

TEST(Infer, NothingSeenMeansHealthy) {
  const auto answer = infer(three(0.3, -0.5, 0.2), {along(4, 0, 2), along(0, 4, 0)}, {});
  ASSERT_TRUE(answer);
  EXPECT_GT(answer->healthy, 0.9);
}

TEST(Infer, WhatNoCauseDescribesIsSomethingElse) {
  const auto answer = infer(three(0.0, 0.0, 9.0), {along(4, 0, 0), along(0, 4, 0)}, normal());
  ASSERT_TRUE(answer);
  InferOptions open = normal();
  open.unknown_prior = 0.02;
  const auto with = infer(three(0.0, 0.0, 9.0), {along(4, 0, 0), along(0, 4, 0)}, open);
  EXPECT_GT(with->unknown, 0.9);
}

TEST(Infer, AnErrorThatMovesAllReadingsIsNoCause) {
  Residuals shared = three(6.0, 6.0, 6.0);
  shared.modes = {{10.0, 10.0, 10.0}};
  const auto answer = infer(shared, {along(6, 6, 6, 0.01)}, normal());
  const auto alone = infer(three(6.0, 6.0, 6.0), {along(6, 6, 6, 0.01)}, normal());
  EXPECT_GT(answer->healthy, 0.8);
  EXPECT_GT(alone->fits[0].probability, 0.99);
}

TEST(Infer, TwoCausesAtOnceAreFound) {
  InferOptions options = normal();
  options.pair_prior = 1.0;
  const auto answer = infer(three(6.0, 8.0, 0.0), {along(4, 0, 0), along(0, 4, 0)}, options);
  ASSERT_EQ(answer->pairs.size(), 1U);
  EXPECT_GT(answer->pairs[0].probability, 0.9);
  EXPECT_NEAR(answer->pairs[0].first_severity, 1.5, 0.11);
  EXPECT_NEAR(answer->pairs[0].second_severity, 2.0, 0.11);
}

TEST(Infer, CausesThatDoTheSameCannotBeToldApart) {
  const auto answer =
      infer(three(6.0, 0.0, 0.0), {along(4, 0, 0), along(3.9, 0, 0), along(4, 3, 0)}, normal());
  EXPECT_NEAR(answer->fits[0].probability, answer->fits[1].probability, 0.05);
  EXPECT_LT(answer->apart[0 * 3 + 1], 0.5);
}

TEST(Infer, ATemperatureAboveOneDrawsProbabilitiesTogether) {
  InferOptions sure = normal();
  InferOptions unsure = normal();
  unsure.temperature = 4.0;
  const std::vector<Hypothesis> causes = {along(4, 0, 2), along(0, 4, 0)};
  const auto a = infer(three(4.0, 0.0, 2.0), causes, sure);
  const auto b = infer(three(4.0, 0.0, 2.0), causes, unsure);
  EXPECT_GT(a->fits[0].probability, b->fits[0].probability);
  EXPECT_GT(b->fits[0].probability, b->fits[1].probability);
}

TEST(Infer, SignsMoveTheOdds) {
  std::vector<Hypothesis> causes = {along(4, 0, 0), along(4, 0, 0)};
  causes[1].log_signs = std::log(3.0);
  const auto answer = infer(three(4.0, 0.0, 0.0), causes, normal());
  EXPECT_NEAR(answer->fits[1].probability / answer->fits[0].probability, 3.0, 1e-9);
}

TEST(Infer, AHypothesisThatWasNotCalculatedHasNoProbability) {
  const auto answer = infer(three(1.0, 0.0, 0.0), {Hypothesis{0.1, 0.0, {}}}, {});
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->fits[0].probability, 0.0);
}

TEST(Infer, VariancesThatAreNoneAreRefused) { EXPECT_FALSE(infer({{1.0}, {0.0}, {}}, {}, {})); }

TEST(Infer, SeveritiesOnBothSidesOfNothing) {
  Hypothesis sensor;
  sensor.prior = 0.1;
  sensor.knots = {{-2.0, {-8, 0, 0}}, {-1.0, {-4, 0, 0}}, {1.0, {4, 0, 0}}, {2.0, {8, 0, 0}}};
  const auto answer = infer(three(-6.0, 0.0, 0.0), {sensor}, normal());
  EXPECT_NEAR(answer->fits[0].severity, -1.5, 0.11);
  EXPECT_NEAR(change_at(sensor, 0.5)[0], 2.0, 1e-12);
  EXPECT_NEAR(change_at(sensor, -1.5)[0], -6.0, 1e-12);
  EXPECT_NEAR(change_at(sensor, 5.0)[0], 8.0, 1e-12);
}

}  // namespace
}  // namespace cw::diagnose
