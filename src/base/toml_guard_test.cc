#include "base/toml_guard.h"

#include <gtest/gtest.h>

#include "base/toml_file.h"

namespace cw {
namespace {

TEST(TomlGuard, LettersOutsideQuotesAreRefusedWithTheirLine) {
  EXPECT_EQ(unquoted_letter("a = 1\nǿ = 2\n"), 2);
  EXPECT_EQ(unquoted_letter("a = ǿ"), 1);
  EXPECT_EQ(unquoted_letter("\n\n[é]\n"), 3);
  EXPECT_EQ(unquoted_letter("a = [1,\n 2, ǿ]"), 2);
  EXPECT_EQ(unquoted_letter("a = { b = 1, ü = 2 }"), 1);
  // A no-break blank looks like a blank and is none.
  EXPECT_EQ(unquoted_letter("a\xC2\xA0= 1"), 1);
  // A byte that is no UTF-8 at all.
  EXPECT_EQ(unquoted_letter("a = \xFF"), 1);
  // A quote that begins no string hides nothing.
  EXPECT_EQ(unquoted_letter("a = -\"R-\xEF\xBB\xAF\""), 1);
  EXPECT_EQ(unquoted_letter("a = 1\"\xC7\xBF\""), 1);
  // Nor does one behind a bracket within a value, nor one within a date.
  EXPECT_EQ(unquoted_letter("a = 2-j[\"\xC5\x99\""), 1);
  EXPECT_EQ(unquoted_letter("a = [1,\n2=\"\xC5\x99\"]"), 2);
  EXPECT_EQ(unquoted_letter("a = 1.\"\xC5\x99\""), 1);
  // A backslash makes the parser look for a blank.
  EXPECT_EQ(unquoted_letter("a = \"\\\xC2\xBA\""), 1);
  EXPECT_EQ(unquoted_letter("a = \"\"\"\nx\\\\\\\xC2\xBA\"\"\""), 2);
  EXPECT_EQ(unquoted_letter("a = \"\"\"x \\\n\n  \xC2\xBA\"\"\""), 3);
  // Behind a string of several lines the count of lines still holds.
  EXPECT_EQ(unquoted_letter("a = \"\"\"x\ny\n\"\"\"\nb = ß"), 4);
}

TEST(TomlGuard, LettersInQuotesAndCommentsAreFine) {
  for (const char* text : {"a = \"ǿ\"", "a = 'ǿ'  # ǿ", "# größer\na = 1", "\"ǿ\" = 1", "['é']",
                           "[[\"é\"]]", "a = \"\"\"\nǿ \" ǿ\n\"\"\"", "a = \"\\\\ǿ\"",
                           "a.\"ǿ\".b = 1", "a=\"ǿ\"", "a = {b=\"ǿ\",\"ü\"=[true,\"é\"]}",
                           "a = \"\"\"x \\\n  y ǿ\"\"\"", "a = '''ǿ'ǿ'''", "a = [\"ü\", # ü\n 'ü']",
                           "\xEF\xBB\xBF"
                           "a = 1"}) {
    EXPECT_EQ(unquoted_letter(text), std::nullopt) << text;
    EXPECT_TRUE(parse_toml(text, "x.toml").has_value()) << text;
  }
}

TEST(TomlGuard, TheErrorSaysLineReasonAndRemedy) {
  const auto parsed = parse_toml("a = 1\ntempérature = 3\n", "my.toml");
  ASSERT_FALSE(parsed.has_value());
  EXPECT_EQ(parsed.error().where, "my.toml:2");
  EXPECT_NE(parsed.error().message.find("outside quotes"), std::string::npos);
  EXPECT_NE(parsed.error().fix.find("quotes"), std::string::npos);
}

TEST(TomlGuard, HeadersWithoutNameAndBracesInLists) {
  EXPECT_EQ(nameless_header("a = 1\n[[["), 2);
  EXPECT_EQ(nameless_header("[ = ]"), 1);
  EXPECT_EQ(nameless_header("a = [\n[1], [2]]\n[b]"), std::nullopt);
  EXPECT_EQ(misplaced_brace("x = [}"), 1);
  EXPECT_EQ(misplaced_brace("x = [{ a = 1 }]"), std::nullopt);
}

}  // namespace
}  // namespace cw
