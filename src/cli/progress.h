#pragma once

#include <chrono>
#include <string>

namespace cw::cli {

/// One line of progress on stderr, rewritten in place; silent where stderr is no terminal.
class ProgressLine {
 public:
  /// Bytes done and in all, with rate and time left. Draws at most ten times a second.
  void show(const std::string& what, std::size_t done, std::size_t total);
  /// Simulated time done and in all [s], with the speed as a multiple of real time and time left.
  void show_simulated(const std::string& what, double done_s, double total_s, double factor);
  void say(const std::string& what);
  void clear();

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
  std::chrono::steady_clock::time_point last_{};
  bool drawn_ = false;
};

}  // namespace cw::cli
