#include "report/cycle_views.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "derive/cycle.h"
#include "report/detail/json_number.h"
#include "report/detail/ph_lines.h"

namespace cw {
namespace {

using Json = nlohmann::ordered_json;

/// Seven significant digits: more than a screen shows, and half the bytes.
Json number(double value) { return detail::json_number(value, 7); }

Json number(const std::optional<double>& value) { return value ? number(*value) : Json(nullptr); }

std::string_view phase_at(const Timeline& timeline, Instant at) {
  const auto after =
      std::upper_bound(timeline.phases.begin(), timeline.phases.end(), at,
                       [](Instant instant, const Phase& phase) { return instant < phase.start; });
  if (after == timeline.phases.begin()) return name_of(PhaseKind::unknown);
  const Phase& phase = *(after - 1);
  return at <= phase.end ? name_of(phase.kind) : name_of(PhaseKind::unknown);
}

Json modules_json(const Judgement& judgement, const fluid::Refrigerant& refrigerant, Instant at) {
  Json out = Json::array();
  for (const Cycle& cycle : cycles_at(judgement.recording, refrigerant, at)) {
    Json points = Json::array();
    for (const CyclePoint& point : cycle.points) {
      points.push_back({{"key", point.key},
                        {"label", point.label},
                        {"p", number(point.p)},
                        {"h", number(point.h)},
                        {"T", number(point.T)},
                        {"state", point.state},
                        {"assumed", point.assumed}});
    }
    out.push_back({{"place", cycle.place.text},
                   {"label", cycle.place.label()},
                   {"phase", phase_at(judgement.phases.timeline_of(cycle.place), at)},
                   {"discharge_pressure", number(cycle.discharge_pressure)},
                   {"suction_pressure", number(cycle.suction_pressure)},
                   {"condensing", number(cycle.condensing)},
                   {"evaporating", number(cycle.evaporating)},
                   {"discharge_superheat", number(cycle.discharge_superheat)},
                   {"suction_superheat", number(cycle.suction_superheat)},
                   {"subcooling", number(cycle.subcooling)},
                   {"points", points},
                   {"notes", cycle.notes}});
  }
  return out;
}

const fluid::Refrigerant& refrigerant_of(const Judgement& judgement) {
  return *fluid::find_refrigerant(judgement.refrigerant).value();
}

const char* name_of(detail::PhKind kind) {
  switch (kind) {
    case detail::PhKind::bubble:
      return "bubble";
    case detail::PhKind::dew:
      return "dew";
    case detail::PhKind::quality:
      return "quality";
    case detail::PhKind::isotherm:
      return "isotherm";
    case detail::PhKind::isentrope:
      return "isentrope";
    case detail::PhKind::isochore:
      return "isochore";
    case detail::PhKind::limit:
      return "limit";
  }
  return "";
}

}  // namespace

std::string cycle_json(const Judgement& judgement, Instant at) {
  return detail::json_line({{"at_ms", at.ms},
                            {"refrigerant", judgement.refrigerant},
                            {"modules", modules_json(judgement, refrigerant_of(judgement), at)}});
}

std::string cycles_json(const Judgement& judgement, Instant from, Instant to, std::size_t frames) {
  Json out = {{"refrigerant", judgement.refrigerant}, {"frames", Json::array()}};
  const fluid::Refrigerant& refrigerant = refrigerant_of(judgement);
  const double step =
      frames < 2 ? 0.0 : static_cast<double>(to.ms - from.ms) / static_cast<double>(frames - 1);
  for (std::size_t i = 0; i < frames; ++i) {
    const Instant at{from.ms + static_cast<std::int64_t>(step * static_cast<double>(i))};
    out["frames"].push_back(
        {{"at_ms", at.ms}, {"modules", modules_json(judgement, refrigerant, at)}});
  }
  return detail::json_line(out);
}

Result<std::string> dome_json(const fluid::Refrigerant& refrigerant) {
  const auto reference = fluid::ReferenceState::usual;
  const Result<detail::PhRange> range = detail::ph_range(refrigerant, reference, UnitSystem::si);
  if (!range) return range.error();
  Json curves = Json::array();
  for (const detail::PhCurve& curve : detail::ph_curves(refrigerant, reference, *range)) {
    Json points = Json::array();
    for (const detail::PhPoint& point : curve.points) {
      points.push_back({number(point.h), number(point.p)});
    }
    curves.push_back({{"kind", name_of(curve.kind)},
                      {"value", number(curve.value)},
                      {"two_phase", curve.two_phase},
                      {"points", points}});
  }
  return detail::json_line({{"refrigerant", refrigerant.name()},
                            {"range",
                             {{"p_low", range->p_low},
                              {"p_high", range->p_high},
                              {"h_low", range->h_low},
                              {"h_high", range->h_high}}},
                            {"critical",
                             {{"T", refrigerant.critical_temperature().value},
                              {"p", refrigerant.critical_pressure().value},
                              {"h", number(range->critical.h)}}},
                            {"curves", curves}});
}

}  // namespace cw
