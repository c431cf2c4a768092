#include <nlohmann/json.hpp>

#include "report/channel_views.h"
#include "report/check_case.h"
#include "report/check_report.h"
#include "report/cycle_views.h"
#include "report/unit_grid.h"
#include "server/answers.h"
#include "server/workbench.h"

namespace cw::server {
namespace {

/// A stretch of a recording in pieces, as a query asks for it.
struct Window {
  Instant from, to;
  std::size_t pieces = 0;
};

Result<Window> window_of(const Call& call, const Recording& recording, std::int64_t usual,
                         std::int64_t most) {
  constexpr std::int64_t far = 9007199254740992;  // 2^53
  const std::int64_t first = recording.size() == 0 ? 0 : recording.time.front().ms;
  const std::int64_t last = recording.size() == 0 ? 0 : recording.time.back().ms;
  const auto from = call.whole("from", first, -far, far);
  if (!from) return from.error();
  const auto to = call.whole("to", last, -far, far);
  if (!to) return to.error();
  const auto pieces = call.whole("points", usual, 1, most);
  if (!pieces) return pieces.error();
  if (*to < *from) {
    return Error{ErrorCode::invalid_argument, "the end lies before the beginning", "to",
                 "Give from <= to, in milliseconds"};
  }
  return Window{{*from}, {*to}, static_cast<std::size_t>(*pieces)};
}

/// Opens the recording of a call and hands it over; any unit system will do.
template <class F>
Response with_recording(Workbench& workbench, const Call& call, F&& use) {
  const Library::Found opened =
      workbench.library.open(call.parts.front(), std::nullopt, workbench.watch());
  if (!opened) return error_response(opened.error());
  return use(**opened);
}

/// The same with its sentences in the units that the call asks for.
template <class F>
Response with_sentences(Workbench& workbench, const Call& call, F&& use) {
  const Result<UnitSystem> units = call.units();
  if (!units) return error_response(400, units.error());
  const Library::Found opened =
      workbench.library.open(call.parts.front(), *units, workbench.watch());
  if (!opened) return error_response(opened.error());
  return use(**opened);
}

Response verdict(Workbench& workbench, Call& call) {
  return with_sentences(workbench, call, [](const Opened& opened) {
    return json_response(check_json(opened.report()));
  });
}

Response diagnosis(Workbench& workbench, Call& call) {
  const Result<UnitSystem> units = call.units();
  if (!units) return error_response(400, units.error());
  const Diagnoses::Question question{call.parts.front(), call.value("sound").value_or(""),
                                     call.value("coldest"), call.value("hottest")};
  Result<std::string> json = workbench.diagnoses.json(question, *units, workbench.watch());
  return json ? json_response(std::move(*json)) : error_response(json.error());
}

/// What a body asks of a diagnosis; nothing where it is not as docs/design/workbench.md says.
std::optional<Diagnoses::Question> question_of(const Call& call) {
  const auto body = nlohmann::json::parse(call.request.body, nullptr, false);
  if (!body.is_object()) return std::nullopt;
  Diagnoses::Question out{call.parts.front(), "", std::nullopt, std::nullopt};
  for (const auto& [key, value] : body.items()) {
    if (!value.is_string() && !value.is_null()) return std::nullopt;
    std::optional<std::string> text;
    if (value.is_string()) text = value.get<std::string>();
    if (key == "sound") {
      out.sound = text.value_or("");
    } else if (key == "coldest") {
      out.coldest = text;
    } else if (key == "hottest") {
      out.hottest = text;
    } else {
      return std::nullopt;
    }
  }
  return out;
}

Response start_diagnosis(Workbench& workbench, Call& call) {
  const std::optional<Diagnoses::Question> asked = question_of(call);
  if (!asked) return bad_body();
  const Diagnoses::Question question = *asked;
  const auto days = read_design_days(question.coldest, question.hottest, Reader::page);
  if (!days) return error_response(422, days.error());
  for (const std::string& id : {question.recording, question.sound}) {
    if (id.empty()) continue;
    const Result<StoredRecording> recording = workbench.store->recording(id);
    if (!recording) return error_response(recording.error());
  }
  return workbench.start([&workbench, question](Job& job) -> Result<std::string> {
    const auto json = workbench.diagnoses.json(question, UnitSystem::si, workbench.watch(&job));
    if (!json) return json.error();
    return "{\"recording\":\"" + question.recording + "\"}";
  });
}

Response channels(Workbench& workbench, Call& call) {
  return with_recording(workbench, call, [](const Opened& opened) {
    return json_response(channels_json(opened.judgement));
  });
}

const Channel* channel_named(const Recording& recording, const std::string& name) {
  const std::size_t dot = name.rfind('.');
  if (dot == std::string::npos) return nullptr;
  return recording.find(std::string_view(name).substr(0, dot),
                        std::string_view(name).substr(dot + 1));
}

Response series(Workbench& workbench, Call& call) {
  return with_recording(workbench, call, [&](const Opened& opened) {
    const Recording& recording = opened.recording();
    const Result<Window> window = window_of(call, recording, 1000, 8192);
    if (!window) return error_response(400, window.error());
    const std::vector<std::string> names = call.all("channel");
    constexpr std::size_t most = 64;
    if (names.empty() || names.size() > most) {
      return error_response(400, {ErrorCode::invalid_argument, "no channel, or more than 64",
                                  "channel", "Give channel=NAME, several times if need be"});
    }
    std::vector<const Channel*> found;
    for (const std::string& name : names) {
      found.push_back(channel_named(recording, name));
      if (found.back() == nullptr) {
        return error_response(404, {ErrorCode::not_found, "there is no channel \"" + name + "\"",
                                    "channel", "GET .../channels lists them"});
      }
    }
    Response out;
    out.content_type = "application/octet-stream";
    out.body = series_bytes(recording, found, window->from, window->to, window->pieces);
    return out;
  });
}

Response phases(Workbench& workbench, Call& call) {
  return with_recording(workbench, call, [](const Opened& opened) {
    return json_response(phases_json(opened.judgement));
  });
}

Response cycle(Workbench& workbench, Call& call) {
  return with_recording(workbench, call, [&](const Opened& opened) {
    if (call.value("at")) {
      const auto at = call.whole("at", 0, -(std::int64_t{1} << 53), std::int64_t{1} << 53);
      if (!at) return error_response(400, at.error());
      return json_response(cycle_json(opened.judgement, {*at}));
    }
    const Result<Window> window = window_of(call, opened.recording(), 60, 600);
    if (!window) return error_response(400, window.error());
    return json_response(cycles_json(opened.judgement, window->from, window->to, window->pieces));
  });
}

Response units(Workbench& workbench, Call& call) {
  return with_recording(workbench, call, [&](const Opened& opened) {
    const Result<Window> window = window_of(call, opened.recording(), 400, 2000);
    if (!window) return error_response(400, window.error());
    return json_response(
        unit_grid_json(opened.judgement, *opened.calls, window->from, window->to, window->pieces));
  });
}

Response dome(Workbench&, Call& call) {
  const auto refrigerant = fluid::find_refrigerant(call.value("refrigerant").value_or("R-410A"));
  if (!refrigerant) return error_response(refrigerant.error());
  const Result<std::string> json = dome_json(**refrigerant);
  return json ? json_response(*json) : error_response(json.error());
}

Response report(Workbench& workbench, Call& call) {
  if (call.value("format").value_or("html") != "html") {
    return error_response(400, {ErrorCode::unsupported, "this is written as HTML only", "format",
                                "Use format=html; .../report.pdf prints it"});
  }
  return with_sentences(workbench, call, [&](const Opened& opened) {
    CheckReport told = opened.report();
    const Result<Paper> paper = paper_of(call, told.units);
    if (!paper) return error_response(400, paper.error());
    told.paper = *paper;
    Response out = page_response(check_html(told));
    if (call.value("download").value_or("") == "1") {
      out.headers.emplace_back("Content-Disposition", "attachment; filename=\"report.html\"");
    }
    return out;
  });
}

constexpr Route routes[] = {
    {Method::get, "/api/recordings/{}/verdict", verdict},
    {Method::get, "/api/recordings/{}/diagnosis", diagnosis},
    {Method::post, "/api/recordings/{}/diagnosis", start_diagnosis, most_json},
    {Method::get, "/api/recordings/{}/channels", channels},
    {Method::get, "/api/recordings/{}/series", series},
    {Method::get, "/api/recordings/{}/phases", phases},
    {Method::get, "/api/recordings/{}/cycle", cycle},
    {Method::get, "/api/recordings/{}/units", units},
    {Method::get, "/api/recordings/{}/report", report},
    {Method::get, "/api/dome", dome},
};

}  // namespace

std::span<const Route> view_routes() { return routes; }

}  // namespace cw::server
