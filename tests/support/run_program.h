#pragma once

#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace cw::test {

inline std::string slurp(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

/// A directory for one test, empty at its start and removed at its end.
class Scratch {
 public:
  Scratch() {
    const auto* info = testing::UnitTest::GetInstance()->current_test_info();
    path_ = std::filesystem::path(testing::TempDir()) /
            ("coilwright." + std::string(info->test_suite_name()) + "." + info->name());
    std::filesystem::remove_all(path_);
    std::filesystem::create_directories(path_);
  }
  ~Scratch() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;

  /// Writes a file and returns its path.
  std::string file(const std::string& name, std::string_view text) const {
    std::ofstream out(path_ / name, std::ios::binary);
    out << text;
    return (path_ / name).string();
  }
  std::string path(const std::string& name = "") const { return (path_ / name).string(); }

 private:
  std::filesystem::path path_;
};

struct Ran {
  int exit = -1;
  std::string out;
  std::string err;
};

/// Runs the built program with the arguments of a shell line.
inline Ran run_program(const Scratch& scratch, const std::string& arguments) {
  const std::string out = scratch.path("stdout.captured");
  const std::string err = scratch.path("stderr.captured");
  const std::string line = std::string(CW_BINARY_ROOT) + "/coilwright " + arguments + " >'" + out +
                           "' 2>'" + err + "' </dev/null";
  const int status = std::system(line.c_str());
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, slurp(out), slurp(err)};
}

}  // namespace cw::test
