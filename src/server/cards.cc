#include "server/cards.h"

#include <array>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "server/limits.h"

namespace cw::server {
namespace {

using Json = nlohmann::ordered_json;

std::string dumped(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

struct Word {
  const char* key;
  std::optional<std::string> CaseWords::*member;
};
constexpr std::array words = {
    Word{"mode", &CaseWords::mode},           Word{"refrigerant", &CaseWords::refrigerant},
    Word{"target", &CaseWords::target},       Word{"altitude", &CaseWords::altitude},
    Word{"barometer", &CaseWords::barometer},
};

Json json_of(const StoredWords& said) {
  Json out = Json::object();
  for (const Word& word : words) {
    if (const auto& text = said.words.*(word.member)) out[word.key] = *text;
  }
  if (!said.limits.empty()) out["limits"] = said.limits;
  return out;
}

Error unknown_word(const std::string& key) {
  std::string nearest = "limits";
  for (const Word& word : words) {
    if (edit_distance(key, word.key) < edit_distance(key, nearest)) nearest = word.key;
  }
  return {ErrorCode::parse, "there is no option \"" + key + "\"", key,
          "Did you mean \"" + nearest + "\"?"};
}

Result<StoredWords> words_of(const Json& json) {
  if (!json.is_object()) {
    return Error{ErrorCode::parse, "the options are no JSON object", "", "Send {} for none"};
  }
  StoredWords out;
  for (const auto& [key, value] : json.items()) {
    if (value.is_null()) continue;
    if (!value.is_string()) {
      return Error{ErrorCode::parse, "the option \"" + key + "\" is no text", key,
                   "Write it as behind the command line's flag, for example \"1600m\""};
    }
    std::string text = value.get<std::string>();
    if (key == "limits") {
      out.limits = std::move(text);
      continue;
    }
    bool known = false;
    for (const Word& word : words) {
      if (key != word.key) continue;
      known = true;
      if (!text.empty()) out.words.*(word.member) = text;
    }
    if (!known) return unknown_word(key);
  }
  return out;
}

Json files_json(const std::vector<StoredFile>& files) {
  Json out = Json::array();
  for (const StoredFile& file : files) {
    out.push_back({{"name", file.name}, {"bytes", file.bytes}, {"hash", file.hash}});
  }
  return out;
}

Json json_of(const Summary& summary) {
  return {{"verdict", summary.verdict},   {"healthy", summary.healthy},
          {"start_ms", summary.start_ms}, {"end_ms", summary.end_ms},
          {"rows", summary.rows},         {"channels", summary.channels}};
}

}  // namespace

std::string words_json(const StoredWords& said) { return dumped(json_of(said)); }

Result<StoredWords> read_words(std::string_view json) {
  const Json parsed = Json::parse(json, nullptr, false);
  if (parsed.is_discarded()) {
    return Error{ErrorCode::parse, "the options are no JSON", "", "Send a JSON object of texts"};
  }
  return words_of(parsed);
}

Status check_words(const StoredWords& said) {
  const Result<LimitSheet> limits = limits_of(said);
  if (!limits) return limits.error();
  const Result<CaseOptions> options = read_case(said.words, *limits, UnitSystem::si, Reader::page);
  if (!options) return options.error();
  const auto refrigerant = fluid::find_refrigerant(options->judge.refrigerant);
  if (!refrigerant) return refrigerant.error();
  return Done{};
}

std::string file_json(const StoredFile& file) { return dumped(files_json({file}).front()); }

std::string recording_json(const StoredRecording& recording) {
  std::uint64_t bytes = 0;
  for (const StoredFile& file : recording.files) bytes += file.bytes;
  Json out = {{"id", recording.id},
              {"name", recording.name},
              {"taken_in", recording.taken_in},
              {"demo", recording.demo},
              {"bytes", bytes},
              {"files", files_json(recording.files)},
              {"has_sheet", !recording.sheet.empty()},
              {"has_map", !recording.map.empty()},
              {"options", json_of(recording.said)},
              {"summary", nullptr}};
  if (recording.summary && recording.summary->of == recording.fingerprint()) {
    out["summary"] = json_of(*recording.summary);
  }
  return dumped(out);
}

std::string intake_json(const Intake& intake) {
  return dumped({{"id", intake.id},
                 {"corrects", intake.corrects.empty() ? Json() : Json(intake.corrects)},
                 {"files", files_json(intake.files)},
                 {"options", json_of(intake.said)},
                 {"has_map", !intake.map.empty()},
                 {"has_sheet", !intake.sheet.empty()}});
}

std::string card_json(const StoredRecording& recording) {
  Json files = Json::array();
  for (std::size_t i = 0; i < recording.files.size(); ++i) {
    const StoredFile& file = recording.files[i];
    files.push_back({{"name", file.name},
                     {"bytes", file.bytes},
                     {"hash", file.hash},
                     {"at", recording.paths[i].filename().string()}});
  }
  return dumped({{"schema", "coilwright.stored/1"},
                 {"name", recording.name},
                 {"taken_in", recording.taken_in},
                 {"demo", recording.demo},
                 {"files", files},
                 {"map", recording.map_file},
                 {"options", json_of(recording.said)}}) +
         "\n";
}

Result<StoredRecording> read_card(std::string_view json) {
  const Error broken{ErrorCode::parse, "the card of a recording is broken", "", ""};
  const Json parsed = Json::parse(json, nullptr, false);
  if (!parsed.is_object() || !parsed.contains("files") || !parsed["files"].is_array()) {
    return broken;
  }
  StoredRecording out;
  try {
    out.name = parsed.value("name", "");
    out.taken_in = parsed.value("taken_in", "");
    out.demo = parsed.value("demo", false);
    // Cards of earlier versions name none. No other file is ever taken for a map, or removed as
    // one.
    out.map_file = parsed.value("map", first_map);
    if (!out.map_file.empty() && out.map_file != first_map && out.map_file != second_map) {
      return broken;
    }
    for (const Json& file : parsed["files"]) {
      out.files.push_back(
          {file.value("name", ""), file.value("bytes", std::uint64_t{0}), file.value("hash", "")});
      out.paths.emplace_back(file.value("at", ""));
    }
  } catch (const Json::exception&) {
    return broken;
  }
  const Result<StoredWords> said = words_of(parsed.value("options", Json::object()));
  if (!said) return said.error();
  out.said = *said;
  return out;
}

std::string summary_json(const Summary& summary) {
  Json out = json_of(summary);
  out["of"] = summary.of;
  return dumped(out);
}

std::optional<Summary> read_summary(std::string_view json) {
  const Json parsed = Json::parse(json, nullptr, false);
  if (!parsed.is_object()) return std::nullopt;
  try {
    Summary out;
    out.verdict = parsed.at("verdict").get<std::string>();
    out.healthy = parsed.at("healthy").get<std::string>();
    out.start_ms = parsed.at("start_ms").get<std::int64_t>();
    out.end_ms = parsed.at("end_ms").get<std::int64_t>();
    out.rows = parsed.at("rows").get<std::uint64_t>();
    out.channels = parsed.at("channels").get<std::uint64_t>();
    out.of = parsed.at("of").get<std::string>();
    return out;
  } catch (const Json::exception&) {
    return std::nullopt;
  }
}

}  // namespace cw::server
