#pragma once

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include "support/run_program.h"

namespace cw::test {

/// Compares with a file under tests/golden byte by byte; CW_APPROVE=1 (or `make approve`) rewrites
/// it, and the difference is then read by a person.
inline void compare_golden(const std::string& name, const std::string& got) {
  const std::filesystem::path path =
      std::filesystem::path(CW_SOURCE_ROOT) / "tests" / "golden" / name;
  if (const char* approve = std::getenv("CW_APPROVE"); approve != nullptr && *approve == '1') {
    std::filesystem::create_directories(path.parent_path());
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

inline void expect_no_paths(const std::string& text) {
  EXPECT_EQ(text.find(CW_SOURCE_ROOT), std::string::npos) << "a golden text must hold no paths";
}

}  // namespace cw::test
