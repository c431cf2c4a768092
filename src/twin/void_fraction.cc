#include "twin/void_fraction.h"

#include <array>
#include <cmath>

namespace cw::twin {

double slip_smith(double x, double rho_l, double rho_g) noexcept {
  constexpr double entrained = 0.4;
  const double y = (1.0 - x) / std::fmax(x, 1e-12);
  const double inside = (rho_l / rho_g + entrained * y) / (1.0 + entrained * y);
  return entrained + (1.0 - entrained) * std::sqrt(std::fmax(inside, 0.0));
}

double slip_ratio(SlipModel model, double rho_l, double rho_g) noexcept {
  switch (model) {
    case SlipModel::zivi:
      return std::cbrt(rho_l / rho_g);
    case SlipModel::smith:
      return slip_smith(0.3, rho_l, rho_g);
    case SlipModel::homogeneous:
      break;
  }
  return 1.0;
}

double void_fraction(double x, double slip, double rho_l, double rho_g) noexcept {
  if (!(x > 0.0)) return 0.0;
  if (x >= 1.0) return 1.0;
  const double vapour = x * rho_l;
  return vapour / (vapour + slip * (1.0 - x) * rho_g);
}

FlowQuality flow_quality(double x_static, double slip) noexcept {
  if (!(x_static > 0.0 && x_static < 1.0)) return {x_static, 1.0};
  const double per = 1.0 / (1.0 + (slip - 1.0) * x_static);
  return {slip * x_static * per, slip * per * per};
}

double static_quality(double x_flow, double slip) noexcept {
  if (!(x_flow > 0.0 && x_flow < 1.0)) return x_flow;
  return x_flow / (slip - (slip - 1.0) * x_flow);
}

double void_rouhani_axelsson(double x, double mass_flux, const SaturationTransport& s) noexcept {
  if (!(x > 0.0)) return 0.0;
  if (x > 1.0) x = 1.0;
  constexpr double gravity = 9.80665;  // [m/s2]
  const double C0 = 1.0 + 0.12 * (1.0 - x);
  const double lift = gravity * s.sigma * std::fmax(s.rho_l - s.rho_g, 0.0) / (s.rho_l * s.rho_l);
  const double drift = 1.18 * (1.0 - x) * std::sqrt(std::sqrt(std::fmax(lift, 0.0)));
  const double superficial = x / s.rho_g + (1.0 - x) / s.rho_l;
  const double G = std::fmax(std::fabs(mass_flux), 1e-6);
  return x / s.rho_g / (C0 * superficial + drift / G);
}

double mean_density(double x1, double x2, double slip, double rho_l, double rho_g) noexcept {
  // Positive half of the rule's points and weights; Abramowitz and Stegun, Table 25.4, n = 12.
  constexpr std::array<std::array<double, 2>, 6> rule{{{0.125233408511469, 0.249147045813403},
                                                       {0.367831498998180, 0.233492536538355},
                                                       {0.587317954286617, 0.203167426723066},
                                                       {0.769902674194305, 0.160078328543346},
                                                       {0.904117256370475, 0.106939325995318},
                                                       {0.981560634246719, 0.047175336386512}}};
  double sum = 0.0;
  for (const auto& [at, weight] : rule) {
    for (const double side : {-1.0, 1.0}) {
      const double x = 0.5 * (x1 + x2) + 0.5 * side * at * (x2 - x1);
      const double alpha = void_fraction(x, slip, rho_l, rho_g);
      sum += 0.5 * weight * (alpha * rho_g + (1.0 - alpha) * rho_l);
    }
  }
  return sum;
}

}  // namespace cw::twin
