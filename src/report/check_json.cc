#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "base/version.h"
#include "checks/wanted.h"
#include "report/check_report.h"
#include "report/detail/json_number.h"
#include "report/detail/titles.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;

/// Six significant digits: what a sensor can bear, and the same text on every machine.
Json number(double value) { return detail::json_number(value, 6); }

Json recordings_json(const Recording& recording) {
  Json out = Json::array();
  for (const RecordingFile& file : recording.files) {
    out.push_back(
        {{"file", file.name}, {"hash", file.hash}, {"bytes", file.bytes}, {"rows", file.rows}});
  }
  return out;
}

Json span_json(const Recording& recording) {
  if (recording.size() == 0) return nullptr;
  Json clock = {{"kind", recording.clock.kind == Clock::Kind::unstated ? "unstated"
                         : recording.clock.kind == Clock::Kind::offset ? "offset"
                                                                       : "zone"}};
  if (recording.clock.kind == Clock::Kind::zone) clock["zone"] = recording.clock.zone;
  return {{"start", iso_text(recording.time.front(), recording.clock)},
          {"end", iso_text(recording.time.back(), recording.clock)},
          {"rows", recording.size()},
          {"clock", clock}};
}

Json phases_json(const Timeline& timeline, const Clock& clock) {
  Json out = Json::array();
  for (const Phase& phase : timeline.phases) {
    out.push_back({{"phase", name_of(phase.kind)},
                   {"place", timeline.place.text},
                   {"start", iso_text(phase.start, clock)},
                   {"end", iso_text(phase.end, clock)},
                   {"seconds", number(seconds_between(phase.start, phase.end))},
                   {"why", phase.why}});
  }
  return out;
}

Json defrosts_json(const Judgement& judgement) {
  Json out = Json::array();
  for (const Defrost& d : judgement.phases.defrosts) {
    out.push_back({{"place", d.place.text},
                   {"start", iso_text(d.start, judgement.recording.clock)},
                   {"end", iso_text(d.end, judgement.recording.clock)},
                   {"seconds", number(seconds_between(d.start, d.end))},
                   {"since_last_seconds", d.since_last ? number(*d.since_last) : Json(nullptr)},
                   {"coil_before", number(d.coil_before)},
                   {"coil_peak", number(d.coil_peak)},
                   {"coil_after", number(d.coil_after)},
                   {"outdoor_before", number(d.outdoor_before)},
                   {"outdoor_after", number(d.outdoor_after)},
                   {"unit", "K"}});
  }
  return out;
}

Json measure_json(const Measure& measure) {
  Json windows = Json::array();
  for (const double value : measure.by_window) windows.push_back(number(value));
  return {{"name", measure.name},
          {"unit", si_symbol(measure.dimension)},
          {"dimension", name_of(measure.dimension)},
          {"median", number(measure.value)},
          {"low", number(measure.low)},
          {"high", number(measure.high)},
          {"uncertainty", number(measure.uncertainty)},
          {"expected_low", number(measure.expected_low)},
          {"expected_high", number(measure.expected_high)},
          {"direction", name_of(measure.direction())},
          {"seconds", number(measure.seconds)},
          {"by_window", windows}};
}

Json windows_json(const Judgement& judgement) {
  Json out = Json::array();
  for (const SteadyWindow& window : judgement.windows) {
    out.push_back({{"start", iso_text(window.start, judgement.recording.clock)},
                   {"end", iso_text(window.end, judgement.recording.clock)},
                   {"phase", name_of(window.kind)}});
  }
  return out;
}

Json finding_json(const Finding& finding, const Judgement& judgement) {
  const std::vector<Finding>& all = judgement.findings;
  const Clock& clock = judgement.recording.clock;
  Json evidence = Json::array();
  for (const Evidence& e : finding.evidence) {
    const Dimension dimension = e.dimension.value_or(finding.dimension);
    evidence.push_back({{"verdict", name_of(e.verdict)},
                        {"start", iso_text(e.window.start, clock)},
                        {"end", iso_text(e.window.end, clock)},
                        {"value", number(e.window.value)},
                        {"limit", number(e.window.limit)},
                        {"unit", si_symbol(dimension)},
                        {"dimension", name_of(dimension)},
                        {"held_seconds", number(e.window.held)}});
  }
  Json measures = Json::array();
  for (const Measure& measure : finding.measures) measures.push_back(measure_json(measure));
  Json out = {{"id", finding.check},
              {"place", finding.place.text},
              {"verdict", name_of(finding.verdict)},
              {"because", finding.because},
              {"channel", finding.channel.empty() ? Json(nullptr) : Json(finding.channel)},
              {"observed_seconds", number(finding.observed)},
              {"evidence", evidence},
              {"measures", measures}};
  if (!finding.proof.empty()) out["proof"] = finding.proof;
  if (finding.verdict == Verdict::unproven) {
    out["missing"] = missing_channels(finding, judgement.recording);
  }
  if (finding.root) {
    const Finding& root = all[*finding.root];
    out["follows_from"] = {
        {"id", root.check}, {"place", root.place.text}, {"because", finding.root_because}};
  }
  return out;
}

Json limits_json(const LimitSheet& limits) {
  Json figures = Json::array();
  for (const Limit& limit : limits.all()) {
    Json row = {{"key", limit.key},
                {"value", number(limit.value)},
                {"unit", si_symbol(limit.dimension)},
                {"dimension", name_of(limit.dimension)},
                {"text", limit.text},
                {"source", limit.source},
                {"sheet", limit.sheet},
                {"overridden", limit.overridden}};
    if (!limit.note.empty()) row["note"] = limit.note;
    if (!limit.replaced.empty()) row["replaced"] = limit.replaced;
    figures.push_back(std::move(row));
  }
  return {{"sheet", limits.name()}, {"chain", limits.chain()}, {"figures", figures}};
}

Json system_json(const CheckReport& report) {
  if (!report.judgement.system) return nullptr;
  const System& system = *report.judgement.system;
  Json modules = Json::array();
  for (const OutdoorModule& m : system.outdoor()) {
    modules.push_back({{"id", m.id},
                       {"cooling", number(m.cooling_W)},
                       {"heating", number(m.heating_W)},
                       {"unit", "W"}});
  }
  return {{"name", system.name()},
          {"refrigerant", system.refrigerant().name()},
          {"altitude", number(system.site().altitude_m)},
          {"outdoor", modules},
          {"indoor_units", system.indoor().size()},
          {"branch_boxes", system.branches().size()},
          {"lines", system_lines(report)}};
}

Json quality_json(const Import& import) {
  Json counters = Json::object();
  for (std::size_t i = 0; i < static_cast<std::size_t>(Counter::count_); ++i) {
    const auto counter = static_cast<Counter>(i);
    if (import.log.count_of(counter) == 0) continue;
    const CounterInfo& info = info_of(counter);
    counters[std::string(info.name)] = {{"count", import.log.count_of(counter)},
                                        {"severity", name_of(info.severity)},
                                        {"meaning", info.meaning}};
  }
  Json rejects = Json::array();
  for (const Reject& reject : import.log.rejects()) {
    rejects.push_back({{"counter", info_of(reject.counter).name},
                       {"file", reject.file},
                       {"line", reject.line},
                       {"column", reject.column},
                       {"text", reject.text},
                       {"reason", reject.reason}});
  }
  return {{"counters", counters},
          {"rejects", rejects},
          {"columns_understood", import.understood},
          {"columns_not_understood", import.not_understood}};
}

}  // namespace

std::string check_json(const CheckReport& report) {
  const Judgement& judgement = report.judgement;
  const Recording& recording = judgement.recording;
  const Answers answers = answer(report);
  Json by_root = Json::array();
  for (const Answers::Wrong& wrong : answers.wrong) {
    by_root.push_back({{"text", wrong.text}, {"follows", wrong.follows}});
  }
  Json out;
  out["schema"] = "coilwright.check/1";
  out["program"] = {{"name", "coilwright"}, {"version", version()}};
  out["verdict"] = name_of(judgement.verdict);
  out["judged_verdict"] = name_of(judgement.judged_verdict);
  out["answers"] = {{"healthy", answers.healthy},
                    {"wrong", answers.wrong_lines()},
                    {"wrong_by_root", std::move(by_root)},
                    {"not_judged", answers.unjudged}};
  out["refrigerant"] = judgement.refrigerant;
  if (!judgement.refrigerant_source.empty()) {
    out["refrigerant_source"] = judgement.refrigerant_source;
  }
  out["system"] = system_json(report);
  out["recordings"] = recordings_json(recording);
  out["span"] = span_json(recording);
  out["barometric_pressure"] = {{"value", number(report.import.barometric_pressure.value)},
                                {"unit", "Pa"}};
  out["assumptions"] = report.import.assumptions;
  out["notes"] = judgement.phases.notes;
  for (const std::string& note : judgement.derived.notes) out["notes"].push_back(note);
  out["quality"] = quality_json(report.import);
  out["phases"] = phases_json(judgement.phases.system, recording.clock);
  Json modules = Json::object();
  for (const Timeline& module : judgement.phases.modules) {
    modules[module.place.text] = phases_json(module, recording.clock);
  }
  out["module_phases"] = modules;
  out["defrosts"] = defrosts_json(judgement);
  out["windows"] = windows_json(judgement);
  Json checks = Json::array();
  for (const Finding& finding : judgement.findings) {
    checks.push_back(finding_json(finding, judgement));
  }
  out["checks"] = checks;
  Json by_check = Json::object();
  for (const Check& check : check_catalogue()) {
    const bool asked =
        std::find(judgement.asked.begin(), judgement.asked.end(), &check) != judgement.asked.end();
    by_check[check.id] = asked ? name_of(verdict_of(judgement.findings, check.id)) : "not_asked";
  }
  out["verdict_by_check"] = by_check;
  out["limits"] = limits_json(judgement.limits);
  out["cautions"] = check_cautions();
  // Headers and cells of a file need not be UTF-8; what is not becomes U+FFFD instead of an
  // exception.
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace cw
