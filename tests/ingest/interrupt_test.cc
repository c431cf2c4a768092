// Stopped at any moment the program leaves nothing half-written behind.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>

#include "support/run_program.h"

namespace {

namespace fs = std::filesystem;

/// About 12 MB: reading and keeping it takes long enough to be stopped in the middle.
std::string large_log() {
  std::string out = "time";
  for (int unit = 1; unit <= 40; ++unit) {
    out += ",indoor." + std::to_string(unit) + ".room_temperature [degC]";
  }
  out += "\n";
  char cell[40];
  for (int row = 0; row < 50000; ++row) {
    std::snprintf(cell, sizeof cell, "2026-%02d-%02d %02d:%02d:00", 1 + row / 40320,
                  1 + row / 1440 % 28, row / 60 % 24, row % 60);
    out += cell;
    for (int unit = 0; unit < 40; ++unit) {
      std::snprintf(cell, sizeof cell, ",%d.%d", 18 + (row + unit) % 7, (row * 7 + unit) % 10);
      out += cell;
    }
    out += "\n";
  }
  return out;
}

TEST(Interrupt, LeavesNothingHalfWritten) {
  const cw::test::Scratch scratch;
  const std::string log = scratch.file("log.csv", large_log());
  const fs::path shelf = scratch.path("cache") + "/recordings";
  const std::string program = std::string(CW_BINARY_ROOT) + "/coilwright";
  ::setenv("COILWRIGHT_CACHE", scratch.path("cache").c_str(), 1);
  std::size_t stopped = 0;
  // Whatever the machine's speed some of these meet it reading and some keeping.
  for (const int ms : {0, 10, 30, 60, 100, 150, 200, 250, 300, 400, 600, 900}) {
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
      // Started behind "&" in a script or by nohup, the test was given a SIGINT that is ignored,
      // and so would be the program: nothing would ever be stopped.
      ::signal(SIGINT, SIG_DFL);
      const int null = ::open("/dev/null", O_WRONLY);
      ::dup2(null, 1);
      ::dup2(null, 2);
      ::execl(program.c_str(), program.c_str(), "check", log.c_str(), nullptr);
      ::_exit(127);
    }
    ::usleep(static_cast<useconds_t>(ms) * 1000);
    ::kill(child, SIGINT);
    int status = 0;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    ASSERT_FALSE(WIFEXITED(status) && WEXITSTATUS(status) == 127);
    stopped += WIFSIGNALED(status) ? 1U : 0U;
    std::error_code none;
    for (const auto& entry : fs::directory_iterator(shelf, none)) {
      EXPECT_EQ(entry.path().extension(), ".recording") << entry.path();
    }
  }
  EXPECT_GT(stopped, 0U);
  // What was kept, if anything, is whole: the same words as without it.
  const cw::test::Ran kept = cw::test::run_program(scratch, "check '" + log + "'");
  const cw::test::Ran again = cw::test::run_program(scratch, "check '" + log + "'");
  const cw::test::Ran plain = cw::test::run_program(scratch, "check --no-cache '" + log + "'");
  ::unsetenv("COILWRIGHT_CACHE");
  EXPECT_EQ(kept.out, plain.out);
  EXPECT_EQ(again.out, plain.out);
  EXPECT_EQ(plain.exit, 0) << plain.err;
  ASSERT_TRUE(fs::exists(shelf));
  EXPECT_FALSE(fs::is_empty(shelf));
}

}  // namespace
