#pragma once

#include "fluid/detail/model.h"

namespace cw::fluid::detail {

/// Roots of p(T, rho) = p on one side of the two-phase region [kg/m3]. `bound` is a density known
/// to lie on that side (the saturated one, or the critical one above the critical temperature):
/// liquid roots are sought above it and vapour roots below, so that spurious loops of an equation
/// inside the dome are never seen. Zero when there is none. Thread-safe, do not allocate.
double liquid_density(const Model& model, double T, double p, double bound) noexcept;
double vapour_density(const Model& model, double T, double p, double bound) noexcept;

/// The root next to `start`, by plain Newton that never leaves the stable side; zero when there is
/// none within a tenth of it.
double density_near(const Model& model, double T, double p, double start) noexcept;

}  // namespace cw::fluid::detail
