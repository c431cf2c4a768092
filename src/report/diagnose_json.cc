#include <nlohmann/json.hpp>

#include "base/text.h"
#include "base/version.h"
#include "report/check_report.h"
#include "report/detail/diagnose_words.h"
#include "report/detail/json_number.h"
#include "report/diagnose_report.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;

/// Four significant digits are more than any of these is worth.
Json number(double value) { return detail::json_number(value, 4); }

/// Two more for what people see beside what the terminal says: 0.1 K of a temperature is its fifth.
Json reading(double value) { return detail::json_number(value, 6); }

Json points_json(const std::vector<diagnose::Point>& points) {
  Json out = Json::array();
  for (const diagnose::Point& p : points) {
    out.push_back({{"what", p.what},
                   {"unit", si_symbol(p.dimension)},
                   {"dimension", name_of(p.dimension)},
                   {"seen", reading(p.seen)},
                   {"healthy", reading(p.healthy)},
                   {"with_cause", reading(p.with_cause)},
                   {"uncertainty", number(p.uncertainty)},
                   {"relative", p.relative}});
  }
  return out;
}

Json causes_json(const DiagnoseReport& report) {
  Json out = Json::array();
  for (const diagnose::RankedCause& c : report.diagnosis.causes) {
    out.push_back({{"cause", c.kind->id},
                   {"title", c.text->title},
                   {"place", c.place},
                   {"probability", number(c.probability)},
                   {"severity", c.by_table ? Json(nullptr) : number(c.severity)},
                   {"severity_low", c.by_table ? Json(nullptr) : number(c.low)},
                   {"severity_high", c.by_table ? Json(nullptr) : number(c.high)},
                   {"severity_unit", si_symbol(c.kind->severity)},
                   {"severity_text", severity_text(c, report.units)},
                   {"for", points_json(c.speaks_for)},
                   {"against", points_json(c.speaks_against)},
                   {"checks", c.signs},
                   {"cannot_be_told_from", c.same_as},
                   {"owner", c.text->owner},
                   {"look", c.text->look}});
  }
  return out;
}

Json next_json(const diagnose::Diagnosis& d) {
  Json out = Json::array();
  for (const diagnose::NextTest& t : d.next) {
    out.push_back({{"test", t.test->id},
                   {"do", t.test->what},
                   {"place", t.place.empty() ? Json(nullptr) : Json(t.place)},
                   {"effort_s", 60.0 * t.test->effort_min},
                   {"information_bits", number(t.information)}});
  }
  return out;
}

Json charge_json(const diagnose::Diagnosis& d) {
  if (!d.charge) return nullptr;
  const diagnose::ChargeEstimate& c = *d.charge;
  Json out = {{"verdict", c.proven ? "estimated" : "unproven"},
              {"sheet_kg", number(c.sheet_kg)},
              {"because", c.why}};
  if (c.proven) {
    out["kg"] = number(c.kg);
    out["low_kg"] = number(c.low_kg);
    out["high_kg"] = number(c.high_kg);
  }
  return out;
}

Json stores_json(const diagnose::Diagnosis& d) {
  Json out = Json::array();
  for (const diagnose::Store& s : d.stores) {
    out.push_back({{"part", s.place},
                   {"kg", number(s.kg)},
                   {"low_kg", number(s.low_kg)},
                   {"high_kg", number(s.high_kg)}});
  }
  return out;
}

Json days_json(const diagnose::Diagnosis& d) {
  Json out = Json::array();
  for (const diagnose::DesignDay& day : d.days) {
    Json one = {{"mode", day.cooling ? "cooling" : "heating"},
                {"outdoor_temperature", reading(day.outdoor_K)},
                {"machine", day.fitted ? "fitted" : "as the sheet says"},
                {"verdict", day.solved ? "calculated" : "unproven"}};
    if (day.solved) {
      one["capacity_W"] = number(day.heat_W);
      one["healthy_capacity_W"] = number(day.healthy_heat_W);
      one["discharge_temperature"] = reading(day.discharge_K);
      one["discharge_limit"] = reading(day.discharge_limit_K);
      one["slowed_by_a_limit"] = day.slowed;
      one["accumulator_level"] = number(day.accumulator_level);
    }
    out.push_back(std::move(one));
  }
  return out;
}

Json moments_json(const DiagnoseReport& report) {
  Json out = Json::array();
  const Clock& clock = report.judgement.recording.clock;
  for (const auto& m : report.diagnosis.moments) {
    out.push_back({{"start", iso_text(m.start, clock)},
                   {"end", iso_text(m.end, clock)},
                   {"phase", name_of(m.kind)},
                   {"outdoor_temperature", reading(m.outdoor_K)},
                   {"units_calling", m.calling}});
  }
  return out;
}

/// Findings whose causes were not looked for, because no compared hour shows them.
Json outside_json(const DiagnoseReport& report) {
  Json out = Json::array();
  for (const std::size_t i : report.diagnosis.outside) {
    const Finding& f = report.judgement.findings[i];
    out.push_back({{"check", f.check}, {"place", f.place.text}, {"verdict", name_of(f.verdict)}});
  }
  return out;
}

}  // namespace

std::string diagnose_json(const DiagnoseReport& report) {
  const diagnose::Diagnosis& d = report.diagnosis;
  Json pairs = Json::array();
  for (const auto& p : d.pairs) {
    pairs.push_back(
        {{"first", p.first}, {"second", p.second}, {"probability", number(p.probability)}});
  }
  const diagnose::RankedCause* named = d.named();
  const Json out = {{"schema", "coilwright.diagnose/1"},
                    {"program", std::string("coilwright ") + std::string(version())},
                    {"answer", diagnose_answer(report)},
                    {"named", named == nullptr ? Json(nullptr) : Json(named->kind->id)},
                    {"unproven", d.unproven.empty() ? Json(nullptr) : Json(d.unproven)},
                    {"system", d.generic ? Json(nullptr) : Json(d.system)},
                    {"generic", d.generic},
                    {"compared_with_sound", d.compared_with_sound},
                    {"moments", moments_json(report)},
                    {"outside_moments", outside_json(report)},
                    {"readings", d.readings},
                    {"healthy", number(d.healthy)},
                    {"unknown", number(d.unknown)},
                    {"healthy_misfit", number(d.healthy_misfit)},
                    {"left_misfit", number(d.left_misfit)},
                    {"causes", causes_json(report)},
                    {"two_at_once", std::move(pairs)},
                    {"not_calculated", d.not_calculated},
                    {"next", next_json(d)},
                    {"charge", charge_json(d)},
                    {"inventory", stores_json(d)},
                    {"design_days", days_json(d)},
                    {"assumptions", d.assumptions.size()},
                    {"notes", d.notes},
                    {"rests_on", detail::rests_on_lines(report)},
                    {"calibrated_on", diagnose::cause_book().fitted_on},
                    {"prior_source", diagnose::cause_book().prior_source},
                    {"cautions", check_cautions()}};
  return out.dump(2) + "\n";
}

}  // namespace cw
