#include "server/jobs.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "server/answers.h"
#include "server/gate.h"
#include "server/memory.h"

namespace cw::server {
namespace {

const char* name_of(Job::State state) {
  switch (state) {
    case Job::State::running:
      return "running";
    case Job::State::done:
      return "done";
    case Job::State::failed:
      return "failed";
    case Job::State::cancelled:
      return "cancelled";
  }
  return "";
}

}  // namespace

void Job::progress(double fraction, std::string what, std::string rate) {
  const std::string share =
      fraction < 0.0 ? "" : std::to_string(std::lround(100.0 * fraction)) + " %";
  std::string text = what;
  for (const std::string& part : {share, rate}) {
    if (!part.empty()) text += ", " + part;
  }
  std::string json =
      "{\"fraction\":" +
      (fraction < 0.0 ? std::string("null") : number_text(std::clamp(fraction, 0.0, 1.0), 4)) +
      ",\"what\":" + json_text(what) + ",\"rate\":" + json_text(rate) +
      ",\"text\":" + json_text(text) + "}";
  {
    const std::lock_guard lock(mutex_);
    if (state_ != State::running || json == progress_) return;
    progress_ = std::move(json);
    ++version_;
  }
  changed();
}

void Job::finish(const Result<std::string>& result) {
  {
    const std::lock_guard lock(mutex_);
    state_ = result ? State::done : stop_ ? State::cancelled : State::failed;
    result_ = result ? *result : error_json(result.error());
    // A line end would end the event.
    while (!result_.empty() && result_.back() == '\n') result_.pop_back();
    ++version_;
  }
  changed();
}

void Job::changed() {
  std::vector<std::function<bool()>> listeners;
  {
    const std::lock_guard lock(mutex_);
    listeners.swap(listeners_);
  }
  std::erase_if(listeners, [](const std::function<bool()>& wake) { return !wake(); });
  const std::lock_guard lock(mutex_);
  listeners_.insert(listeners_.end(), std::make_move_iterator(listeners.begin()),
                    std::make_move_iterator(listeners.end()));
}

std::string Job::event() const {
  switch (state_) {
    case State::running:
      return "event: progress\ndata: " + progress_ + "\n\n";
    case State::done:
      return "event: done\ndata: {\"result\":" + result_ + "}\n\n";
    case State::failed:
      return "event: failed\ndata: {\"error\":" + result_ + "}\n\n";
    case State::cancelled:
      return "event: cancelled\ndata: {}\n\n";
  }
  return {};
}

EventSource::Take Job::take(std::uint64_t& cursor) {
  const std::lock_guard lock(mutex_);
  const bool ended = state_ != State::running;
  if (cursor == version_) return {"", ended};
  cursor = version_;
  return {event(), ended};
}

void Job::listen(std::function<bool()> wake) {
  const std::lock_guard lock(mutex_);
  listeners_.push_back(std::move(wake));
}

Job::State Job::state() const {
  const std::lock_guard lock(mutex_);
  return state_;
}

std::string Job::json() const {
  const std::lock_guard lock(mutex_);
  std::string out =
      "{\"id\":\"" + id_ + "\",\"state\":\"" + name_of(state_) + "\",\"progress\":" + progress_;
  if (state_ == State::done) out += ",\"result\":" + result_;
  if (state_ == State::failed) out += ",\"error\":" + result_;
  return out + "}\n";
}

std::shared_ptr<Job> Jobs::start(Work work) {
  const std::lock_guard lock(mutex_);
  const auto running = std::count_if(entries_.begin(), entries_.end(), [](const Entry& entry) {
    return entry.job->state() == Job::State::running;
  });
  if (ending_ || static_cast<std::size_t>(running) >= most_running) return nullptr;
  forget_old();
  auto job = std::make_shared<Job>(random_name(12));
  std::jthread thread([job, work = std::move(work)] {
    try {
      job->finish(work(*job));
    } catch (const std::exception&) {
      job->finish(Error{ErrorCode::inconsistent, "the program failed at this work", "",
                        "Is there enough memory? Otherwise this is an error of the program"});
    }
    // Reading and judging free much at once.
    give_memory_back();
  });
  entries_.push_back({job, std::move(thread)});
  return job;
}

std::shared_ptr<Job> Jobs::find(const std::string& id) const {
  const std::lock_guard lock(mutex_);
  const auto found = std::find_if(entries_.begin(), entries_.end(),
                                  [&](const Entry& entry) { return entry.job->id() == id; });
  return found == entries_.end() ? nullptr : found->job;
}

void Jobs::forget_old() {
  constexpr std::size_t kept = 64;
  for (auto it = entries_.begin(); entries_.size() > kept && it != entries_.end();) {
    it = it->job->state() == Job::State::running ? it + 1 : entries_.erase(it);
  }
}

void Jobs::stop_all() {
  std::vector<Entry> ending;
  {
    const std::lock_guard lock(mutex_);
    ending_ = true;
    for (const Entry& entry : entries_) entry.job->stop();
    ending.swap(entries_);
  }
}

std::string Rate::operator()(std::size_t bytes) const {
  const double seconds =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
  if (seconds < 0.2 || bytes == 0) return {};
  return number_text(static_cast<double>(bytes) * 1e-6 / seconds, 2) + " MB/s";
}

}  // namespace cw::server
