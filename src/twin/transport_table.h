#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "base/result.h"
#include "fluid/refrigerant.h"

namespace cw::twin {

/// Both saturation lines at one pressure, with what film, void and pressure-drop formulas ask for.
/// SI. `l` is the bubble-point liquid, `g` the dew-point vapour.
struct SaturationTransport {
  double rho_l, rho_g;       ///< density [kg/m3]
  double mu_l, mu_g;         ///< viscosity [Pa s]
  double k_l, k_g;           ///< thermal conductivity [W/(m K)]
  double cp_l, cp_g;         ///< [J/(kg K)]
  double h_lg;               ///< dew minus bubble enthalpy [J/kg]
  double sigma;              ///< surface tension [N/m]
  double T_bubble, T_dew;    ///< [K]
  double dT_bubble, dT_dew;  ///< slope of the two lines with pressure [K/Pa]
  double p_reduced;          ///< p/p_critical [1]
};

/// Saturation transport of one refrigerant by pressure: cubics in log p between 96 nodes.
///
/// Range 0.02..0.95 of the critical pressure; other pressures give the values at the nearer end
/// (p_reduced and the slopes included), nan those at the lower end. Against the equation of state
/// up to 0.6 of the critical pressure within 2e-5 (heat capacities 5e-5, transport 2e-3), up to 0.9
/// within 1e-3 (heat capacities 3 %): transport_table_test.cc. Continuous with its first
/// derivative.
class TransportTable {
 public:
  /// @param p  absolute pressure [Pa], any double. Thread-safe; does not allocate; about 20 ns.
  void at(double p, SaturationTransport& out) const noexcept;

  double lowest_pressure() const noexcept { return lowest_; }                     ///< [Pa]
  double highest_pressure() const noexcept { return highest_; }                   ///< [Pa]
  double critical_pressure() const noexcept { return critical_; }                 ///< [Pa]
  double critical_temperature() const noexcept { return critical_temperature_; }  ///< [K]
  /// What was estimated because the refrigerant has no published correlation, in one sentence;
  /// empty when nothing was.
  const std::string& note() const noexcept { return note_; }

 private:
  friend Result<TransportTable> make_transport_table(const fluid::Refrigerant& refrigerant);

  static constexpr std::size_t properties = 12;
  using Cell = std::array<std::array<double, properties>, 4>;  ///< coefficient, then property
  std::vector<Cell> cells_;
  double lowest_ = 0.0, highest_ = 0.0, critical_ = 0.0, critical_temperature_ = 0.0;
  double log_lowest_ = 0.0, cells_per_log_ = 0.0;
  std::string note_;
};

/// Evaluates the equation of state and the transport correlations at the nodes.
///
/// A blend without correlations of its own (R-454B) gets the mass-weighted mean of its components'
/// log viscosity and conductivity and surface tension at the same temperature, all three estimates;
/// `note` says so.
/// @error unsupported  a fluid without the properties and without known components
/// @error as fluid::state_from
Result<TransportTable> make_transport_table(const fluid::Refrigerant& refrigerant);

}  // namespace cw::twin
