#include "server/workbench.h"

#include <algorithm>

#include "ingest/map_writer.h"
#include "report/inspect_report.h"
#include "server/answers.h"

namespace cw::server {
namespace {

const std::vector<Route>& all_routes() {
  static const std::vector<Route> routes = [] {
    std::vector<Route> out;
    for (const auto& some : {page_routes(), recording_routes(), view_routes(), print_routes(),
                             intake_routes(), twin_routes(), field_routes()}) {
      out.insert(out.end(), some.begin(), some.end());
    }
    return out;
  }();
  return routes;
}

Response routing_refusal(const Routing& routing) {
  if (routing.refusal == 405) {
    Response out = error_response(405, {ErrorCode::invalid_argument, "this cannot be done here", "",
                                        "Possible: " + routing.allowed});
    out.headers.emplace_back("Allow", routing.allowed);
    return out;
  }
  if (routing.refusal == 400) {
    return error_response(400, {ErrorCode::parse, "the address is badly written", "", ""});
  }
  return error_response(404, {ErrorCode::not_found, "there is nothing at this address", "",
                              "docs/design/workbench.md lists what there is"});
}

}  // namespace

const Route* Workbench::route(const Request& request, Call& call,
                              std::optional<Response>& refusal) const {
  const Routing found = find_route(all_routes(), request.method, request.path, call.parts);
  if (found.route == nullptr) {
    refusal = routing_refusal(found);
    return nullptr;
  }
  if (!read_query(request.query, call.query)) {
    refusal = error_response(400, {ErrorCode::parse, "the query is badly written", "", ""});
    return nullptr;
  }
  return found.route;
}

Plan Workbench::plan(const Request& request) {
  Plan out;
  out.refuse = gate.refusal(request);
  if (out.refuse) return out;
  if (gate.brings_token(request)) {
    out.refuse = gate.welcome();
    return out;
  }
  Request head = Request{};  // a call needs one to refer to; openers look at its parts only
  head.length = request.length;
  Call call{head, {}, {}};
  const Route* found = route(request, call, out.refuse);
  if (found == nullptr) return out;
  out.most = found->opener != nullptr ? upload_limit : found->most;
  if (found->opener == nullptr || request.length.value_or(0) > out.most) return out;
  Result<std::unique_ptr<BodySink>> sink = found->opener(*this, call);
  if (!sink) {
    const ErrorCode code = sink.error().code;
    const int status = code == ErrorCode::not_found          ? 404
                       : code == ErrorCode::inconsistent     ? 409
                       : code == ErrorCode::invalid_argument ? 400
                       : code == ErrorCode::out_of_range     ? 429
                                                             : 507;
    out.refuse = error_response(status, sink.error());
    return out;
  }
  out.sink = std::move(*sink);
  return out;
}

Response Workbench::answer(Request& request) {
  Call call{request, {}, {}};
  std::optional<Response> refusal;
  const Route* found = route(request, call, refusal);
  return found == nullptr ? std::move(*refusal) : found->handler(*this, call);
}

void Workbench::end() {
  ending_ = true;
  jobs.stop_all();
}

Response Workbench::start(Work work) {
  const std::shared_ptr<Job> job = jobs.start(std::move(work));
  if (job == nullptr) {
    return error_response(429, {ErrorCode::out_of_range, "too much work is going on at once", "",
                                "Wait until some of it has ended"});
  }
  return json_response("{\"job\":\"" + job->id() + "\"}\n", 202);
}

Result<Survey> Workbench::survey(const std::string& id, Job* job) {
  const Result<Intake> intake = store->intake(id);
  if (!intake) return intake.error();
  {
    const std::lock_guard lock(mutex_);
    const auto found = surveys_.find(id);
    if (found != surveys_.end() && found->second.version == intake->version) return found->second;
  }
  if (intake->files.empty()) {
    return Error{ErrorCode::invalid_argument, "there is no file to look at", "",
                 "Send a file first"};
  }
  const Result<Import> import = survey_case(case_of(*intake), watch(job));
  if (!import) return import.error();
  Survey out{intake->version, inspect_json(*import), map_text(*import)};
  const std::lock_guard lock(mutex_);
  constexpr std::size_t kept = 16;
  while (surveys_.size() >= kept) surveys_.erase(surveys_.begin());
  surveys_[id] = out;
  return out;
}

}  // namespace cw::server
