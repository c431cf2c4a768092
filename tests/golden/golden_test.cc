// Golden texts: what the program prints for the demo recording, byte by byte. CW_APPROVE=1 (or
// `make approve`) rewrites them; the difference is then read by a person.
#include <gtest/gtest.h>

#include <algorithm>

#include "support/run_program.h"

namespace {

using cw::test::Scratch;
using cw::test::slurp;

constexpr const char* demo = CW_BINARY_ROOT "/demo";

void compare(const std::string& name, const std::string& got) {
  const std::filesystem::path path =
      std::filesystem::path(CW_SOURCE_ROOT) / "tests" / "golden" / name;
  if (const char* approve = std::getenv("CW_APPROVE"); approve != nullptr && *approve == '1') {
    std::ofstream(path, std::ios::binary) << got;
    return;
  }
  const std::string want = slurp(path);
  if (got == want) return;
  // The first line that differs says more than two long texts.
  std::istringstream a(want);
  std::istringstream b(got);
  std::string line_a;
  std::string line_b;
  for (int line = 1;; ++line) {
    const bool more_a = static_cast<bool>(std::getline(a, line_a));
    const bool more_b = static_cast<bool>(std::getline(b, line_b));
    if (more_a && more_b && line_a == line_b) continue;
    ADD_FAILURE() << name << ":" << line
                  << "\n  expected: " << (more_a ? line_a.substr(0, 400) : "(end)")
                  << "\n  got:      " << (more_b ? line_b.substr(0, 400) : "(end)")
                  << "\nIf that is meant: make approve, then look at git diff tests/golden.";
    return;
  }
}

void no_paths(const std::string& text) {
  EXPECT_EQ(text.find(CW_SOURCE_ROOT), std::string::npos) << "a golden text must hold no paths";
}

std::string printed(const std::string& arguments) {
  const Scratch scratch;
  const auto ran = cw::test::run_program(scratch, "check '" + std::string(demo) + "' " + arguments);
  EXPECT_EQ(ran.exit, 0) << ran.err;
  no_paths(ran.out);
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
  no_paths(html);
  compare("demo.html", html);
}

}  // namespace
