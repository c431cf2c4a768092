#pragma once

#include "fluid/table.h"
#include "twin/transport_table.h"
#include "twin/void_fraction.h"

/// Refrigerant properties as the network wants them: once per pressure the saturation lines, once
/// per cell what is left. Bare SI; noexcept; thread-safe; finite for every finite input.
namespace cw::twin::detail {

/// Both saturation lines at one pressure.
struct Saturated {
  double p = 0.0;
  double p_table = 0.0;       ///< p clamped to the table's range, at which all that follows holds
  double Tb = 0.0, Td = 0.0;  ///< bubble and dew point [K]
  double hl = 0.0, hg = 0.0, vl = 0.0, vg = 0.0;
  double dTb = 0.0, dTd = 0.0, dhl = 0.0, dhg = 0.0, dvl = 0.0, dvg = 0.0;  ///< with p
  double slip = 1.0;
  double hlg() const noexcept { return hg - hl; }
};

/// One cell at a pressure and an enthalpy.
struct CellState {
  double T = 0.0;
  double rho = 0.0, drho_dp = 0.0, drho_dh = 0.0;
  double dT_dp = 0.0, dT_dh = 0.0;
  double x = 0.0;      ///< (h - hl)/(hg - hl), not clamped
  double hf = 0.0;     ///< enthalpy of what flows out: vapour runs ahead of the liquid
  double hf_dh = 1.0;  ///< its slope with h
};

/// What a cell is. Phases slip past each other in coils. In pipes and coils the edge of flashing is
/// spread over a little quality, as pressure and temperature differ along any of them; a vessel has
/// one state.
enum class Content { vessel, pipe, coil };

class Props {
 public:
  Props(const fluid::Table* table, TransportTable transport, SlipModel slip);

  /// Beyond the table's range of pressures, where no machine stays, temperatures are those at its
  /// end; density goes on (see cell), so that a state that got there finds its way back.
  void saturated(double p, Saturated& out) const noexcept;
  void cell(const Saturated& s, double h, Content content, CellState& out) const noexcept;
  double clamp_pressure(double p) const noexcept;
  const TransportTable& transport() const noexcept { return transport_; }
  double T_critical() const noexcept { return T_critical_; }
  /// Saturation pressures at a temperature, by bisection on the table. For setting up and once a
  /// change of weather.
  double dew_pressure(double T) const noexcept;
  double bubble_pressure(double T) const noexcept;
  /// Enthalpy at pressure and temperature, single phase; falls back to the saturation line.
  double enthalpy(double p, double T) const noexcept;

 private:
  double pressure_where(double Saturated::*line, double T) const noexcept;
  void single_phase(const Saturated& s, double h, CellState& out) const noexcept;
  void in_table(const Saturated& s, double h, Content content, CellState& out) const noexcept;

  const fluid::Table* table_;
  TransportTable transport_;
  SlipModel slip_;
  double lowest_, highest_, T_critical_;
};

}  // namespace cw::twin::detail
