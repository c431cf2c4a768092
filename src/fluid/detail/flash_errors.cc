#include "fluid/detail/flash_errors.h"

#include <cmath>

#include "base/text.h"

namespace cw::fluid::detail {
namespace {

std::string text(double value, const char* unit) {
  return number_text(value, 7) + (*unit != '\0' ? std::string(" ") + unit : std::string());
}

Error outside(const Model& model, const char* what, double value, double lowest, double highest,
              const char* unit, const char* limit_of) {
  return Error{ErrorCode::out_of_range,
               model.name + ": " + what + " " + text(value, unit) + " is outside " + limit_of +
                   ", " + number_text(lowest, 7) + " to " + text(highest, unit),
               "", ""};
}

struct EnergyWords {
  const char* name;
  const char* unit;
};
EnergyWords words(Energy energy) {
  switch (energy) {
    case Energy::h:
      return {"enthalpy", "J/kg"};
    case Energy::s:
      return {"entropy", "J/(kg K)"};
    case Energy::u:
      break;
  }
  return {"internal energy", "J/kg"};
}

}  // namespace

std::optional<Error> check_p(const Model& model, double p) {
  if (p >= lowest_pressure && p <= model.maximum_pressure) return std::nullopt;
  return outside(model, "pressure", p, lowest_pressure, model.maximum_pressure, "Pa",
                 "the equation of state");
}

std::optional<Error> check_T(const Model& model, double T) {
  if (T >= model.minimum_temperature && T <= model.maximum_temperature) return std::nullopt;
  return outside(model, "temperature", T, model.minimum_temperature, model.maximum_temperature, "K",
                 "the equation of state");
}

std::optional<Error> check_T_p(const Model& model, double T, double p) {
  if (auto error = check_T(model, T)) return error;
  return check_p(model, p);
}

std::optional<Error> check_rho(const Model& model, double rho) {
  const double highest = 6.0 * model.reducing_density;
  if (rho >= 1e-5 && rho <= highest) return std::nullopt;
  return outside(model, "density", rho, 1e-5, highest, "kg/m3", "the equation of state");
}

namespace {
std::optional<Error> check_q(const Model& model, double q) {
  if (q >= 0.0 && q <= 1.0) return std::nullopt;
  return outside(model, "quality", q, 0.0, 1.0, "", "the two-phase region");
}
}  // namespace

std::optional<Error> check_T_q(const Model& model, double T, double q) {
  if (auto error = check_q(model, q)) return error;
  if (T >= model.minimum_temperature && T <= model.highest_state_temperature) return std::nullopt;
  if (T > model.highest_state_temperature && T < model.critical_temperature) {
    return near_critical_error(model);
  }
  return outside(model, "temperature", T, model.minimum_temperature,
                 model.highest_state_temperature, "K", "the two-phase region");
}

std::optional<Error> check_p_q(const Model& model, double p, double q) {
  if (auto error = check_q(model, q)) return error;
  const double lowest =
      std::fmax(model.bubble_temperature.lowest(), model.dew_temperature.lowest());
  if (p >= lowest && p <= model.highest_state_pressure) return std::nullopt;
  if (p > model.highest_state_pressure && p < model.critical_pressure) {
    return near_critical_error(model);
  }
  return outside(model, "pressure", p, lowest, model.highest_state_pressure, "Pa",
                 "the two-phase region");
}

Error near_critical_error(const Model& model) {
  return Error{ErrorCode::out_of_range,
               model.name + ": too close to the critical point (" +
                   text(model.critical_temperature, "K") + ", " +
                   text(model.critical_pressure, "Pa") +
                   ") to tell the phases apart; saturated states end at " +
                   text(model.highest_state_temperature, "K") + " and " +
                   text(model.highest_state_pressure, "Pa"),
               "", "stay below these, or above the critical temperature"};
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
               model.name + ": " + text(T, "K") + " and " + text(p, "Pa") +
                   " lie on the saturation line, where they leave the quality open",
               "", "give the quality with one of them"};
}

Error energy_outside(const Model& model, Energy energy, double value, double lowest, double highest,
                     double p) {
  const EnergyWords w = words(energy);
  Error error =
      outside(model, w.name, value, lowest, highest, w.unit, "what the equation of state reaches");
  error.message += " at " + text(p, "Pa") + " (published reference state)";
  return error;
}

Error isochore_outside(const Model& model, Energy energy, double value, double lowest,
                       double highest, double rho) {
  const EnergyWords w = words(energy);
  Error error =
      outside(model, w.name, value, lowest, highest, w.unit, "what the equation of state reaches");
  error.message += " at " + text(rho, "kg/m3") + " (published reference state)";
  return error;
}

Error pressure_too_high(const Model& model, double p) {
  return outside(model, "the pressure of this state,", p, lowest_pressure, model.maximum_pressure,
                 "Pa", "the equation of state");
}

Error entropy_not_reached(const Model& model, double h, double s) {
  return Error{ErrorCode::out_of_range,
               model.name + ": no state between " + text(model.minimum_temperature, "K") + " and " +
                   text(model.maximum_temperature, "K") + ", " + text(lowest_pressure, "Pa") +
                   " and " + text(model.maximum_pressure, "Pa") + " has enthalpy " +
                   text(h, "J/kg") + " and entropy " + text(s, "J/(kg K)") +
                   " (published reference state)",
               "", ""};
}

}  // namespace cw::fluid::detail
