#include "base/text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

namespace cw {
namespace {

using ::testing::ElementsAre;

TEST(Trim, TakesBlanksOfAllKindsOffBothEnds) {
  EXPECT_EQ(trim("  a b \t\r\n"), "a b");
  EXPECT_EQ(trim("\xC2\xA0 12 \xC2\xA0"), "12");  // U+00A0, as spreadsheets write it
  EXPECT_EQ(trim(" \t \xC2\xA0"), "");
  EXPECT_EQ(trim(""), "");
}

TEST(Trim, LeavesOtherTwoByteLettersWhole) {
  EXPECT_EQ(trim("\xC2\xB0"), "\xC2\xB0");   // the degree sign shares the first byte of U+00A0
  EXPECT_EQ(trim("\xC3\xA0 "), "\xC3\xA0");  // a with grave accent shares the second
  EXPECT_EQ(trim("\xC2\xA0\xC2"), "\xC2");   // half a letter at the end stays
  EXPECT_EQ(trim("\xA0x"), "\xA0x");         // not UTF-8: left for the reader to judge
}

TEST(LetterCase, ConcernsAsciiOnly) {
  EXPECT_TRUE(equal_ignoring_case("kPa(G)", "KPA(g)"));
  EXPECT_FALSE(equal_ignoring_case("kPa", "kPa "));
  EXPECT_FALSE(equal_ignoring_case("\xC3\x84", "\xC3\xA4"));  // capital and small a with dots
  EXPECT_FALSE(equal_ignoring_case("[", "{"));  // 0x20 apart like letters, and no letters
  EXPECT_EQ(to_lower("DegC \xC3\x84[Z]"), "degc \xC3\x84[z]");
}

TEST(Split, GivesOnePartMoreThanThereAreSeparators) {
  EXPECT_THAT(split("a,b,,c", ','), ElementsAre("a", "b", "", "c"));
  EXPECT_THAT(split("", ','), ElementsAre(""));
  EXPECT_THAT(split(",", ','), ElementsAre("", ""));
  EXPECT_THAT(split("outdoor.1.frequency", '.'), ElementsAre("outdoor", "1", "frequency"));
}

TEST(Split, JoinedPartsGiveTheTextAgain) {
  std::mt19937 random(20240117);
  std::uniform_int_distribution<int> length(0, 40);
  std::uniform_int_distribution<int> letter(0, 3);
  for (int round = 0; round < 500; ++round) {
    std::string text;
    for (int i = length(random); i > 0; --i) text += ";ab "[letter(random)];
    std::string joined;
    for (const std::string_view part : split(text, ';')) {
      EXPECT_EQ(part.find(';'), std::string_view::npos);
      joined += part;
      joined += ';';
    }
    joined.pop_back();
    EXPECT_EQ(joined, text);
  }
}

TEST(ListOf, ReadsAsASentence) {
  EXPECT_EQ(list_of({}), "");
  EXPECT_EQ(list_of({"a"}), "a");
  EXPECT_EQ(list_of({"a", "b"}), "a and b");
  EXPECT_EQ(list_of({"a", "b", "c"}), "a, b and c");
}

TEST(ReadNumber, TakesTheWholeTextOrNothing) {
  double number = 0.0;
  EXPECT_TRUE(read_number("-12.5", number));
  EXPECT_EQ(number, -12.5);
  EXPECT_TRUE(read_number("+3", number));
  EXPECT_EQ(number, 3.0);
  EXPECT_TRUE(read_number("1e-3", number));
  EXPECT_EQ(number, 1e-3);
  EXPECT_TRUE(read_number(".5", number));
  EXPECT_EQ(number, 0.5);
  for (const char* text : {"", "+", "-", " 1", "1 ", "1,5", "1.5.2", "0x10", "12F", "--1", "1e",
                           "nan", "inf", "-inf", "1e999"}) {
    EXPECT_FALSE(read_number(text, number)) << text;
  }
}

TEST(NumberText, HasNoTrailingZeros) {
  EXPECT_EQ(number_text(0.0254), "0.0254");
  EXPECT_EQ(number_text(1.5e-7), "1.5e-07");
  EXPECT_EQ(number_text(100.0), "100");
  EXPECT_EQ(number_text(1.0 / 3.0, 3), "0.333");
}

TEST(NumberText, SeventeenDigitsReadBackToTheSameNumber) {
  std::mt19937_64 random(811);
  std::uniform_real_distribution<double> mantissa(-10.0, 10.0);
  std::uniform_int_distribution<int> exponent(-300, 300);
  for (int round = 0; round < 2000; ++round) {
    const double value = mantissa(random) * std::pow(10.0, exponent(random));
    double back = std::numeric_limits<double>::quiet_NaN();
    ASSERT_TRUE(read_number(number_text(value, 17), back)) << number_text(value, 17);
    EXPECT_EQ(back, value);
  }
}

}  // namespace
}  // namespace cw
