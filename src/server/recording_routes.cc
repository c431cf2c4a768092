#include <nlohmann/json.hpp>

#include "base/text.h"
#include "demo/recording.h"
#include "report/sheet_report.h"
#include "server/answers.h"
#include "server/cards.h"
#include "server/sheets.h"
#include "server/workbench.h"

namespace cw::server {
namespace {

Response list(Workbench& workbench, Call&) {
  std::string out = "{\"recordings\":[";
  bool first = true;
  for (const StoredRecording& recording : workbench.store->recordings()) {
    out += (first ? "" : ",") + recording_json(recording);
    first = false;
  }
  return json_response(out + "]}\n");
}

Response recording_response(Workbench& workbench, const std::string& id, int status = 200) {
  const Result<StoredRecording> recording = workbench.store->recording(id);
  if (!recording) return error_response(recording.error());
  return json_response(recording_json(*recording) + "\n", status);
}

Response one(Workbench& workbench, Call& call) {
  return recording_response(workbench, call.parts.front());
}

Response remove(Workbench& workbench, Call& call) {
  const Status done = workbench.store->remove_recording(call.parts.front());
  return done ? nothing_response() : error_response(done.error());
}

Status add_file(Store& store, const std::string& intake, const std::string& name,
                std::string_view text) {
  Result<std::unique_ptr<BodySink>> sink = store.begin_file(intake, name);
  if (!sink) return sink.error();
  if (Status s = (*sink)->append(text); !s) return s;
  const Result<StoredFile> file = store.finish_file(**sink);
  if (!file) return file.error();
  return Done{};
}

Result<StoredRecording> take_in_demo(Store& store) {
  const Result<demo::DemoFiles> files = demo::demo_files();
  if (!files) return files.error();
  const Result<std::string> intake = store.begin_intake();
  if (!intake) return intake.error();
  if (Status s = add_file(store, *intake, "indoor.csv", files->indoor); !s) return s.error();
  if (Status s = add_file(store, *intake, "outdoor.csv", files->outdoor); !s) return s.error();
  const std::string sheet = example_sheet("demo_office").value_or("");
  if (Status s = store.set_intake_sheet(*intake, sheet); !s) return s.error();
  const Result<Intake> made = store.intake(*intake);
  if (!made) return made.error();
  return store.take_in(*intake, made->version, "Demo: a winter day", true);
}

Response take_demo(Workbench& workbench, Call&) {
  static std::mutex once;  // two clicks make one demo
  const std::lock_guard lock(once);
  for (const StoredRecording& recording : workbench.store->recordings()) {
    if (recording.demo) return recording_response(workbench, recording.id);
  }
  const Result<StoredRecording> demo = take_in_demo(*workbench.store);
  if (!demo) return error_response(demo.error());
  return recording_response(workbench, demo->id, 201);
}

Response set_name(Workbench& workbench, Call& call) {
  const auto body = nlohmann::json::parse(call.request.body, nullptr, false);
  if (!body.is_object() || !body.contains("name") || !body["name"].is_string()) {
    return error_response(
        400, {ErrorCode::parse, "no name was sent", "name", "Send {\"name\": \"...\"}"});
  }
  const std::string name(trim(body["name"].get_ref<const std::string&>()).substr(0, 200));
  if (name.empty()) {
    return error_response(422, {ErrorCode::invalid_argument, "the name is empty", "name",
                                "Give the recording a name"});
  }
  const Status done = workbench.store->set_name(call.parts.front(), name);
  if (!done) return error_response(done.error());
  return recording_response(workbench, call.parts.front());
}

Response set_options(Workbench& workbench, Call& call) {
  Result<StoredWords> said = read_words(call.request.body);
  if (!said) return error_response(400, said.error());
  if (Status s = check_words(*said); !s) return error_response(422, s.error());
  const Status done = workbench.store->set_words(call.parts.front(), std::move(*said));
  if (!done) return error_response(done.error());
  return recording_response(workbench, call.parts.front());
}

Response open(Workbench& workbench, Call& call) {
  const std::string id = call.parts.front();
  const Result<UnitSystem> units = call.units();
  if (!units) return error_response(400, units.error());
  const Result<StoredRecording> recording = workbench.store->recording(id);
  if (!recording) return error_response(recording.error());
  return workbench.start([&workbench, id, units = *units](Job& job) -> Result<std::string> {
    const auto opened = workbench.library.open(id, units, workbench.watch(&job));
    if (!opened) return opened.error();
    return "{\"recording\":\"" + id + "\"}";
  });
}

Response correction(Workbench& workbench, Call& call) {
  const Result<Intake> intake = workbench.store->begin_correction(call.parts.front());
  if (!intake) return error_response(intake.error());
  return json_response(intake_json(*intake) + "\n", 201);
}

Response sheet_of(Workbench& workbench, Call& call) {
  const Result<UnitSystem> units = call.units();
  if (!units) return error_response(400, units.error());
  const Result<StoredRecording> recording = workbench.store->recording(call.parts.front());
  if (!recording) return error_response(recording.error());
  if (recording->sheet.empty()) {
    return error_response(404, {ErrorCode::not_found, "this recording has no system sheet", "",
                                "Give it one: docs/user/sheet.md"});
  }
  return sheet_response(recording->sheet, *units);
}

Response put_sheet(Workbench& workbench, Call& call) {
  return take_sheet(call, [&](const std::string& toml) {
    return workbench.store->set_sheet(call.parts.front(), toml);
  });
}

Response remove_sheet(Workbench& workbench, Call& call) {
  const Status done = workbench.store->set_sheet(call.parts.front(), "");
  return done ? nothing_response() : error_response(done.error());
}

Response example(Workbench&, Call& call) {
  const Result<UnitSystem> units = call.units();
  if (!units) return error_response(400, units.error());
  const std::optional<std::string> text = example_sheet(call.parts.front());
  if (!text) {
    return error_response(
        404, {ErrorCode::not_found, "there is no such example", "", "GET /api/about lists them"});
  }
  return sheet_response(*text, *units);
}

constexpr Route routes[] = {
    {Method::get, "/api/recordings", list},
    {Method::post, "/api/recordings/demo", take_demo, most_json},
    {Method::get, "/api/recordings/{}", one},
    {Method::del, "/api/recordings/{}", remove},
    {Method::put, "/api/recordings/{}/name", set_name, most_json},
    {Method::put, "/api/recordings/{}/options", set_options, most_json},
    {Method::post, "/api/recordings/{}/open", open, most_json},
    {Method::post, "/api/recordings/{}/correction", correction, most_json},
    {Method::get, "/api/recordings/{}/sheet", sheet_of},
    {Method::put, "/api/recordings/{}/sheet", put_sheet, most_json},
    {Method::del, "/api/recordings/{}/sheet", remove_sheet},
    {Method::get, "/api/examples/{}/sheet", example},
};

}  // namespace

std::span<const Route> recording_routes() { return routes; }

}  // namespace cw::server
