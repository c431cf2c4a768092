#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "report/twin_report.h"
#include "server/answers.h"
#include "server/sheets.h"
#include "server/workbench.h"
#include "twin/working_point.h"

namespace cw::server {
namespace {

using Json = nlohmann::ordered_json;

/// A refusal on the way to an answer.
using Refused = std::optional<Response>;

Response bad_value(const std::string& key, const std::string& fix) {
  return error_response(422, {ErrorCode::invalid_argument, "this value will not do", key, fix});
}

/// A number of a body in a range; `into` keeps its value where the key is absent.
Refused read(const Json& body, const char* key, double lowest, double highest, double& into) {
  if (!body.contains(key) || body[key].is_null()) return std::nullopt;
  const bool good = body[key].is_number() && body[key].get<double>() >= lowest &&
                    body[key].get<double>() <= highest;
  if (!good) {
    return bad_value(
        key, "Give a number from " + number_text(lowest) + " to " + number_text(highest) + " (SI)");
  }
  into = body[key].get<double>();
  return std::nullopt;
}

Refused read(const Json& body, const char* key, double lowest, double highest,
             std::optional<double>& into) {
  if (!body.contains(key) || body[key].is_null()) return std::nullopt;
  double value = 0.0;
  if (Refused refused = read(body, key, lowest, highest, value)) return refused;
  into = value;
  return std::nullopt;
}

Refused unknown_key(const Json& body, std::initializer_list<std::string_view> known) {
  for (const auto& [key, value] : body.items()) {
    if (std::find(known.begin(), known.end(), key) != known.end()) continue;
    std::vector<std::string> names(known.begin(), known.end());
    return error_response(400, {ErrorCode::parse, "there is no key \"" + key + "\" here", key,
                                "Known: " + list_of(names)});
  }
  return std::nullopt;
}

Refused read_module_faults(const Json& body, twin::ModuleFaults& out) {
  if (Refused r =
          unknown_key(body, {"coil_blocked", "fan_lost", "reversing_valve_leak", "valve_stuck"})) {
    return r;
  }
  if (Refused r = read(body, "coil_blocked", 0.0, 0.95, out.coil_blocked)) return r;
  if (Refused r = read(body, "fan_lost", 0.0, 1.0, out.fan_lost)) return r;
  if (Refused r = read(body, "reversing_valve_leak", 0.0, 0.3, out.reversing_valve_leak)) return r;
  return read(body, "valve_stuck", 0.0, 1.0, out.valve_stuck);
}

Refused read_unit_faults(const Json& body, twin::UnitFaults& out) {
  if (Refused r = unknown_key(body, {"filter_blocked", "valve_stuck", "valve_leak"})) return r;
  if (Refused r = read(body, "filter_blocked", 0.0, 0.95, out.filter_blocked)) return r;
  if (Refused r = read(body, "valve_stuck", 0.0, 1.0, out.valve_stuck)) return r;
  return read(body, "valve_leak", 0.0, 0.3, out.valve_leak);
}

Refused read_faults(const Json& body, twin::Faults& out) {
  if (!body.is_object()) return bad_value("faults", "Give an object");
  if (Refused r = unknown_key(body, {"modules", "units", "non_condensables_mol"})) return r;
  for (const Json& one : body.value("modules", Json::array())) {
    out.modules.emplace_back();
    if (Refused r = read_module_faults(one, out.modules.back())) return r;
  }
  for (const Json& one : body.value("units", Json::array())) {
    out.units.emplace_back();
    if (Refused r = read_unit_faults(one, out.units.back())) return r;
  }
  return read(body, "non_condensables_mol", 0.0, 100.0, out.non_condensables_mol);
}

/// The sheet that a body names or brings.
Refused read_system(Workbench& workbench, const Json& body, std::optional<System>& out) {
  std::string text;
  if (body.contains("sheet")) {
    text = body["sheet"].get<std::string>();
  } else if (body.contains("recording")) {
    const auto recording = workbench.store->recording(body["recording"].get<std::string>());
    if (!recording) return error_response(recording.error());
    text = recording->sheet;
  } else if (body.contains("example")) {
    text = example_sheet(body["example"].get<std::string>()).value_or("");
  }
  if (text.empty()) {
    return error_response(404, {ErrorCode::not_found, "there is no system sheet", "sheet",
                                "Send \"sheet\", or a \"recording\" or \"example\" that has one"});
  }
  const SheetReading reading = read_sheet_text(text, "sheet");
  if (!reading.system) return sheet_refusal(reading);
  if (Status s = check_names_no_file(*reading.system); !s) return error_response(422, s.error());
  out = *reading.system;
  return std::nullopt;
}

Refused read_ask(const Json& body, twin::Ask& out) {
  const std::string mode = body.value("mode", "heating");
  if (mode != "heating" && mode != "cooling") return bad_value("mode", "Use heating or cooling");
  out.plant = mode == "heating" ? twin::Plant::heating : twin::Plant::cooling;
  out.weather.temperature_K = mode == "heating" ? 275.15 : 308.15;
  out.room_K = mode == "heating" ? 294.15 : 298.15;
  if (Refused r = read(body, "outdoor", 228.15, 328.15, out.weather.temperature_K)) return r;
  if (Refused r = read(body, "humidity", 0.0, 1.0, out.weather.relative_humidity)) return r;
  if (Refused r = read(body, "room", 278.15, 313.15, out.room_K)) return r;
  if (Refused r = read(body, "charge", 0.01, 2000.0, out.charge_kg)) return r;
  if (body.contains("calls") && !body["calls"].is_null()) {
    out.calls = body["calls"].get<std::vector<bool>>();
  }
  if (body.contains("faults") && !body["faults"].is_null()) {
    return read_faults(body["faults"], out.faults);
  }
  return std::nullopt;
}

/// What a request asks of the twin.
struct Question {
  std::optional<twin::Model> model;
  twin::Ask ask;
};

Refused read_question(Workbench& workbench, const Json& body, Question& out) {
  std::optional<System> system;
  if (Refused r = read_system(workbench, body, system)) return r;
  const auto parameters = twin::parameters_of(*system);
  if (!parameters) return error_response(422, parameters.error());
  Result<twin::Model> model = twin::make_model(*system, *parameters);
  if (!model) return error_response(422, model.error());
  out.model = std::move(*model);
  return read_ask(body, out.ask);
}

Response steady(Workbench& workbench, Call& call) {
  const Json body = Json::parse(call.request.body, nullptr, false);
  if (!body.is_object()) return bad_body();
  Question question;
  try {
    if (Refused r = unknown_key(body, {"sheet", "recording", "example", "mode", "outdoor",
                                       "humidity", "room", "calls", "charge", "faults"})) {
      return *r;
    }
    if (Refused r = read_question(workbench, body, question)) return *r;
  } catch (const Json::exception&) {
    return bad_body();
  }
  const auto point = twin::working_point(*question.model, question.ask);
  if (!point) return error_response(422, point.error());
  return json_response(working_point_json(*question.model, *point));
}

Refused read_axis(const Json& body, const char* key, double lowest, double highest,
                  std::vector<double>& out) {
  constexpr std::size_t most = 24;
  if (!body.contains(key) || !body[key].is_array() || body[key].empty() ||
      body[key].size() > most) {
    return bad_value(key, "Give a list of 1 to 24 numbers");
  }
  for (const Json& one : body[key]) {
    const bool good =
        one.is_number() && one.get<double>() >= lowest && one.get<double>() <= highest;
    if (!good) {
      return bad_value(key, "Give numbers from " + number_text(lowest) + " to " +
                                number_text(highest) + " (SI)");
    }
    out.push_back(one.get<double>());
  }
  return std::nullopt;
}

Response map(Workbench& workbench, Call& call) {
  const Json body = Json::parse(call.request.body, nullptr, false);
  if (!body.is_object()) return bad_body();
  Question question;
  twin::MapOptions options;
  try {
    if (Refused r = unknown_key(body, {"sheet", "recording", "example", "mode", "outdoors",
                                       "humidity", "room", "calls", "charges", "faults"})) {
      return *r;
    }
    if (Refused r = read_question(workbench, body, question)) return *r;
    if (Refused r = read_axis(body, "outdoors", 228.15, 328.15, options.outdoors_K)) return *r;
    if (Refused r = read_axis(body, "charges", 0.01, 2000.0, options.charges_kg)) return *r;
  } catch (const Json::exception&) {
    return bad_body();
  }
  return workbench.start([&workbench, question, options](Job& job) -> Result<std::string> {
    twin::MapOptions own = options;
    own.stop = [watch = workbench.watch(&job)] { return watch.stopped(); };
    own.progress = [&job](std::size_t done, std::size_t total) {
      job.progress(static_cast<double>(done) / static_cast<double>(total),
                   "working point " + std::to_string(done) + " of " + std::to_string(total));
    };
    const auto cells = twin::charge_map(*question.model, question.ask, own);
    if (!cells) return cells.error();
    return charge_map_json(*question.model, options, *cells);
  });
}

constexpr Route routes[] = {
    {Method::post, "/api/twin/steady", steady, most_json},
    {Method::post, "/api/twin/map", map, most_json},
};

}  // namespace

std::span<const Route> twin_routes() { return routes; }

}  // namespace cw::server
