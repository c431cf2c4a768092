#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "checks/readings.h"
#include "fieldwork/procedures.h"
#include "report/check_case.h"
#include "report/fieldwork_report.h"
#include "report/readings_report.h"
#include "server/answers.h"
#include "server/sheets.h"
#include "server/workbench.h"

namespace cw::server {
namespace {

using Json = nlohmann::ordered_json;

std::string_view name_of(const field::Question& question) {
  return question.flag.starts_with("--") ? question.flag.substr(2) : question.flag;
}

/// Writing into a person's register needs that file; a page has only what was sent.
bool is_offered(const field::Question& question) { return question.flag != "--record"; }

Json field_json_of(const field::Question& question) {
  const field::AnswerForm form = field::answer_form(question);
  return {{"name", name_of(question)},
          {"flag", question.flag},
          {"value_name", question.value_name},
          {"kind", field::name_of(form.kind)},
          {"units", form.units},
          {"choices", form.choices},
          {"help", question.help},
          {"repeatable", question.repeatable},
          {"asked", question.asked}};
}

Response list(Workbench&, Call&) {
  Json procedures = Json::array();
  for (const field::Procedure& procedure : field::procedures()) {
    Json fields = Json::array();
    for (const field::Question& question : procedure.questions()) {
      if (is_offered(question)) fields.push_back(field_json_of(question));
    }
    procedures.push_back(
        {{"name", procedure.name}, {"title", procedure.title}, {"fields", fields}});
  }
  return json_response(Json{{"procedures", procedures}}.dump() + "\n");
}

const field::Question* question_named(const field::Procedure& procedure, std::string_view name) {
  for (const field::Question& question : procedure.questions()) {
    if (is_offered(question) && name_of(question) == name) return &question;
  }
  return nullptr;
}

Error no_question(const field::Procedure& procedure, const std::string& name) {
  std::vector<std::string> known;
  for (const field::Question& question : procedure.questions()) {
    if (is_offered(question)) known.emplace_back(name_of(question));
  }
  return {ErrorCode::not_found, "\"" + name + "\" is no question here", name,
          "Known: " + list_of(known)};
}

Status add_answer(const field::Question& question, const Json& value, field::Form& form) {
  if (value.is_array()) {
    for (const Json& item : value) {
      if (Status s = add_answer(question, item, form); !s) return s;
    }
    return Done{};
  }
  if (value.is_null()) return Done{};
  if (value.is_string()) {
    const std::string text(trim(value.get_ref<const std::string&>()));
    if (!text.empty()) form.add(question.flag, text);
    return Done{};
  }
  if (value.is_boolean()) {
    if (value.get<bool>()) form.add(question.flag, "");
    return Done{};
  }
  if (value.is_number()) {
    form.add(question.flag, number_text(value.get<double>(), 15));
    return Done{};
  }
  return Error{ErrorCode::parse, "this value is neither a text nor a number",
               std::string(question.flag), "Write for example \"60 L\""};
}

Status add_answers(const field::Procedure& procedure, const Json& body, field::Form& form) {
  const Json answers = body.value("answers", Json::object());
  for (const auto& [name, value] : answers.items()) {
    const field::Question* question = question_named(procedure, name);
    if (question == nullptr) return no_question(procedure, name);
    if (field::answer_form(*question).kind == field::AnswerKind::file) {
      return Error{ErrorCode::unsupported, "files of this machine are not read by their path",
                   std::string(question->flag), "Send the file's text in \"files\""};
    }
    if (Status s = add_answer(*question, value, form); !s) return s;
  }
  const Json files = body.value("files", Json::object());
  for (const auto& [name, value] : files.items()) {
    const field::Question* question = question_named(procedure, name);
    if (question == nullptr) return no_question(procedure, name);
    const bool is_file = field::answer_form(*question).kind == field::AnswerKind::file;
    if (!is_file || !value.is_object()) {
      return Error{ErrorCode::parse, "this is answered by no file", std::string(question->flag),
                   "Send it in \"answers\""};
    }
    form.attach(question->flag, {value.value("name", name), value.value("text", "")});
  }
  return Done{};
}

/// A sheet that was sent may be anything; what is wrong with it the procedure says better.
Status check_sheet(const field::Form& form) {
  if (!form.is_attached("system")) return Done{};
  const Result<field::Form::File> file = form.file("system");
  if (!file) return file.error();
  const Result<System> system = parse_system(file->text, file->name);
  return system ? check_names_no_file(*system) : Status(Done{});
}

/// The recording's sheet answers the question for the system.
Status add_sheet(Workbench& workbench, const field::Procedure& procedure, const Json& body,
                 field::Form& form) {
  if (!body.contains("recording") || question_named(procedure, "system") == nullptr) return Done{};
  const auto recording = workbench.store->recording(body.value("recording", ""));
  if (!recording) return recording.error();
  if (recording->sheet.empty()) {
    return Error{ErrorCode::not_found, "this recording has no system sheet", "system",
                 "Give it one, or send a sheet in \"files\""};
  }
  form.attach("system", {"sheet", recording->sheet});
  return Done{};
}

Result<UnitSystem> units_of(const Json& body) {
  const std::string text = body.value("units", "si");
  if (text == "si") return UnitSystem::si;
  if (text == "ip") return UnitSystem::ip;
  return Error{ErrorCode::invalid_argument, "\"" + text + "\" is no unit system", "units",
               "Use si or ip (inch-pound)"};
}

Response run_procedure(Workbench& workbench, const field::Procedure& procedure, const Json& body) {
  const Result<UnitSystem> units = units_of(body);
  if (!units) return error_response(400, units.error());
  field::Form form;
  form.reader = Reader::page;
  if (Status s = add_answers(procedure, body, form); !s) return error_response(422, s.error());
  if (Status s = add_sheet(workbench, procedure, body, form); !s) {
    return error_response(422, s.error());
  }
  if (Status s = check_sheet(form); !s) return error_response(422, s.error());
  const Result<field::FieldSheet> sheet = procedure.run(form, *units);
  if (!sheet) return error_response(422, sheet.error());
  return json_response("{\"sheet\":" + field_json(*sheet) +
                       ",\"paper\":" + json_text(field_html(*sheet, *units, local_day())) + "}\n");
}

Response run(Workbench& workbench, Call& call) {
  const field::Procedure* procedure = field::find_procedure(call.parts.front());
  if (procedure == nullptr) {
    return error_response(404, {ErrorCode::not_found, "there is no such procedure", "",
                                "GET /api/fieldwork lists them"});
  }
  const Json body = Json::parse(call.request.body, nullptr, false);
  if (!body.is_object()) return bad_body();
  try {
    return run_procedure(workbench, *procedure, body);
  } catch (const Json::exception&) {
    return bad_body();
  }
}

std::optional<std::string> text_in(const Json& body, const char* key) {
  std::string text = body.value(key, "");
  return text.empty() ? std::nullopt : std::optional<std::string>(std::move(text));
}

Result<std::vector<Reading>> readings_of(const Json& body, double barometer) {
  std::vector<Reading> out;
  const Json readings = body.value("readings", Json::object());
  for (const auto& [name, value] : readings.items()) {
    const Result<Reading> reading = read_reading(name, value.get<std::string>(), barometer);
    if (!reading) return reading.error();
    out.push_back(*reading);
  }
  return out;
}

Response judge_moment(const Json& body) {
  const Result<UnitSystem> units = units_of(body);
  if (!units) return error_response(400, units.error());
  const CaseWords words{text_in(body, "mode"), text_in(body, "refrigerant"), std::nullopt,
                        text_in(body, "altitude"), text_in(body, "barometer")};
  const Result<SiteAir> site = read_site_air(words.altitude, words.barometer, Reader::page);
  if (!site) return error_response(422, site.error());
  const Result<CaseOptions> options =
      read_case(words, LimitSheet::defaults(), *units, Reader::page);
  if (!options) return error_response(422, options.error());
  const Barometer barometer = site->barometer(*units);
  const auto readings = readings_of(body, barometer.pressure.value);
  if (!readings) return error_response(422, readings.error());
  const Result<Judgement> judgement = judge_readings(*readings, options->judge);
  if (!judgement) return error_response(422, judgement.error());
  const ReadingsReport report{*judgement, barometer.origin, *units};
  return json_response("{\"readings\":" + readings_json(report) +
                       ",\"paper\":" + json_text(readings_html(report)) + "}\n");
}

Response readings(Workbench&, Call& call) {
  const Json body = Json::parse(call.request.body, nullptr, false);
  if (!body.is_object()) return bad_body();
  try {
    return judge_moment(body);
  } catch (const Json::exception&) {
    return bad_body();
  }
}

constexpr Route routes[] = {
    {Method::get, "/api/fieldwork", list},
    {Method::post, "/api/fieldwork/{}", run, most_json},
    {Method::post, "/api/readings", readings, most_json},
};

}  // namespace

std::span<const Route> field_routes() { return routes; }

}  // namespace cw::server
