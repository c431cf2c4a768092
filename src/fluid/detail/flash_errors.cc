#include "fluid/detail/flash_errors.h"

#include <cmath>

#include "base/text.h"
#include "base/unit_text.h"

namespace cw::fluid::detail {
namespace {

// People give temperatures and pressures in either system: messages carry both.
std::string in_system(double si, Dimension dimension, UnitSystem system) {
  const std::string_view symbol = display_symbol(dimension, system);
  return number_text(display_unit(dimension, system).from_si(si), 6) +
         (symbol.empty() ? "" : " " + std::string(symbol));
}

std::string text(double si, Dimension dimension) {
  if (dimension == Dimension::ratio) return number_text(si, 7);
  return in_system(si, dimension, UnitSystem::si) + " / " +
         in_system(si, dimension, UnitSystem::ip);
}

std::string range_text(double lowest, double highest, Dimension dimension) {
  if (dimension == Dimension::ratio)
    return number_text(lowest, 7) + " to " + number_text(highest, 7);
  const auto range = [&](UnitSystem system) {
    return in_system(lowest, dimension, system) + " to " + in_system(highest, dimension, system);
  };
  return range(UnitSystem::si) + " / " + range(UnitSystem::ip);
}

Error outside(const Model& model, const char* what, double value, double lowest, double highest,
              Dimension dimension, const char* limit_of) {
  return Error{ErrorCode::out_of_range,
               model.name + ": " + what + " " + text(value, dimension) + " is outside " + limit_of +
                   ", " + range_text(lowest, highest, dimension),
               "", ""};
}

struct EnergyWords {
  const char* name;
  Dimension dimension;
};
EnergyWords words(Energy energy) {
  switch (energy) {
    case Energy::h:
      return {"enthalpy", Dimension::specific_energy};
    case Energy::s:
      return {"entropy", Dimension::specific_entropy};
    case Energy::u:
      break;
  }
  return {"internal energy", Dimension::specific_energy};
}

}  // namespace

std::optional<Error> check_p(const Model& model, double p) {
  if (p >= lowest_pressure && p <= model.maximum_pressure) return std::nullopt;
  return outside(model, "pressure", p, lowest_pressure, model.maximum_pressure, Dimension::pressure,
                 "the equation of state");
}

std::optional<Error> check_T(const Model& model, double T) {
  if (T >= model.minimum_temperature && T <= model.maximum_temperature) return std::nullopt;
  return outside(model, "temperature", T, model.minimum_temperature, model.maximum_temperature,
                 Dimension::temperature, "the equation of state");
}

std::optional<Error> check_T_p(const Model& model, double T, double p) {
  if (auto error = check_T(model, T)) return error;
  return check_p(model, p);
}

std::optional<Error> check_rho(const Model& model, double rho) {
  const double highest = 6.0 * model.reducing_density;
  if (rho >= 1e-5 && rho <= highest) return std::nullopt;
  return outside(model, "density", rho, 1e-5, highest, Dimension::density, "the equation of state");
}

namespace {
std::optional<Error> check_q(const Model& model, double q) {
  if (q >= 0.0 && q <= 1.0) return std::nullopt;
  return outside(model, "quality", q, 0.0, 1.0, Dimension::ratio, "the two-phase region");
}
}  // namespace

std::optional<Error> check_T_q(const Model& model, double T, double q) {
  if (auto error = check_q(model, q)) return error;
  if (T >= model.minimum_temperature && T <= model.highest_state_temperature) return std::nullopt;
  if (T > model.highest_state_temperature && T < model.critical_temperature) {
    return near_critical_error(model);
  }
  return outside(model, "temperature", T, model.minimum_temperature,
                 model.highest_state_temperature, Dimension::temperature, "the two-phase region");
}

std::optional<Error> check_p_q(const Model& model, double p, double q) {
  if (auto error = check_q(model, q)) return error;
  const double lowest =
      std::fmax(model.bubble_temperature.lowest(), model.dew_temperature.lowest());
  if (p >= lowest && p <= model.highest_state_pressure) return std::nullopt;
  if (p > model.highest_state_pressure && p < model.critical_pressure) {
    return near_critical_error(model);
  }
  return outside(model, "pressure", p, lowest, model.highest_state_pressure, Dimension::pressure,
                 "the two-phase region");
}

Error near_critical_error(const Model& model) {
  return Error{ErrorCode::out_of_range,
               model.name + ": too close to the critical point (" +
                   text(model.critical_temperature, Dimension::temperature) + ", " +
                   text(model.critical_pressure, Dimension::pressure) +
                   ") to tell the phases apart; saturated states end at " +
                   text(model.highest_state_temperature, Dimension::temperature) + " and " +
                   text(model.highest_state_pressure, Dimension::pressure),
               "", "stay below these, or above the critical temperature"};
}

Error no_saturation(const Model& model, const char* what, double value, double lowest,
                    double highest, Dimension dimension) {
  return Error{ErrorCode::out_of_range,
               model.name + ": no saturation at " + what + " " + text(value, dimension) +
                   "; the saturation line runs from " + range_text(lowest, highest, dimension),
               "", ""};
}

Error not_converged(const Model& model, const char* what) {
  return Error{ErrorCode::no_convergence, model.name + ": " + what + " not found", "", ""};
}

Error not_finite(const Model& model) {
  return Error{ErrorCode::invalid_argument, model.name + ": an input is not a finite number", "",
               ""};
}

Error on_the_line(const Model& model, double T, double p) {
  return Error{ErrorCode::inconsistent,
               model.name + ": " + text(T, Dimension::temperature) + " and " +
                   text(p, Dimension::pressure) +
                   " lie on the saturation line, where they leave the quality open",
               "", "give the quality with one of them"};
}

Error energy_outside(const Model& model, Energy energy, double value, double lowest, double highest,
                     double p) {
  const EnergyWords w = words(energy);
  Error error = outside(model, w.name, value, lowest, highest, w.dimension,
                        "what the equation of state reaches");
  error.message += " at " + text(p, Dimension::pressure) + " (published reference state)";
  return error;
}

Error isochore_outside(const Model& model, Energy energy, double value, double lowest,
                       double highest, double rho) {
  const EnergyWords w = words(energy);
  Error error = outside(model, w.name, value, lowest, highest, w.dimension,
                        "what the equation of state reaches");
  error.message += " at " + text(rho, Dimension::density) + " (published reference state)";
  return error;
}

Error pressure_too_high(const Model& model, double p) {
  return outside(model, "the pressure of this state,", p, lowest_pressure, model.maximum_pressure,
                 Dimension::pressure, "the equation of state");
}

Error entropy_not_reached(const Model& model, double h, double s) {
  return Error{
      ErrorCode::out_of_range,
      model.name + ": no state at " +
          range_text(model.minimum_temperature, model.maximum_temperature, Dimension::temperature) +
          " and " + range_text(lowest_pressure, model.maximum_pressure, Dimension::pressure) +
          " has enthalpy " + text(h, Dimension::specific_energy) + " and entropy " +
          text(s, Dimension::specific_entropy) + " (published reference state)",
      "", ""};
}

}  // namespace cw::fluid::detail
