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

Hypothesis with_knots(std::vector<Knot> knots) {
  Hypothesis out;
  out.prior = 0.1;
  out.knots = std::move(knots);
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
    // Points between nothing and the first knot would spread the severity: both are the same.
    return with_knots({{1e-9, {a, 0, 0}}, {2e-9, {a, 0, 0}}});
  };
  InferOptions options = normal();
  const auto answer = infer(three(1.0, 0.0, 0.0), {fixed(1.0), fixed(1.0)}, options);
  ASSERT_TRUE(answer);
  EXPECT_NEAR(answer->fits[0].probability / answer->fits[1].probability, 1.0, 1e-12);
  // Healthy against "nothing changes" with a fifth of the prior: the odds are those of the priors.
  const auto nothing = infer(three(0.3, -0.2, 0.1), {along(0, 0, 0)}, options);
  EXPECT_NEAR(nothing->healthy / nothing->fits[0].probability, options.healthy_prior / 0.1, 1e-6);
}

// What every machine has is no cause: the same readings are a fault only where less counts as one.
TEST(Infer, ASeverityBelowTheLeastIsNoFault) {
  Hypothesis any = along(4, 0, 2);
  Hypothesis large = any;
  large.least = 1.6;
  const auto answer = infer(three(4.0, 0.0, 2.0), {any, large}, normal());
  ASSERT_TRUE(answer);
  EXPECT_NEAR(answer->fits[0].severity, 1.0, 0.11);
  EXPECT_GE(answer->fits[1].severity, 1.6);
  EXPECT_GT(answer->fits[0].probability, answer->fits[1].probability);
  large.least = 5.0;
  const auto never = infer(three(4.0, 0.0, 2.0), {any, large}, {});
  ASSERT_TRUE(never);
  EXPECT_EQ(never->fits[1].probability, 0.0);
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

// Two readings of one sensor, of which the second was taken when nothing was wrong. Of a bivariate
// normal distribution with equal variances the first given the second has the mean rho x2 and the
// variance (1 - rho^2) sigma^2 (any textbook of statistics; from memory).
TEST(Infer, GivenWhatWasKnownBeforeThereIsLessToBeSurprisedBy) {
  const Residuals both{{3.0, 2.5}, {1.0, 1.0}, {{2.0, 2.0}}};  // sigma^2 = 5, rho = 4 / 5
  const auto left = condition(both, 1, 1e9);
  ASSERT_TRUE(left);
  ASSERT_EQ(left->value.size(), 1U);
  EXPECT_NEAR(left->value[0], 3.0 - 0.8 * 2.5, 1e-12);
  EXPECT_NEAR(left->modes[0][0] * left->modes[0][0], 5.0 * (1.0 - 0.64), 1e-6);
}

// Weighing all readings with causes that act on the first ones alone is weighing those given the
// others.
TEST(Infer, ConditioningIsTheSameAsWeighingAll) {
  const Residuals all{{6.0, 1.0, 4.0, 2.0, -1.0},
                      {1.0, 0.5, 2.0, 1.0, 0.7},
                      {{2.0, 0.3, 0.0, 2.1, 0.0}, {0.0, 1.0, -1.0, 0.5, -1.2}}};
  std::vector<Hypothesis> causes = {along(4, 0, 2), along(0, 4, 1), along(-1, 0, 3)};
  const auto given = condition(all, 3, 1e9);
  ASSERT_TRUE(given);
  const auto short_way = infer(*given, causes, normal());
  for (Hypothesis& h : causes) {
    for (Knot& k : h.knots) k.change.resize(5, 0.0);
  }
  const auto long_way = infer(all, causes, normal());
  ASSERT_TRUE(short_way && long_way);
  // The long way is not told that readings closer than assumed prove nothing: compare odds, which
  // the others' own likelihood does not change.
  for (std::size_t h = 0; h < causes.size(); ++h) {
    EXPECT_NEAR(short_way->fits[h].distance + long_way->healthy_distance,
                long_way->fits[h].distance + short_way->healthy_distance, 1e-5);
    EXPECT_EQ(short_way->fits[h].severity, long_way->fits[h].severity);
  }
}

// A sound recording that fits badly teaches less.
TEST(Infer, WhatFitsBadlyIsBelievedLess) {
  const auto variance_after = [](double known) {
    const auto left = condition({{0.0, known}, {1.0, 1.0}, {{2.0, 2.0}}}, 1);
    return left ? left->modes[0][0] * left->modes[0][0] : 0.0;
  };
  EXPECT_EQ(variance_after(0.1), variance_after(0.0));
  // (nu + q) / (nu + 1) with nu = 8 and q = 20^2 / 5.
  EXPECT_NEAR(variance_after(20.0) / variance_after(0.0), 88.0 / 9.0, 1e-9);
}

TEST(Infer, ConditioningNeedsVariances) {
  EXPECT_FALSE(condition({{1.0, 1.0}, {0.0, 0.0}, {}}, 1));
}

// With the errors 1 of three readings and 20 % of a change of (5, 10, 0), (1, 2, 0) is one
// direction of variance 5 more: of what is left, the part along it counts a sixth.
TEST(Infer, WhatACauseDoesMayBeOffByAFactor) {
  Residuals seen = three(6.0, 12.0, 1.0);
  seen.group = {0, 0, 1};
  const Hypothesis cause = with_knots({{1.0, {5, 10, 0}}});
  InferOptions options = normal();
  EXPECT_NEAR(infer(seen, {cause}, options)->fits[0].distance, 1.0 + 4.0 + 1.0, 1e-9);
  options.effect_error = 0.2;
  const auto answer = infer(seen, {cause}, options);
  EXPECT_EQ(answer->fits[0].severity, 1.0);
  EXPECT_NEAR(answer->fits[0].distance, 5.0 / 6.0 + 1.0, 1e-9);
  // Groups of their own may be off by factors of their own: 1 of variance 2 and 2 of variance 5.
  seen.group = {0, 1, 2};
  EXPECT_NEAR(infer(seen, {cause}, options)->fits[0].distance, 1.0 / 2.0 + 4.0 / 5.0 + 1.0, 1e-9);
}

// Room for errors is no gift: two causes that leave nothing are told apart by how much they allow.
TEST(Infer, ACauseThatMovesMuchMustPayForItsRoom) {
  Residuals seen = three(0.0, 0.0, 0.0);
  seen.group = {0, 0, 0};
  const auto fixed = [](double change) {
    return with_knots({{1.0, {change, 0, 0}}, {2.0, {change, 0, 0}}});
  };
  InferOptions options = normal();
  options.effect_error = 10.0;
  const auto answer = infer(seen, {fixed(0.1), fixed(1.0)}, options);
  EXPECT_GT(answer->fits[0].log_evidence, answer->fits[1].log_evidence + 1.0);
}

// Twenty sigmas are seen, and the causes differ by three of them in a reading of a group that may
// be off by a fifth of twenty: nobody can tell them apart. Without that room they stand three
// apart.
TEST(Infer, CausesWithinTheirRoomAreAlike) {
  Residuals seen = three(20.0, 50.0, 0.0);
  seen.group = {0, 1, 2};
  const auto fixed = [](double first) {
    return with_knots({{1.0, {first, 50, 0}}, {1.0 + 1e-9, {first, 50, 0}}});
  };
  InferOptions options = normal();
  options.pairs_among = 0;
  options.freedom = 1.0;  // wide tails: both keep a probability above 1 %
  const auto narrow = infer(seen, {fixed(21.5), fixed(18.5)}, options);
  EXPECT_NEAR(narrow->apart[1], 3.0, 0.1);
  options.effect_error = 0.2;
  // At the same severity 3 / sqrt(1 + 4.3^2 + 3.7^2) = 0.52; a little less of one is closer still.
  EXPECT_LE(infer(seen, {fixed(21.5), fixed(18.5)}, options)->apart[1], 0.53);
}

// The factors of two causes are their own: opposite ones do not cancel each other's room.
TEST(Infer, TwoAtOnceAreEachOffByTheirOwnFactor) {
  Residuals seen = three(0.0, 6.0, 6.0);
  seen.group = {0, 1, 2};
  Hypothesis a = along(20, 6, 0);
  Hypothesis b = along(-20, 0, 6);
  for (Hypothesis* h : {&a, &b}) h->knots = {{1.0, h->knots.front().change}};
  InferOptions options = normal();
  options.pair_prior = 1.0;
  seen.value[0] = 5.0;
  const auto narrow = infer(seen, {a, b}, options);
  options.effect_error = 0.2;
  const auto wide = infer(seen, {a, b}, options);
  ASSERT_EQ(wide->pairs.size(), 1U);
  // What is left of 5 with both at 1 has the variance 1 + 4^2 + 4^2.
  EXPECT_LE(wide->pairs[0].distance, 25.0 / 33.0 + 0.1);
  EXPECT_GT(narrow->pairs[0].distance, wide->pairs[0].distance);
}

}  // namespace
}  // namespace cw::diagnose
