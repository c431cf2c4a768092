#include <nlohmann/json.hpp>

#include "ingest/encoding.h"
#include "report/inspect_report.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;

Json survey_json(const FileSurvey& survey) {
  Json out;
  out["file"] = survey.file;
  out["format"] = survey.format;
  out["shape"] = survey.shape;
  out["titles"] = survey.titles;
  out["findings"] = Json::array();
  for (const Observation& f : survey.findings) {
    out["findings"].push_back(
        {{"what", f.what}, {"confidence", f.confidence}, {"reason", f.reason}});
  }
  Json clock{{"form", name_of(survey.clock.form)},
             {"order", name_of(survey.clock.order)},
             {"confidence", survey.clock.finding.confidence},
             {"reason", survey.clock.finding.reason}};
  if (survey.clock.zone) clock["zone"] = *survey.clock.zone;
  if (survey.clock_error) clock["error"] = survey.clock_error->text();
  out["clock"] = std::move(clock);
  out["rows"] = survey.rows;
  // Without a clock the times are but row numbers.
  const bool timed = !survey.clock_error;
  const auto time_text = [&](Instant time) {
    return timed ? iso_text(time, survey.shown) : std::string();
  };
  // One row has no step.
  const bool steps = timed && survey.interval > 0.0;
  const auto decided = [&](const auto& value) { return steps ? Json(value) : Json(nullptr); };
  out["first"] = time_text(survey.first);
  out["last"] = time_text(survey.last);
  out["interval_s"] = decided(survey.interval);
  out["gaps"] = {{"count", decided(survey.gaps.count)},
                 {"longest_s", decided(survey.gaps.longest)},
                 {"longest_from", time_text(survey.gaps.longest_from)},
                 {"total_s", decided(survey.gaps.total)}};
  out["columns"] = Json::array();
  for (const ColumnSurvey& c : survey.columns) {
    Json column{{"position", c.index + 1}, {"header", c.header},   {"unit", c.unit_text},
                {"role", c.role},          {"numbers", c.numbers}, {"texts", c.texts}};
    if (!c.channel.empty()) column["channel"] = c.channel;
    if (c.numbers > 0 && c.channel.empty()) {
      column["lowest"] = c.lowest;
      column["median"] = c.median;
      column["highest"] = c.highest;
    }
    for (const auto& [word, times] : c.words) column["words"][as_utf8(word)] = times;
    out["columns"].push_back(std::move(column));
  }
  out["proposals"] = Json::array();
  for (const Proposal& p : survey.proposals) {
    out["proposals"].push_back({{"kind", p.kind},
                                {"column", p.column},
                                {"what", p.what},
                                {"confidence", p.confidence},
                                {"evidence", p.evidence},
                                {"toml", p.toml}});
  }
  return out;
}

}  // namespace

std::string inspect_json(const Import& import) {
  Json out;
  out["schema"] = "coilwright.inspect/1";
  out["files"] = Json::array();
  for (const FileSurvey& survey : import.surveys) out["files"].push_back(survey_json(survey));
  out["counters"] = Json::object();
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::count_); ++i) {
    const auto counter = static_cast<Counter>(i);
    if (import.log.count_of(counter) == 0) continue;
    const CounterInfo& info = info_of(counter);
    out["counters"][std::string(info.name)] = {{"count", import.log.count_of(counter)},
                                               {"severity", name_of(info.severity)},
                                               {"meaning", info.meaning}};
  }
  out["rejects"] = Json::array();
  for (const Reject& r : import.log.rejects()) {
    out["rejects"].push_back({{"counter", info_of(r.counter).name},
                              {"file", r.file},
                              {"line", r.line},
                              {"column", r.column},
                              {"text", r.text},
                              {"reason", r.reason}});
  }
  out["assumptions"] = import.assumptions;
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace cw
