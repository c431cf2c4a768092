// Golden texts: what the program prints for the demo recording, byte by byte. CW_APPROVE=1 (or
// `make approve`) rewrites them; the difference is then read by a person.
#include <gtest/gtest.h>

#include "support/golden.h"

namespace {

using cw::test::Scratch;
using cw::test::slurp;

constexpr const char* demo = CW_BINARY_ROOT "/demo";

void compare(const std::string& name, const std::string& got) {
  cw::test::compare_golden(name, got);
}

std::string printed(const std::string& arguments) {
  const Scratch scratch;
  const auto ran = cw::test::run_program(scratch, "check '" + std::string(demo) + "' " + arguments);
  EXPECT_EQ(ran.exit, 0) << ran.err;
  cw::test::expect_no_paths(ran.out);
  return ran.out;
}

TEST(Golden, DemoText) { compare("demo.txt", printed("")); }

TEST(Golden, DemoTextInchPound) { compare("demo.ip.txt", printed("--units ip")); }

TEST(Golden, DemoJson) { compare("demo.json", printed("--json")); }

// The guide in docs/user is what the program says of its checks.
TEST(Golden, CheckGuide) {
  const Scratch scratch;
  const auto ran = cw::test::run_program(scratch, "check --guide");
  EXPECT_EQ(ran.exit, 0) << ran.err;
  compare("../../docs/user/check-guide.md", ran.out);
}

TEST(Golden, Readings) {
  const Scratch scratch;
  const auto ran = cw::test::run_program(
      scratch,
      "readings --mode heating --discharge-pressure 418psig --suction-pressure 60psig "
      "--discharge-temperature 130F --outdoor-temperature 20F --gas-pipe-temperature 102F "
      "--units ip");
  EXPECT_EQ(ran.exit, 0) << ran.err;
  compare("readings.ip.txt", ran.out);
}

TEST(Golden, DemoHtml) {
  const Scratch scratch;
  const std::string file = scratch.path("demo.html");
  const auto ran =
      cw::test::run_program(scratch, "check '" + std::string(demo) + "' --html '" + file + "'");
  EXPECT_EQ(ran.exit, 0) << ran.err;
  const std::string html = slurp(file);
  cw::test::expect_no_paths(html);
  compare("demo.html", html);
}

}  // namespace
