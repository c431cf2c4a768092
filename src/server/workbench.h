#pragma once

#include <atomic>
#include <map>
#include <memory>
#include <mutex>
#include <string>

#include "server/diagnoses.h"
#include "server/gate.h"
#include "server/http.h"
#include "server/jobs.h"
#include "server/library.h"
#include "server/prints.h"
#include "server/router.h"
#include "server/store.h"

namespace cw::server {

/// What a survey of an intake gave.
struct Survey {
  std::uint64_t version = 0;  ///< of the intake
  std::string json;           ///< as `inspect --json`
  std::string map;            ///< as `inspect --save-map`
};

/// Everything that the routes work with.
class Workbench : public Front {
 public:
  Workbench(std::unique_ptr<Store> the_store, Gate the_gate, std::uint64_t the_upload_limit)
      : store(std::move(the_store)),
        library(*store),
        diagnoses(*store, library),
        gate(std::move(the_gate)),
        upload_limit(the_upload_limit) {}
  ~Workbench() override { end(); }

  Plan plan(const Request& request) override;
  Response answer(Request& request) override;

  /// Stops all work and waits for the jobs.
  void end();
  Watch watch(Job* job = nullptr) { return {job, &ending_}; }
  /// 202 with the job's id, or 429.
  Response start(Work work);
  /// The survey of an intake, made when it is not there.
  Result<Survey> survey(const std::string& intake, Job* job);

  const std::unique_ptr<Store> store;
  Library library;
  Diagnoses diagnoses;
  Prints prints;
  Gate gate;  ///< its port is set before the server runs
  Jobs jobs;
  const std::uint64_t upload_limit;  ///< of one file [bytes]

 private:
  const Route* route(const Request& request, Call& call, std::optional<Response>& refusal) const;

  std::atomic<bool> ending_{false};
  std::mutex mutex_;
  std::map<std::string, Survey> surveys_;
};

}  // namespace cw::server
