#include "fieldwork/room_limits.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "fieldwork/convert.h"
#include "fieldwork/detail/rules.h"
#include "fieldwork/sheet.h"

namespace cw::field {
namespace {

constexpr double leak_rate_kg_per_h = 10.0;
const double missing = std::nan("");

std::string kg(double value) { return fixed(value, 2) + " kg"; }
std::string m3(double value) { return fixed(value, 1) + " m3"; }
std::string per_m3(double value) { return number_text(value, 3) + " kg/m3"; }

/// What the rules are judged with.
struct Case {
  const RoomFacts& room;
  const detail::RuleRefrigerant& refrigerant;
  double charge = 0.0, factor = 1.0, barometer = 0.0;
};

void decide(RoomLimit& limit, const Case& c) {
  limit.margin = limit.limit - c.charge;
  if (c.room.volume_assumed || std::isnan(limit.limit)) {
    limit.verdict = RoomVerdict::needs_data;
  } else {
    limit.verdict = c.charge <= limit.limit ? RoomVerdict::within : RoomVerdict::over;
  }
}

/// Measures for a limit that grows with volume.
void add_measures(RoomLimit& limit, const Case& c, double per_volume) {
  if (limit.verdict != RoomVerdict::over) return;
  limit.measures.push_back("A volume of at least " + m3(c.charge / per_volume) +
                           ": permanent openings that the code accepts to " +
                           m3(c.charge / per_volume - c.room.effective_volume()) + " more.");
  limit.measures.push_back("Shut-off valves that leave at most " + kg(limit.limit) +
                           " to escape here, or a smaller system for this room.");
}

RoomLimit ashrae(const Case& c) {
  const bool burns = c.refrigerant.flammable();
  const auto& figure = burns ? c.refrigerant.lfl : c.refrigerant.rcl;
  RoomLimit out;
  out.rule = burns ? "ASHRAE 15/34 style: EDVC by LFL" : "ASHRAE 15/34 style: EDVC by RCL";
  out.limit = missing;
  out.source = "EDVC from memory: ASHRAE 15-2022";
  if (figure) {
    // Parts per million are kept, also those of the flammability limit.
    const double x = figure->value * (burns ? c.barometer / standard_atmosphere : c.factor);
    out.limit = edvc(x, burns, c.room.effective_volume(), c.room.institutional);
    out.formula = per_m3(x) + " x " + m3(c.room.effective_volume()) + (burns ? " x 0.5" : "") +
                  " x " + (c.room.institutional ? "0.5" : "1") + " = " + kg(out.limit);
    out.source += "; " + figure->source;
    decide(out, c);
    add_measures(out, c, out.limit / c.room.effective_volume());
  }
  return out;
}

RoomLimit practical(const Case& c) {
  RoomLimit out;
  out.rule = "EN 378 / ISO 5149 style: practical limit";
  out.limit = missing;
  if (c.refrigerant.practical) {
    const double x = c.refrigerant.practical->value * c.factor;
    out.limit = x * c.room.effective_volume();
    out.formula = per_m3(x) + " x " + m3(c.room.effective_volume()) + " = " + kg(out.limit);
    out.source = c.refrigerant.practical->source;
    decide(out, c);
    add_measures(out, c, x);
  }
  return out;
}

/// QLMV and QLAV: how many added measures (ventilation, shut-off, detection with alarm) it takes.
RoomLimit quantity(const Case& c) {
  RoomLimit out;
  out.rule = "EN 378 / ISO 5149 style: QLMV and QLAV";
  out.limit = missing;
  if (!c.refrigerant.qlmv || !c.refrigerant.qlav) return out;
  const double least = c.refrigerant.qlmv->value * c.factor;
  const double most = c.refrigerant.qlav->value * c.factor;
  const double held = c.charge / c.room.effective_volume();
  out.limit = least * c.room.effective_volume();
  out.formula = kg(c.charge) + " / " + m3(c.room.effective_volume()) + " = " + per_m3(held) +
                "; QLMV " + per_m3(least) + ", QLAV " + per_m3(most);
  out.source = "QLMV " + c.refrigerant.qlmv->source + "; QLAV " + c.refrigerant.qlav->source;
  decide(out, c);
  out.measures_needed = held <= least ? 0 : held <= most && most > least ? 1 : 2;
  if (out.verdict != RoomVerdict::over) {
    if (c.room.lowest_basement) {
      out.measures.push_back("A lowest basement has rules of its own: look them up.");
    }
    return out;
  }
  const auto rcl = c.refrigerant.rcl_en ? c.refrigerant.rcl_en : c.refrigerant.rcl;
  out.measures.push_back((out.measures_needed == 1 ? "One" : "Two") +
                         std::string(" of: ventilation, safety shut-off valves, detection with "
                                     "alarm."));
  out.measures.push_back(
      "Ventilation: " +
      fixed(ventilation_needed(rcl->value * c.factor, c.charge, c.room.effective_volume()) * 3600,
            0) +
      " m3/h while this charge leaks at 10 kg/h, at most " +
      fixed(ventilation_bound(rcl->value * c.factor) * 3600, 0) + " m3/h (10/RCL).");
  return out;
}

RoomLimit a2l(const Case& c) {
  RoomLimit out;
  out.rule = "IEC 60335-2-40 style, A2L: charge by floor area";
  out.source =
      "m_max, heights: RD 552/2019 IF-04; m1, m2, m3 = 6, 52, 260 LFL from memory: IEC "
      "60335-2-40:2018; LFL " +
      c.refrigerant.lfl->source;
  const double lfl = c.refrigerant.lfl->value;
  const double height = release_height(c.room.mounting);
  out.limit = a2l_charge(lfl, height, c.room.floor_area);
  const double m1 = 6.0 * lfl;
  const double m3_ = 260.0 * lfl;
  if (c.charge <= m1) out.limit = std::isnan(out.limit) ? m1 : std::max(out.limit, m1);
  out.limit = std::isnan(out.limit) ? out.limit : std::min(out.limit, m3_);
  out.formula = "2.5 x " + number_text(lfl, 3) + "^1.25 x " + fixed(height, 1) + " x " +
                fixed(c.room.floor_area, 1) +
                "^0.5 = " + kg(a2l_charge(lfl, height, c.room.floor_area)) + "; m1 " + kg(m1) +
                ", m2 " + kg(52.0 * lfl) + ", m3 " + kg(m3_);
  decide(out, c);
  if (std::isnan(height)) {
    out.measures.push_back("How the unit is mounted is not known: floor, window, wall or ceiling.");
  } else if (out.verdict == RoomVerdict::over) {
    out.measures.push_back("A floor area of " + fixed(a2l_area(lfl, height, c.charge), 1) +
                           " m2, circulation of air, or shut-off valves with a detector.");
  }
  return out;
}

}  // namespace

double release_height(Mounting mounting) noexcept {
  switch (mounting) {
    case Mounting::floor:
      return 0.6;
    case Mounting::window:
      return 1.0;
    case Mounting::wall:
      return 1.8;
    case Mounting::ceiling:
      return 2.2;
    case Mounting::unknown:
      break;
  }
  return std::nan("");
}

std::string_view words_of(RoomVerdict verdict) noexcept {
  switch (verdict) {
    case RoomVerdict::within:
      return "within this rule as entered";
    case RoomVerdict::over:
      return "over";
    case RoomVerdict::needs_data:
      break;
  }
  return "needs data";
}

double edvc(double rcl_or_lfl, bool flammable, double volume, bool institutional) noexcept {
  return rcl_or_lfl * volume * (flammable ? 0.5 : 1.0) * (institutional ? 0.5 : 1.0);
}

double a2l_charge(double lfl, double height, double area) noexcept {
  return 2.5 * std::pow(lfl, 1.25) * height * std::sqrt(area);
}

double a2l_area(double lfl, double height, double charge) noexcept {
  const double root = charge / (2.5 * std::pow(lfl, 1.25) * height);
  return root * root;
}

std::optional<double> quantity_limit(double rcl, double molar_mass) {
  constexpr double air = 1.2;  // kg/m3
  constexpr double area = 0.0032;
  constexpr double height = 2.2;
  constexpr double gravity = 9.80665;
  const double vapour = molar_mass / 0.024465;
  const double inflow = leak_rate_kg_per_h / 3600.0;
  // ds = dx / (m - x A sqrt(2 g h (rho - rho_air)/rho)), from 0 to the RCL; midpoint rule.
  constexpr int steps = 20000;
  double s = 0.0;
  for (int i = 0; i < steps; ++i) {
    const double x = rcl * (i + 0.5) / steps;
    const double rho = air + x * (1.0 - air / vapour);
    const double outflow = x * area * std::sqrt(2.0 * gravity * height * (rho - air) / rho);
    if (outflow >= inflow) return std::nullopt;
    s += rcl / steps / (inflow - outflow);
  }
  return s * inflow;
}

double ventilation_bound(double rcl) noexcept { return leak_rate_kg_per_h / rcl / 3600.0; }

double ventilation_needed(double rcl, double charge, double volume) noexcept {
  if (charge <= rcl * volume) return 0.0;
  double low = 0.0;
  double high = leak_rate_kg_per_h / rcl;  // m3/h
  for (int i = 0; i < 60; ++i) {
    const double q = 0.5 * (low + high);
    const bool enough =
        q * rcl / leak_rate_kg_per_h >= -std::expm1(-q * charge / (leak_rate_kg_per_h * volume));
    (enough ? high : low) = q;
  }
  return high / 3600.0;
}

double altitude_factor(double rcl_ppm, Metre altitude, Pascal barometer) noexcept {
  const double oxygen = std::min(1.0, oxygen_limit_at(altitude) * 1e6 / rcl_ppm);
  return barometer.value / standard_atmosphere * oxygen;
}

Result<std::vector<RoomLimit>> judge_room(const RoomFacts& room, std::string_view refrigerant,
                                          Kilogram charge, Metre altitude, Pascal barometer) {
  const Result<detail::RuleRefrigerant> found = detail::rule_refrigerant(refrigerant);
  if (!found) return found.error();
  const double ppm = found->rcl_ppm ? found->rcl_ppm->value : 1.0;
  const Case c{room, *found, charge.value, altitude_factor(ppm, altitude, barometer),
               barometer.value};
  std::vector<RoomLimit> out = {ashrae(c), practical(c), quantity(c)};
  if (found->safety_class == "A2L" && found->lfl) out.push_back(a2l(c));
  std::stable_sort(out.begin(), out.end(), [](const RoomLimit& a, const RoomLimit& b) {
    return a.verdict != b.verdict ? a.verdict > b.verdict : a.margin < b.margin;
  });
  return out;
}

}  // namespace cw::field
