#include "base/dimension.h"

#include <gtest/gtest.h>

#include <set>
#include <string_view>

namespace cw {
namespace {

constexpr int dimension_count = static_cast<int>(Dimension::leak_flow) + 1;

TEST(Dimension, EachHasAnSiSymbolAndItsOwnName) {
  std::set<std::string_view> names;
  for (int i = 0; i < dimension_count; ++i) {
    const auto dimension = static_cast<Dimension>(i);
    EXPECT_NE(name_of(dimension), "unknown") << i;
    EXPECT_FALSE(si_symbol(dimension).empty());
    names.insert(name_of(dimension));
    EXPECT_EQ(dimension_named(name_of(dimension)), dimension);
  }
  EXPECT_EQ(names.size(), static_cast<std::size_t>(dimension_count));
}

TEST(Dimension, UnknownNamesAreEmpty) {
  EXPECT_FALSE(dimension_named("").has_value());
  EXPECT_FALSE(dimension_named("Temperature").has_value());  // data files write lower case
  EXPECT_FALSE(dimension_named("humidity").has_value());
}

TEST(Dimension, SymbolsAreThoseOfTheSi) {
  EXPECT_EQ(si_symbol(Dimension::temperature), "K");
  EXPECT_EQ(si_symbol(Dimension::pressure), "Pa");
  EXPECT_EQ(si_symbol(Dimension::ratio), "1");
  EXPECT_EQ(si_symbol(Dimension::density), "kg/m3");
  EXPECT_EQ(si_symbol(Dimension::specific_entropy), "J/(kg K)");
}

}  // namespace
}  // namespace cw
