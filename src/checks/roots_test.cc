#include "checks/roots.h"

#include "support/judged.h"

namespace cw {
namespace {

/// A finding held from one minute to another, its reading on one side of its limit.
Finding held(const char* check, const char* place, double from, double to, double value = 1.0,
             double limit = 0.0, Verdict verdict = Verdict::fault) {
  Finding out;
  out.check = check;
  out.place = *parse_place(place);
  out.verdict = verdict;
  out.evidence.push_back(
      {verdict, {test::minute(from), test::minute(to), value, limit, 60.0 * (to - from)}, {}});
  return out;
}

Finding ok(const char* check, const char* place) {
  Finding out;
  out.check = check;
  out.place = *parse_place(place);
  out.verdict = Verdict::ok;
  return out;
}

TEST(Roots, LiquidIsOneTroubleAndNotThree) {
  std::vector<Finding> all = {held("discharge-superheat", "outdoor.2", 10, 40, 5, 10),
                              held("shell-superheat", "outdoor.2", 10, 40, 4, 10),
                              held("dry-discharge", "outdoor.2", 8, 44, -37, -10)};
  find_roots(all);
  EXPECT_EQ(all[0].root, 1U);
  EXPECT_FALSE(all[1].root.has_value());
  EXPECT_EQ(all[2].root, 1U);
  EXPECT_FALSE(all[2].root_because.empty());
  const auto troubles = troubles_of(all);
  ASSERT_EQ(troubles.size(), 1U);
  EXPECT_EQ(troubles[0].followers.size(), 2U);
}

TEST(Roots, AnotherModulesLiquidIsItsOwn) {
  std::vector<Finding> all = {held("discharge-superheat", "outdoor.1", 10, 40, 5, 10),
                              held("shell-superheat", "outdoor.2", 10, 40, 4, 10)};
  find_roots(all);
  EXPECT_FALSE(all[0].root.has_value());
  EXPECT_EQ(troubles_of(all).size(), 2U);
}

TEST(Roots, ARootIsNotYoungerThanWhatFollows) {
  std::vector<Finding> all = {held("set-point", "indoor.1", 0, 60),
                              held("indoor-coil-heat", "indoor.1", 70, 100, 30, 45)};
  find_roots(all);
  EXPECT_FALSE(all[0].root.has_value());
}

TEST(Roots, TheSideCounts) {
  // A freezing coil does not keep a room from being cooled; a warm one does.
  std::vector<Finding> freezing = {held("set-point", "indoor.1", 0, 60),
                                   held("indoor-coil-cold", "indoor.1", 0, 60, -5, -3)};
  find_roots(freezing);
  EXPECT_FALSE(freezing[0].root.has_value());
  std::vector<Finding> warm = {held("set-point", "indoor.1", 0, 60),
                               held("indoor-coil-cold", "indoor.1", 0, 60, 22, 15)};
  find_roots(warm);
  EXPECT_EQ(warm[0].root, 1U);
}

TEST(Roots, WhatTheMachineLacksShowsAtMostUnits) {
  const Finding target = held("condensing-target", "outdoor.1", 0, 90, 38, 46);
  std::vector<Finding> most = {target, held("indoor-coil-heat", "indoor.1", 20, 90, 38, 45),
                               held("indoor-coil-heat", "indoor.2", 20, 90, 38, 45),
                               ok("indoor-coil-heat", "indoor.3")};
  find_roots(most);
  EXPECT_EQ(most[1].root, 0U);
  EXPECT_EQ(most[2].root, 0U);
  std::vector<Finding> one = {target, held("indoor-coil-heat", "indoor.1", 20, 90, 38, 45),
                              ok("indoor-coil-heat", "indoor.2"),
                              ok("indoor-coil-heat", "indoor.3")};
  find_roots(one);
  EXPECT_FALSE(one[1].root.has_value()) << "one of three is the unit's own";
}

TEST(Roots, AChainEndsAtItsFirstLink) {
  std::vector<Finding> all = {held("subcooling", "outdoor.1", 0, 90, 1, 3, Verdict::watch),
                              held("indoor-superheat", "indoor.1", 0, 90, 16, 12, Verdict::watch),
                              held("indoor-coil-cold", "indoor.1", 0, 90, 22, 15),
                              held("set-point", "indoor.1", 30, 90)};
  find_roots(all);
  for (std::size_t k = 1; k < all.size(); ++k) EXPECT_EQ(all[k].root, 0U) << all[k].check;
  const auto troubles = troubles_of(all);
  ASSERT_EQ(troubles.size(), 1U);
  EXPECT_EQ(troubles[0].verdict, Verdict::fault) << "the worst of what belongs to it";
  EXPECT_EQ(troubles[0].followers.size(), 3U);
  EXPECT_EQ(troubles[0].followers.front()->verdict, Verdict::fault);
}

TEST(Roots, NothingIsHiddenAndNothingWellFollows) {
  std::vector<Finding> all = {ok("shell-superheat", "outdoor.1"),
                              held("discharge-superheat", "outdoor.1", 10, 40, 5, 10),
                              held("hunting", "outdoor.1", 0, 60, 6, 3, Verdict::watch),
                              held("set-point", "indoor.1", 0, 60)};
  find_roots(all);
  for (const Finding& f : all) EXPECT_FALSE(f.root.has_value()) << f.check;
  std::size_t told = 0;
  for (const Trouble& t : troubles_of(all)) told += 1 + t.followers.size();
  EXPECT_EQ(told, 3U);
}

}  // namespace
}  // namespace cw
