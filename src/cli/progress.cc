#include "cli/progress.h"

#include <cstdio>

#include "cli/command.h"

namespace cw::cli {

void ProgressLine::show(const std::string& what, std::size_t done, std::size_t total) {
  if (!stderr_is_terminal() || total == 0) return;
  const auto now = std::chrono::steady_clock::now();
  if (now - last_ < std::chrono::milliseconds(100)) return;
  last_ = now;
  const double seconds = std::chrono::duration<double>(now - start_).count();
  const double rate = seconds > 0.0 ? static_cast<double>(done) / seconds : 0.0;
  const double left = rate > 0.0 ? static_cast<double>(total - done) / rate : 0.0;
  std::fprintf(stderr, "\r\x1b[K%s: %.0f %%, %.0f MB/s, %.0f s left", what.c_str(),
               100.0 * static_cast<double>(done) / static_cast<double>(total), rate * 1e-6, left);
  std::fflush(stderr);
  drawn_ = true;
}

void ProgressLine::show_simulated(const std::string& what, double done_s, double total_s,
                                  double factor) {
  if (!stderr_is_terminal() || total_s <= 0.0) return;
  const auto now = std::chrono::steady_clock::now();
  if (now - last_ < std::chrono::milliseconds(100)) return;
  last_ = now;
  const double left = factor > 0.0 ? (total_s - done_s) / factor : 0.0;
  std::fprintf(stderr, "\r\x1b[K%s: %.0f %%, %.0f times real time, %.0f s left", what.c_str(),
               100.0 * done_s / total_s, factor, left);
  std::fflush(stderr);
  drawn_ = true;
}

void ProgressLine::say(const std::string& what) {
  if (!stderr_is_terminal()) return;
  std::fprintf(stderr, "\r\x1b[K%s ...", what.c_str());
  std::fflush(stderr);
  drawn_ = true;
}

void ProgressLine::clear() {
  if (drawn_) std::fprintf(stderr, "\r\x1b[K");
  drawn_ = false;
}

}  // namespace cw::cli
