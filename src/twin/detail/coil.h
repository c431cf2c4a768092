#pragma once

#include <array>
#include <cstddef>

#include "twin/detail/estimates.h"
#include "twin/detail/props.h"
#include "twin/expansion_valve.h"
#include "twin/film.h"
#include "twin/frost.h"
#include "twin/moist_surface.h"

/// A coil as a row of well-mixed cells that share one pressure, with metal and air, and the linear
/// implicit step through it.
///
/// Cells count from the gas port (0) to the liquid port. Flows are positive in that direction:
/// condensing is positive, evaporating negative. Each cell obeys
///
///   V drho/dt = m_in - m_out,   d(V (rho h - p))/dt = m_in hf_in - m_out hf_out + Q
///
/// with the upstream cell's flow enthalpy hf at each face. One implicit Euler step linearised at
/// the present (p, h) of each cell leaves unknown enthalpy changes and face flows; both follow from
/// the port conditions by elimination (docs/design/twin.md, "The coil").
namespace cw::twin::detail {

inline constexpr std::size_t most_cells = 12;

/// What does not change.
struct CoilShape {
  std::size_t cells = 5;
  double cell_volume = 0.0;    ///< [m3]
  double cell_area = 0.0;      ///< inside [m2]
  double bore = 0.007;         ///< [m]
  double flow_area = 0.0;      ///< of all circuits [m2]
  double cell_metal = 0.0;     ///< heat capacity [J/K]
  double UA_air = 0.0;         ///< whole coil at rated airflow, dry [W/K]
  double airflow = 0.0;        ///< rated [m3/s]
  double gas_loss_Pa = 0.0;    ///< friction at rated flow towards the gas port
  double rated_flow = 0.0;     ///< [kg/s]
  double rated_density = 0.0;  ///< [kg/m3] of gas at that loss
  double frost_area = 0.0;     ///< air side of one cell [m2]
  double fin_pitch = 0.0018;   ///< [m]
  double film_enhancement = estimate::film_enhancement;  ///< grooved tubes over smooth ones
};

/// Linear in the conditions at the ports: value = c[0] + c[1] dp + c[2] dh_hub + c[3] dh_liquid +
/// c[4] m_liquid, with dp of the coil, dh_hub of the lump at the gas port, dh_liquid of the one
/// behind the valve, and the flow through the valve itself.
inline constexpr std::size_t port_terms = 5;
using PortForm = std::array<double, port_terms>;
inline double value_at(const PortForm& form, const PortForm& port) noexcept {
  return form[0] * port[0] + form[1] * port[1] + form[2] * port[2] + form[3] * port[3] +
         form[4] * port[4];
}

struct CoilState {
  std::array<double, most_cells> M{}, U{}, h{}, T_wall{};
  std::array<double, most_cells + 1> flow{};  ///< at the faces; the last one is the valve's
  std::array<FrostLayer, most_cells> frost{};
  std::array<double, most_cells> UA{};  ///< refrigerant side [W/K]; 0 before the first step
  double p = 0.0;
  double offset = 0.0;                     ///< p minus the pressure of its group
  std::array<double, most_cells> Q{};      ///< heat into the refrigerant in the last step [W]
  std::array<double, most_cells> Q_air{};  ///< heat from air into metal in the last step [W]
  double air_out_T = 0.0;                  ///< mixed [K]
  std::array<double, most_cells> water{};  ///< deposited in the last step [kg/s]
  // What follows from p and h.
  Saturated sat;
  std::array<CellState, most_cells> state{};
  SaturationTransport transport{};
  double transport_p = -1.0;  ///< pressure that `transport` was last asked at
};

/// What one step works with; apart from the state, which is copied before each step.
struct CoilWork {
  std::array<double, most_cells> M0, U0, T_wall0;     ///< at the start of the step
  std::array<double, most_cells> q0, q1;              ///< heat from air: q0 + q1 (T_wall - T_wall0)
  std::array<double, most_cells> wall_den, wall_num;  ///< T_wall = (num + UA T) / den
  std::array<double, most_cells> last_dh;             ///< of the last iteration
  std::array<PortForm, most_cells> dh;
  std::array<PortForm, most_cells + 1> m;

  void begin(const CoilShape& shape, const CoilState& coil) noexcept;
};

/// Air at the coil's face.
struct CoilAir {
  double T = 0.0, w = 0.0, p = 101325.0;
  double flow_share = 1.0;  ///< of the rated airflow; natural draught is the caller's
  double size = 1.0;        ///< of the surface, and of the airflow with it
};

/// Where a port's enthalpy is upwinded from.
struct PortState {
  double hf = 0.0, hf_dh = 1.0;
};

/// Fills sat and state at pressure `p`.
void coil_properties(const Props& props, double p, const CoilShape& shape,
                     CoilState& coil) noexcept;

/// Fills `transport` for the coil's pressure, unless it is.
inline void coil_transport(const Props& props, CoilState& coil) noexcept {
  if (coil.transport_p == coil.p) return;
  props.transport().at(coil.p, coil.transport);
  coil.transport_p = coil.p;
}
/// The same of a coil that may have it or not.
inline SaturationTransport transport_of(const Props& props, const CoilState& coil) noexcept {
  if (coil.transport_p == coil.p) return coil.transport;
  SaturationTransport t;
  props.transport().at(coil.p, t);
  return t;
}

/// Film coefficients, air side. `soften` 0..1 is how much of the old film stays (for steady
/// iterations). `melting_W` heat that melting takes from each cell's metal is done by the caller.
void coil_heat(const Props& props, const CoilShape& shape, const CoilAir& air, double soften,
               CoilState& coil, CoilWork& work) noexcept;

/// Eliminates the cells.
/// @param rate 1/dt [1/s], dp_offset known change of the offset [Pa]
void coil_eliminate(const CoilShape& shape, double rate, double dp_offset, const PortState& hub,
                    const PortState& liquid, const CoilState& coil, CoilWork& work) noexcept;

/// Applies the solution: `port` = {1, dp, dh_hub, dh_liquid, m_liquid} with dp the change of the
/// group's pressure. Returns what the linear forms did not hold of the energy through the ports,
/// where a flow came out against its direction [W].
struct PortExtra {
  double gas = 0.0;     ///< into the coil
  double liquid = 0.0;  ///< out of the coil
};
PortExtra coil_apply(const CoilShape& shape, double rate, double dp_offset, const PortForm& port,
                     const PortState& hub, const PortState& liquid, CoilState& coil,
                     CoilWork& work) noexcept;

/// Sum over cells.
double coil_mass(const CoilShape& shape, const CoilState& coil) noexcept;
double coil_airflow(const CoilShape& shape, const CoilState& coil, double share) noexcept;

}  // namespace cw::twin::detail
