#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "base/result.h"
#include "fluid/refrigerant.h"
#include "fluid/state.h"

namespace cw::fluid {

namespace detail {
struct TableData;
}

/// What a look-up returns. SI; h and s in the usual reference state of the refrigerant.
struct TableState {
  double p = 0.0;               ///< [Pa]
  double T = 0.0;               ///< [K]
  double rho = 0.0;             ///< [kg/m3]
  double h = 0.0;               ///< [J/kg]
  double s = 0.0;               ///< [J/(kg K)]
  double cp = 0.0;              ///< [J/(kg K)], single-phase states; 0 in two-phase ones
  double q = 0.0;               ///< vapour mass fraction; 0 in liquid and 1 in vapour
  Phase phase = Phase::vapour;  ///< liquid, vapour or two_phase
};

/// What the balances of a dynamic model ask at every step.
struct DensityState {
  double T = 0.0;          ///< [K]
  double rho = 0.0;        ///< [kg/m3]
  double drho_dp_h = 0.0;  ///< at constant enthalpy [kg/(m3 Pa)]
  double drho_dh_p = 0.0;  ///< at constant pressure [kg2/(m3 J)]
};

/// Properties of one refrigerant as piecewise polynomials, made from its equation of state.
///
/// Range: 0.02 to 0.92 of the critical pressure; vapour up to 100 K above the dew point and the
/// equation's highest temperature; liquid down to 15 K below the lowest bubble point; everything
/// between. Liquid and vapour have an atlas of cells each whose edge is the saturation line itself,
/// so that no cell crosses it. Accuracy against the equation, as table_test.cc checks it, is in
/// docs/design/fluid.md.
///
/// Every look-up returns false, with `out` untouched, outside the range and for nan. Look-ups are
/// thread-safe and neither lock, allocate nor throw; the same input gives the same bits on every
/// machine.
class Table {
 public:
  explicit Table(std::unique_ptr<const detail::TableData> data);
  Table(Table&&) noexcept;
  Table& operator=(Table&&) noexcept;
  ~Table();

  /// @param p [Pa], h [J/kg]
  bool from_p_h(double p, double h, TableState& out) const noexcept;
  /// @param p [Pa], T [K]; of a pure fluid at its saturation temperature: the vapour
  bool from_p_T(double p, double T, TableState& out) const noexcept;
  /// @param p [Pa], q quality 0..1 [1]
  bool from_p_q(double p, double q, TableState& out) const noexcept;
  /// @param T [K], q quality 0..1 [1]
  bool from_T_q(double T, double q, TableState& out) const noexcept;
  /// @param rho [kg/m3], h [J/kg]; iterates over from_p_h
  bool from_rho_h(double rho, double h, TableState& out) const noexcept;

  /// from_p_h with the partial derivatives for dynamic models and the speed of sound [m/s]
  /// (single-phase; 0 in two-phase states).
  bool from_p_h(double p, double h, TableState& out, Partials& partials, double& w) const noexcept;

  /// The same T, rho and derivatives, without the rest: the cheapest way to them.
  bool from_p_h(double p, double h, DensityState& out) const noexcept;

  /// Both saturation lines at p [Pa] with the derivatives along them.
  bool saturation(double p, SaturationState& out) const noexcept;

  double lowest_pressure() const noexcept;   ///< [Pa]
  double highest_pressure() const noexcept;  ///< [Pa]
  std::size_t bytes() const noexcept;        ///< memory taken
  /// FNV-1a over all coefficients: equal tables, equal number.
  std::uint64_t checksum() const noexcept;

 private:
  std::unique_ptr<const detail::TableData> data_;
};

/// The table of a refrigerant: at the first call for it in a program read from its file, or made
/// from the equation (about 0.1 s) and written there for the next time; then kept for the program's
/// life. The file stands in $COILWRIGHT_CACHE, else $XDG_CACHE_HOME/coilwright, else
/// $HOME/.cache/coilwright; an empty COILWRIGHT_CACHE keeps everything in memory, as WebAssembly
/// does. A file that is not whole or belongs to other data, another version or another equation is
/// passed over and replaced, and a place that cannot be written does no harm: see table_origin.
/// @error unsupported     nitrogen has none
/// @error no_convergence  the equation could not fill it
/// Thread-safe, also between processes; the first call allocates.
Result<const Table*> table_of(const Refrigerant& refrigerant);

/// How a table came to be.
struct TableOrigin {
  bool loaded = false;   ///< read from `file`; else made from the equation
  bool kept = false;     ///< made and written to `file`
  std::string file;      ///< empty: tables are not kept
  std::string rejected;  ///< why a file that was there was not used; empty: none was, or it was
  std::string not_kept;  ///< why the table could not be written; empty: it was, or was not to be
};
/// The origin of the table that table_of gives; makes the table if that is yet to be done. Empty
/// for refrigerants without one. Thread-safe.
TableOrigin table_origin(const Refrigerant& refrigerant);

}  // namespace cw::fluid
