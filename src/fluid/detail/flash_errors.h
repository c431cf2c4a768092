#pragma once

#include <optional>

#include "base/dimension.h"
#include "base/result.h"
#include "fluid/detail/flash.h"

/// What the state functions refuse, with the limits in the message, in SI and inch-pound.
namespace cw::fluid::detail {

std::optional<Error> check_p(const Model& model, double p);
std::optional<Error> check_T_p(const Model& model, double T, double p);
std::optional<Error> check_T_q(const Model& model, double T, double q);
std::optional<Error> check_p_q(const Model& model, double p, double q);
std::optional<Error> check_T(const Model& model, double T);
std::optional<Error> check_rho(const Model& model, double rho);

Error near_critical_error(const Model& model);
Error no_saturation(const Model& model, const char* what, double value, double lowest,
                    double highest, Dimension dimension);
Error not_converged(const Model& model, const char* what);
Error not_finite(const Model& model);
Error on_the_line(const Model& model, double T, double p);
Error energy_outside(const Model& model, Energy energy, double value, double lowest, double highest,
                     double p);
Error isochore_outside(const Model& model, Energy energy, double value, double lowest,
                       double highest, double rho);
Error pressure_too_high(const Model& model, double p);
Error entropy_not_reached(const Model& model, double h, double s);

}  // namespace cw::fluid::detail
