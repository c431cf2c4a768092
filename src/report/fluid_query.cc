#include "report/fluid_query.h"

#include <array>
#include <cmath>

#include "base/text.h"
#include "fluid/saturation.h"

namespace cw {
namespace {

using fluid::FluidState;
using fluid::InputPair;
using fluid::ReferenceState;
using fluid::Refrigerant;

constexpr std::size_t most_rows = 2000;

constexpr const char* combinations =
    "Give one of: T and p, T and rho, p and h, p and s, h and s, p and q, T and q, rho and h, rho "
    "and u; T or p alone for both saturation lines; T or p with superheat or subcooling";

struct PairOf {
  std::optional<double> FluidQuery::*first;
  std::optional<double> FluidQuery::*second;
  InputPair pair;
};
constexpr std::array pairs = {
    PairOf{&FluidQuery::T, &FluidQuery::p, InputPair::T_p},
    PairOf{&FluidQuery::T, &FluidQuery::rho, InputPair::T_rho},
    PairOf{&FluidQuery::p, &FluidQuery::h, InputPair::p_h},
    PairOf{&FluidQuery::p, &FluidQuery::s, InputPair::p_s},
    PairOf{&FluidQuery::h, &FluidQuery::s, InputPair::h_s},
    PairOf{&FluidQuery::p, &FluidQuery::q, InputPair::p_q},
    PairOf{&FluidQuery::T, &FluidQuery::q, InputPair::T_q},
    PairOf{&FluidQuery::rho, &FluidQuery::h, InputPair::rho_h},
    PairOf{&FluidQuery::rho, &FluidQuery::u, InputPair::rho_u},
};

int given_numbers(const FluidQuery& query) {
  int count = 0;
  for (const auto member : {&FluidQuery::T, &FluidQuery::p, &FluidQuery::h, &FluidQuery::s,
                            &FluidQuery::u, &FluidQuery::rho, &FluidQuery::q}) {
    if (query.*member) ++count;
  }
  return count;
}

Error with_limits(Error error, const Refrigerant& refrigerant, UnitSystem units) {
  if (!error.fix.empty()) {
    error.fix[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(error.fix[0])));
    error.fix += ". ";
  }
  error.fix += "Limits of " + limits_text(refrigerant, units);
  return error;
}

Result<SaturationPair> saturation_at(const Refrigerant& refrigerant, InputPair pair, double value,
                                     ReferenceState reference) {
  const Result<FluidState> bubble = state_from(refrigerant, pair, value, 0.0, reference);
  if (!bubble) return bubble.error();
  const Result<FluidState> dew = state_from(refrigerant, pair, value, 1.0, reference);
  if (!dew) return dew.error();
  return SaturationPair{*bubble, *dew};
}

/// T and p of a superheated or subcooled state; on the line itself they leave the quality open.
Result<FluidState> off_the_line(const Refrigerant& refrigerant, const FluidQuery& query) {
  const bool hot = query.superheat.has_value();
  const double delta = hot ? *query.superheat : *query.subcooling;
  const double quality = hot ? 1.0 : 0.0;
  if (!(delta >= 0.0)) {
    return Error{
        ErrorCode::out_of_range,
        std::string(hot ? "a superheat" : "a subcooling") + " of " + number_text(delta) + " K", "",
        "Give zero or more; a two-phase state is given by its quality, q"};
  }
  if (query.p) {
    if (delta == 0.0) {
      return state_from(refrigerant, InputPair::p_q, *query.p, quality, query.reference);
    }
    const Result<Kelvin> line = hot ? dew_temperature(refrigerant, {*query.p})
                                    : bubble_temperature(refrigerant, {*query.p});
    if (!line) return line.error();
    const double T = hot ? line->value + delta : line->value - delta;
    return state_from(refrigerant, InputPair::T_p, T, *query.p, query.reference);
  }
  const double T_line = hot ? *query.T - delta : *query.T + delta;
  if (delta == 0.0) {
    return state_from(refrigerant, InputPair::T_q, T_line, quality, query.reference);
  }
  const Result<Pascal> p =
      hot ? dew_pressure(refrigerant, {T_line}) : bubble_pressure(refrigerant, {T_line});
  if (!p) return p.error();
  return state_from(refrigerant, InputPair::T_p, *query.T, p->value, query.reference);
}

Result<FluidState> single_state(const Refrigerant& refrigerant, const FluidQuery& query) {
  if (query.superheat || query.subcooling) {
    const bool fits =
        given_numbers(query) == 1 && (query.T || query.p) && !(query.superheat && query.subcooling);
    if (!fits) {
      return Error{ErrorCode::invalid_argument, "superheat or subcooling goes with T or p alone",
                   "", combinations};
    }
    return off_the_line(refrigerant, query);
  }
  if (given_numbers(query) == 2) {
    for (const PairOf& pair : pairs) {
      if (query.*pair.first && query.*pair.second) {
        return state_from(refrigerant, pair.pair, *(query.*pair.first), *(query.*pair.second),
                          query.reference);
      }
    }
  }
  return Error{ErrorCode::invalid_argument, "these inputs do not fix a state", "", combinations};
}

bool both_phases_at(const Refrigerant& refrigerant, double p) {
  return p >= saturation_range(refrigerant).lowest &&
         p <= highest_state_pressure(refrigerant).value;
}

}  // namespace

std::string limits_text(const Refrigerant& refrigerant, UnitSystem units) {
  const auto temperature = [&](double T) { return format_si(T, Dimension::temperature, units); };
  const auto pressure = [&](double p) { return format_si(p, Dimension::pressure, units); };
  const double p_low = saturation_range(refrigerant).lowest;
  const double p_high = highest_state_pressure(refrigerant).value;
  std::string out = std::string(refrigerant.name()) + ": " +
                    temperature(refrigerant.minimum_temperature().value) + " to " +
                    temperature(refrigerant.maximum_temperature().value) + ", up to " +
                    pressure(refrigerant.maximum_pressure().value);
  const auto low = bubble_temperature(refrigerant, {p_low});
  const auto high = dew_temperature(refrigerant, {p_high});
  if (low && high) {
    out += "; two phases " + temperature(low->value) + " to " + temperature(high->value) + ", " +
           pressure(p_low) + " to " + pressure(p_high);
  }
  return out;
}

Result<FluidAnswer> answer(const Refrigerant& refrigerant, const FluidQuery& query,
                           UnitSystem units) {
  FluidAnswer out;
  out.refrigerant = &refrigerant;
  const bool alone = given_numbers(query) == 1 && !query.superheat && !query.subcooling;
  if (alone && (query.T || query.p)) {
    out.at_temperature = query.T.has_value();
    const Result<SaturationPair> pair =
        saturation_at(refrigerant, query.T ? InputPair::T_q : InputPair::p_q,
                      query.T ? *query.T : *query.p, query.reference);
    if (!pair) {
      Error error = with_limits(pair.error(), refrigerant, units);
      error.fix += query.T ? "; outside the two-phase region give a pressure, too"
                           : "; outside the two-phase region give a temperature, too";
      return error;
    }
    out.saturation = *pair;
    return out;
  }
  const Result<FluidState> state = single_state(refrigerant, query);
  if (!state) {
    if (state.error().code == ErrorCode::invalid_argument) return state.error();
    return with_limits(state.error(), refrigerant, units);
  }
  out.state = *state;
  if (both_phases_at(refrigerant, state->p)) {
    const auto pair = saturation_at(refrigerant, InputPair::p_q, state->p, query.reference);
    if (pair) out.saturation = *pair;
  }
  return out;
}

Result<FluidTable> saturation_table(const Refrigerant& refrigerant, const FluidTableQuery& query,
                                    UnitSystem units) {
  const double span = query.last - query.first;
  if (!(query.step > 0.0) || !std::isfinite(span)) {
    return Error{ErrorCode::invalid_argument, "a table needs a step above zero", "",
                 "For example -40C:65C:5C"};
  }
  // A last row that rounding puts just beyond the end still belongs to the table.
  const double steps = std::floor(std::fabs(span) / query.step + 1e-9);
  if (steps + 1.0 > static_cast<double>(most_rows)) {
    return Error{ErrorCode::invalid_argument,
                 "a table of " + number_text(steps + 1.0, 8) + " rows; the most is 2000", "",
                 "Choose a longer step"};
  }
  FluidTable out;
  out.refrigerant = &refrigerant;
  out.by_temperature = query.by_temperature;
  const double direction = span < 0.0 ? -query.step : query.step;
  for (double k = 0.0; k <= steps; k += 1.0) {
    const auto row =
        saturation_at(refrigerant, query.by_temperature ? InputPair::T_q : InputPair::p_q,
                      query.first + k * direction, query.reference);
    if (!row) return with_limits(row.error(), refrigerant, units);
    out.rows.push_back(*row);
  }
  return out;
}

}  // namespace cw
