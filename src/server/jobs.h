#pragma once

#include <atomic>
#include <chrono>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "base/result.h"
#include "server/http.h"

namespace cw::server {

/// Long work with progress that can be followed and stopped. Thread-safe.
class Job : public EventSource {
 public:
  enum class State : std::uint8_t { running, done, failed, cancelled };

  explicit Job(std::string id) : id_(std::move(id)) {}

  const std::string& id() const noexcept { return id_; }

  // For the work itself.
  bool stopped() const noexcept { return stop_; }
  /// @param fraction  0..1; negative: not known
  void progress(double fraction, std::string what, std::string rate = {});

  // For those who wait.
  Take take(std::uint64_t& cursor) override;
  void listen(std::function<bool()> wake) override;
  State state() const;
  /// State, last progress, and result or error.
  std::string json() const;
  void stop() noexcept { stop_ = true; }

 private:
  friend class Jobs;
  void finish(const Result<std::string>& result);
  std::string event() const;  // of the present state
  void changed();

  const std::string id_;
  std::atomic<bool> stop_{false};
  mutable std::mutex mutex_;
  std::uint64_t version_ = 1;
  State state_ = State::running;
  std::string progress_ = R"({"fraction":null,"what":"waiting","rate":"","text":"waiting"})";
  std::string result_;  // JSON: the result or the error
  std::vector<std::function<bool()>> listeners_;
};

/// The work of a job: JSON of its result. Looks at Job::stopped() now and then.
using Work = std::function<Result<std::string>(Job&)>;

/// All jobs of a server: each in a thread of its own, a bounded number at once.
class Jobs {
 public:
  static constexpr std::size_t most_running = 4;  ///< own choice: more would only wait for memory

  ~Jobs() { stop_all(); }

  /// The new job; null when too many run.
  std::shared_ptr<Job> start(Work work);
  std::shared_ptr<Job> find(const std::string& id) const;
  /// Asks every job to stop and waits for them; none can be started any more.
  void stop_all();

 private:
  struct Entry {
    std::shared_ptr<Job> job;
    std::jthread thread;
  };
  void forget_old();

  mutable std::mutex mutex_;
  bool ending_ = false;
  std::vector<Entry> entries_;  // oldest first
};

/// "35 MB/s" from bytes done since a start; empty in the first moment.
class Rate {
 public:
  std::string operator()(std::size_t bytes) const;

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

}  // namespace cw::server
