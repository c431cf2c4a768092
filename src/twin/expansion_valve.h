#pragma once

/// Electronic expansion valves.
///
///   m = C(z, subcooling) Y A sqrt(2 rho dp)                                    [li2013]
///   C = 1.066 z^0.8006 (dT_sub/T_c)^0.0609,  T_c in degC
///   Y = 1 - (1 - p_out/p_in) / (3 (k/1.4) 0.84)
///
/// fitted to R-22, R-407C and R-410A in valves of 1.6 and 1.8 mm at 30..50 degC condensing, 0..30
/// degC evaporating, 1.5..15 K subcooling. Ours: the subcooling has a smooth floor at 1.5 K; an
/// inlet with vapour enters with its homogeneous density (ValveSide::rho); the root is linear
/// within +-2 kPa; a leak stays at opening 0. Bare SI; noexcept, allocation-free, thread-safe.
namespace cw::twin {

struct ExpansionValve {
  double area;               ///< fully open [m2]
  double leak_share = 1e-4;  ///< of the coefficient at z = 1 that remains at opening 0
};

/// One side of a valve. Only the upstream side's density and subcooling count.
struct ValveSide {
  double p;           ///< [Pa]
  double rho;         ///< of what would flow out, mixture density if two-phase [kg/m3]
  double subcooling;  ///< below the bubble point [K]; 0 when two-phase
};

struct ValveFlow {
  double m_dot;           ///< [kg/s], positive from a to b
  double dm_dpa, dm_dpb;  ///< at constant densities and subcoolings [kg/(s Pa)]
  double dm_dopening;     ///< [kg/s]
};

/// @param opening     share of the full opening; below 0 counts as 0, above 1 continues the formula
/// @param T_critical  of the refrigerant [K], > 273.15
/// Flow at any dp of either sign, continuously differentiable.
ValveFlow valve_flow(const ExpansionValve& valve, double opening, const ValveSide& a,
                     const ValveSide& b, double T_critical) noexcept;

/// The opening that lets `m_dot` through, the inverse of valve_flow: 0 when the flow is below the
/// leak or against the pressure, above 1 when the valve is too small; at most 10.
double opening_for(const ExpansionValve& valve, double m_dot, const ValveSide& a,
                   const ValveSide& b, double T_critical) noexcept;

/// A valve that lets m_dot [kg/s] through at `opening` from a to b.
ExpansionValve size_valve(double m_dot, const ValveSide& a, const ValveSide& b, double opening,
                          double T_critical) noexcept;

/// Li's coefficient itself, C of z and subcooling, with our floor.
double flow_coefficient(double opening, double subcooling, double T_critical) noexcept;
/// Its slope with subcooling as a share of itself, the same at any opening: d ln C/d dT [1/K].
double coefficient_growth(double subcooling) noexcept;

}  // namespace cw::twin
