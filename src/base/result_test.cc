#include "base/result.h"

#include <gtest/gtest.h>

#include <memory>
#include <set>
#include <string>
#include <vector>

namespace cw {
namespace {

Error no_such_file() {
  return {ErrorCode::not_found, "there is no file \"a.csv\"", "--map", "Check the name"};
}

TEST(Result, HoldsAValue) {
  const Result<int> result = 7;
  EXPECT_TRUE(result.has_value());
  EXPECT_TRUE(static_cast<bool>(result));
  EXPECT_EQ(result.value(), 7);
  EXPECT_EQ(*result, 7);
  EXPECT_EQ(result.value_or(9), 7);
}

TEST(Result, HoldsAnError) {
  const Result<int> result = no_such_file();
  EXPECT_FALSE(result.has_value());
  EXPECT_FALSE(static_cast<bool>(result));
  EXPECT_EQ(result.error().code, ErrorCode::not_found);
  EXPECT_EQ(result.error().where, "--map");
  EXPECT_EQ(result.value_or(9), 9);
}

TEST(Result, FallbackIsUsedOnlyForAnError) {
  EXPECT_EQ(Result<std::string>(std::string("read")).value_or("fallback"), "read");
  EXPECT_EQ(Result<std::string>(no_such_file()).value_or("fallback"), "fallback");
}

TEST(Result, ReachesMembersAndCanBeChangedInPlace) {
  Result<std::vector<int>> result = std::vector<int>{1, 2};
  result->push_back(3);
  EXPECT_EQ(result->size(), 3U);
  result.value().clear();
  EXPECT_TRUE(result->empty());
}

TEST(Result, MovesOutAValueThatCannotBeCopied) {
  Result<std::unique_ptr<int>> result = std::make_unique<int>(5);
  const std::unique_ptr<int> owned = std::move(result).value();
  ASSERT_NE(owned, nullptr);
  EXPECT_EQ(*owned, 5);
}

TEST(Result, MapAppliesToTheValueAndPassesAnErrorOn) {
  const auto twice = [](int x) { return 2.5 * x; };
  const Result<double> good = Result<int>(4).map(twice);
  ASSERT_TRUE(good);
  EXPECT_DOUBLE_EQ(*good, 10.0);
  const Result<double> bad = Result<int>(no_such_file()).map(twice);
  ASSERT_FALSE(bad);
  EXPECT_EQ(bad.error().text(), no_such_file().text());
}

TEST(Result, AndThenStopsAtTheFirstError) {
  int calls = 0;
  const auto half = [&calls](int x) -> Result<int> {
    ++calls;
    if (x % 2 != 0)
      return Error{ErrorCode::invalid_argument, std::to_string(x) + " is odd", "", ""};
    return x / 2;
  };
  const Result<int> result = Result<int>(6).and_then(half).and_then(half).and_then(half);
  ASSERT_FALSE(result);
  EXPECT_EQ(result.error().message, "3 is odd");
  EXPECT_EQ(calls, 2);
}

TEST(Result, StatusSaysOnlyWhetherItWentWell) {
  EXPECT_TRUE(Status(Done{}));
  EXPECT_FALSE(Status(no_such_file()));
}

TEST(ResultDeathTest, ReadingTheWrongSideStopsTheProgram) {
  Result<int> good = 1;
  Result<int> bad = no_such_file();
  EXPECT_DEATH(static_cast<void>(bad.value()), "broken requirement: has_value\\(\\)");
  EXPECT_DEATH(static_cast<void>(good.error()), "broken requirement: !has_value\\(\\)");
}

TEST(Error, TextIsOneLineWithPlaceAndRemedy) {
  EXPECT_EQ(no_such_file().text(), "--map: there is no file \"a.csv\". Check the name");
  EXPECT_EQ((Error{ErrorCode::parse, "a bad row", "", ""}).text(), "a bad row");
  EXPECT_EQ((Error{ErrorCode::parse, "a bad row.", "", "Mend it"}).text(), "a bad row. Mend it");
  EXPECT_EQ((Error{ErrorCode::parse, "which unit?", "", "Say it"}).text(), "which unit? Say it");
}

TEST(Error, EachCodeHasItsOwnName) {
  std::set<std::string> names;
  for (const ErrorCode code :
       {ErrorCode::invalid_argument, ErrorCode::parse, ErrorCode::unit, ErrorCode::out_of_range,
        ErrorCode::not_found, ErrorCode::unreadable, ErrorCode::unsupported,
        ErrorCode::no_convergence, ErrorCode::inconsistent}) {
    EXPECT_STRNE(name_of(code), "unknown");
    names.insert(name_of(code));
  }
  EXPECT_EQ(names.size(), 9U);
}

}  // namespace
}  // namespace cw
