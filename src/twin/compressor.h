#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <variant>

#include "base/result.h"
#include "fluid/refrigerant.h"
#include "twin/hermite.h"

/// Positive-displacement compressors with variable speed: from the state before it and the pressure
/// behind it to mass flow and electric power.
namespace cw::twin {

/// Faults of a compressor. Zero means as new.
struct CompressorWear {
  double leak = 0.0;  ///< extra internal leak, as a share of the ideal flow at rated speed and
                      ///< pressure ratio 3; 0..0.5
  double loss = 0.0;  ///< extra power as a share of the power without it; 0..1
};

/// What the compressor sees. Bare SI.
struct CompressorInlet {
  double p_suction;      ///< [Pa]
  double p_discharge;    ///< [Pa]
  double rho_suction;    ///< [kg/m3] of whatever flows in, vapour or wet
  double speed;          ///< [rev/s]
  double T_evaporating;  ///< dew point at p_suction [K], for maps
  double T_condensing;   ///< dew point at p_discharge [K], for maps
};

/// The derivatives hold the inlet's density and temperatures fixed in the efficiency form; in map
/// form the temperatures follow the pressures along the dew line. dm/drho is m_dot/rho_suction.
struct CompressorFlow {
  double m_dot;           ///< [kg/s], >= 0: a check valve lets nothing back
  double power;           ///< at the terminals, inverter and motor included [W], >= 0
  double dm_dps, dm_dpd;  ///< [kg/(s Pa)]
  double dW_dps, dW_dpd;  ///< [W/Pa]
};

/// A compressor by efficiencies.
///
///   m = n V rho eta_v,  eta_v = v0 exp(-(a + wear) (PR-1)/2 sqrt(n_r/n) / v0)
///   W = n V (p_s w(PR)/eta + p_f (1/2 + 1/2 (n/n_r)^2)) (1 + wear)
///   w = k/(k-1) ((k-1)/k PR/v_r + v_r^(k-1)/k - 1)
///
/// w is the work of a machine with the built-in volume ratio v_r on an ideal gas of exponent k
/// [jin2002]: over- and under-compression cost. The leak falls behind the displaced flow as speed
/// rises. Where the leak's form is ours (the exponential keeps the flow positive): design page.
struct EfficiencyParameters {
  double displacement = 60e-6;  ///< V, swept volume a revolution [m3]
  double rated_speed = 60.0;    ///< n_r [rev/s]
  double volumetric = 0.98;     ///< v0, eta_v at pressure ratio 1
  double leak = 0.051;          ///< a, share of ideal flow at rated speed and PR 3
  double volume_ratio = 2.9;    ///< v_r, suction over discharge volume
  double shaft_efficiency =
      0.80;  ///< eta, of compression, bearings' proportional part, motor and inverter
  double friction_pressure = 35e3;  ///< p_f [Pa], mean pressure of constant losses at rated speed
  double isentropic_exponent =
      0.0;  ///< k; 0: from the refrigerant, 5 degC/8 K superheat to 45 degC
};

/// A map: m and W as polynomials of evaporating and condensing temperature (dew, degC) and speed,
/// valid at one suction superheat. Other suction densities, wet ones included, correct the flow by
/// three quarters of their deviation [rice1981] and the power with flow and specific volume.
///
/// Term order as in AHRI 540: 1, Te, Tc, Te^2, Te Tc, Tc^2, Te^3, Tc Te^2, Te Tc^2, Tc^3; each a
/// quadratic in speed [rev/s]: coefficient[term][power]. Results in kg/s and W.
struct CompressorMap {
  using Surface = std::array<std::array<double, 3>, 10>;
  Surface mass_flow{};
  Surface power{};
  double superheat = 8.0;                 ///< of the map's suction gas over the dew point [K]
  std::optional<double> return_gas = {};  ///< the map's suction temperature [K] instead
  double te_lowest = 238.15, te_highest = 288.15;  ///< validity, dew points [K]
  double tc_lowest = 293.15, tc_highest = 338.15;
  double speed_lowest = 20.0, speed_highest = 120.0;  ///< [rev/s]
  double rated_speed = 60.0;                          ///< for CompressorWear::leak [rev/s]
};

/// One compressor model of either form. Copyable; const members are thread-safe.
class Compressor {
 public:
  Compressor() = default;  ///< the efficiency form with the default parameters and k = 1.13

  /// Efficiency form about 45 ns, map form about 120 ns. Finite for finite input and smooth in it:
  /// at speed 0 no flow and no power; at PR <= 1 the flow of PR 1; outside a map's range the map
  /// goes on with the values and slopes of the edge (in_range says so).
  CompressorFlow flow(const CompressorInlet& inlet, const CompressorWear& wear) const noexcept;

  /// Whether a map covers this point; always true for the efficiency form.
  bool in_range(const CompressorInlet& inlet) const noexcept;

 private:
  friend Result<Compressor> make_efficiency_compressor(const fluid::Refrigerant&,
                                                       EfficiencyParameters);
  friend Result<Compressor> make_map_compressor(const fluid::Refrigerant&, const CompressorMap&);

  /// Dew temperature and density of the map's suction gas by pressure.
  struct SuctionTable {
    static constexpr std::size_t cells = 48;
    struct Point {
      double dew, dew_slope, density, density_slope;  ///< [K], [K/Pa], [kg/m3], [kg/(m3 Pa)]
    };
    std::array<Cubic, cells> dew{}, density{};
    double log_lowest = 0.0, log_highest = 0.0, cells_per_log = 1.0;

    Point at(double p) const noexcept;
  };
  struct Mapped {
    CompressorMap map;
    SuctionTable suction;
    double middle_mass = 0.0, middle_power = 0.0;  ///< per speed, in the middle of the range
  };
  CompressorFlow flow_by_efficiency(const EfficiencyParameters& c, const CompressorInlet& inlet,
                                    const CompressorWear& wear) const noexcept;
  CompressorFlow flow_by_map(const Mapped& c, const CompressorInlet& inlet,
                             const CompressorWear& wear) const noexcept;

  std::variant<EfficiencyParameters, Mapped> form_ =
      EfficiencyParameters{.isentropic_exponent = 1.13};
};

/// @error out_of_range  a parameter outside its physical range, with name and limits
Result<Compressor> make_efficiency_compressor(const fluid::Refrigerant& refrigerant,
                                              EfficiencyParameters parameters);

/// @error out_of_range  a range that is empty or outside the refrigerant's saturation
Result<Compressor> make_map_compressor(const fluid::Refrigerant& refrigerant,
                                       const CompressorMap& map);

/// Displacement for a wanted flow [m3 per revolution] with the other parameters as given.
double displacement_for(double m_dot, const CompressorInlet& inlet,
                        const EfficiencyParameters& parameters) noexcept;

}  // namespace cw::twin
