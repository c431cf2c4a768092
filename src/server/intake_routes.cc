#include <nlohmann/json.hpp>

#include "base/text.h"
#include "server/answers.h"
#include "server/cards.h"
#include "server/map_json.h"
#include "server/sheets.h"
#include "server/workbench.h"

namespace cw::server {
namespace {

Response begin(Workbench& workbench, Call&) {
  const Result<std::string> id = workbench.store->begin_intake();
  if (!id) return error_response(429, id.error());
  return json_response("{\"id\":\"" + *id + "\"}\n", 201);
}

Response one(Workbench& workbench, Call& call) {
  const Result<Intake> intake = workbench.store->intake(call.parts.front());
  if (!intake) return error_response(intake.error());
  return json_response(intake_json(*intake) + "\n");
}

Response remove(Workbench& workbench, Call& call) {
  const Status done = workbench.store->remove_intake(call.parts.front());
  return done ? nothing_response() : error_response(done.error());
}

Result<std::unique_ptr<BodySink>> open_file(Workbench& workbench, const Call& call) {
  std::error_code error;
  const auto space = std::filesystem::space(workbench.store->folder(), error);
  constexpr std::uint64_t spare = std::uint64_t{64} << 20U;
  if (!error && space.available < call.request.length.value_or(0) + spare) {
    return Error{ErrorCode::unreadable, "the disk has no room for this file", call.parts.back(),
                 "Free some space, or choose another folder with --folder"};
  }
  return workbench.store->begin_file(call.parts.front(), call.parts.back());
}

Response put_file(Workbench& workbench, Call& call) {
  if (call.request.sink == nullptr) {
    // No body was announced: an empty file.
    Result<std::unique_ptr<BodySink>> sink = open_file(workbench, call);
    if (!sink) return error_response(sink.error());
    call.request.sink = std::move(*sink);
  }
  const Result<StoredFile> file = workbench.store->finish_file(*call.request.sink);
  if (!file) {
    return error_response(file.error().code == ErrorCode::inconsistent ? 409 : 507, file.error());
  }
  return json_response(file_json(*file) + "\n", 201);
}

Response remove_file(Workbench& workbench, Call& call) {
  const Status done = workbench.store->remove_file(call.parts.front(), call.parts.back());
  return done ? nothing_response() : error_response(done.error());
}

Response survey(Workbench& workbench, Call& call) {
  Result<Survey> survey = workbench.survey(call.parts.front(), nullptr);
  if (!survey) return error_response(survey.error());
  return json_response(std::move(survey->json));
}

Response start_survey(Workbench& workbench, Call& call) {
  const std::string id = call.parts.front();
  const Result<Intake> intake = workbench.store->intake(id);
  if (!intake) return error_response(intake.error());
  return workbench.start([&workbench, id](Job& job) -> Result<std::string> {
    const Result<Survey> survey = workbench.survey(id, &job);
    if (!survey) return survey.error();
    return "{\"intake\":\"" + id + "\"}";
  });
}

Response map(Workbench& workbench, Call& call) {
  const Result<Intake> intake = workbench.store->intake(call.parts.front());
  if (!intake) return error_response(intake.error());
  if (call.value("as") == "json") {
    Result<std::string> json = map_json(intake->map);
    if (!json) return error_response(json.error());
    return json_response(std::move(*json));
  }
  if (!intake->map.empty()) return text_response(intake->map);
  Result<Survey> survey = workbench.survey(call.parts.front(), nullptr);
  if (!survey) return error_response(survey.error());
  return text_response(std::move(survey->map));
}

Response put_map(Workbench& workbench, Call& call) {
  if (trim(call.request.body).empty()) {
    return error_response(422,
                          {ErrorCode::parse, "the map is empty", "map", "DELETE takes a map away"});
  }
  const Result<ChannelMap> map = parse_channel_map(call.request.body, "map");
  if (!map) return error_response(422, map.error());
  const Status done = workbench.store->set_intake_map(call.parts.front(), call.request.body);
  return done ? nothing_response() : error_response(done.error());
}

Response remove_map(Workbench& workbench, Call& call) {
  const Status done = workbench.store->set_intake_map(call.parts.front(), "");
  return done ? nothing_response() : error_response(done.error());
}

Response put_sheet(Workbench& workbench, Call& call) {
  return take_sheet(call, [&](const std::string& toml) {
    return workbench.store->set_intake_sheet(call.parts.front(), toml);
  });
}

Response remove_sheet(Workbench& workbench, Call& call) {
  const Status done = workbench.store->set_intake_sheet(call.parts.front(), "");
  return done ? nothing_response() : error_response(done.error());
}

Response put_options(Workbench& workbench, Call& call) {
  Result<StoredWords> said = read_words(call.request.body);
  if (!said) return error_response(400, said.error());
  if (Status s = check_words(*said); !s) return error_response(422, s.error());
  const Status done = workbench.store->set_intake_words(call.parts.front(), std::move(*said));
  return done ? nothing_response() : error_response(done.error());
}

/// "winter.csv", "indoor.csv and outdoor.csv", "indoor.csv and 11 more".
std::string usual_name(const Intake& intake) {
  std::string out = intake.files.front().name;
  if (intake.files.size() == 2) out += " and " + intake.files.back().name;
  if (intake.files.size() > 2) out += " and " + std::to_string(intake.files.size() - 1) + " more";
  return out;
}

Result<std::string> take_in(Workbench& workbench, const Intake& intake, std::string name,
                            Job& job) {
  // Judged before it is taken in, so that what cannot be read never enters the list, and a
  // correction that cannot be read never takes the place of what can.
  const auto opened = open_case(case_of(intake), workbench.store->shelf(), workbench.watch(&job));
  if (!opened) return opened.error();
  if (job.stopped()) return stopped();
  const Result<StoredRecording> stored =
      intake.corrects.empty()
          ? workbench.store->take_in(intake.id, intake.version, std::move(name), false)
          : workbench.store->correct(intake.id, intake.version);
  if (!stored) return stored.error();
  // For lists only: that it cannot be written spoils nothing.
  (void)workbench.store->set_summary(stored->id, summary_of(**opened, stored->fingerprint()));
  workbench.library.add(*stored, *opened);
  return "{\"recording\":\"" + stored->id + "\"}";
}

Response read(Workbench& workbench, Call& call) {
  const Result<Intake> intake = workbench.store->intake(call.parts.front());
  if (!intake) return error_response(intake.error());
  if (intake->files.empty()) {
    return error_response(
        422, {ErrorCode::invalid_argument, "there is no file to read", "", "Send a file first"});
  }
  std::string name;
  if (!call.request.body.empty()) {
    const auto body = nlohmann::json::parse(call.request.body, nullptr, false);
    if (!body.is_object()) {
      return error_response(400, {ErrorCode::parse, "the body is no JSON object", "", ""});
    }
    if (body.contains("name") && body["name"].is_string()) {
      name = std::string(trim(body["name"].get_ref<const std::string&>()).substr(0, 200));
    }
  }
  if (name.empty()) name = usual_name(*intake);
  return workbench.start([&workbench, intake = *intake, name](Job& job) {
    return take_in(workbench, intake, name, job);
  });
}

/// Hands over the job of a call.
template <class F>
Response with_job(Workbench& workbench, const Call& call, F&& use) {
  const auto found = workbench.jobs.find(call.parts.front());
  if (found == nullptr) {
    return error_response({ErrorCode::not_found, "there is no such job", "", ""});
  }
  return use(found);
}

Response job(Workbench& workbench, Call& call) {
  return with_job(workbench, call, [](const auto& found) { return json_response(found->json()); });
}

Response events(Workbench& workbench, Call& call) {
  return with_job(workbench, call, [](const auto& found) {
    Response out;
    out.events = found;
    return out;
  });
}

Response cancel(Workbench& workbench, Call& call) {
  return with_job(workbench, call, [](const auto& found) {
    if (found->state() != Job::State::running) return nothing_response();
    found->stop();
    return nothing_response(202);
  });
}

constexpr Route routes[] = {
    {Method::post, "/api/intake", begin, most_json},
    {Method::get, "/api/intake/{}", one},
    {Method::del, "/api/intake/{}", remove},
    {Method::put, "/api/intake/{}/files/{}", put_file, 0, open_file},
    {Method::del, "/api/intake/{}/files/{}", remove_file},
    {Method::get, "/api/intake/{}/survey", survey},
    {Method::post, "/api/intake/{}/survey", start_survey, most_json},
    {Method::get, "/api/intake/{}/map", map},
    {Method::put, "/api/intake/{}/map", put_map, most_json},
    {Method::del, "/api/intake/{}/map", remove_map},
    {Method::put, "/api/intake/{}/sheet", put_sheet, most_json},
    {Method::del, "/api/intake/{}/sheet", remove_sheet},
    {Method::put, "/api/intake/{}/options", put_options, most_json},
    {Method::post, "/api/intake/{}/read", read, most_json},
    {Method::get, "/api/jobs/{}", job},
    {Method::get, "/api/jobs/{}/events", events},
    {Method::del, "/api/jobs/{}", cancel},
};

}  // namespace

std::span<const Route> intake_routes() { return routes; }

}  // namespace cw::server
