#pragma once

/// Heat and water between moist air and a wall. Bare SI; noexcept, allocation-free, thread-safe.
namespace cw::twin {

/// Air that comes to one cell of a coil.
struct AirSide {
  double T;       ///< dry bulb [K]
  double w;       ///< humidity ratio [kg/kg dry air]
  double p;       ///< [Pa]
  double m_dot;   ///< dry air [kg/s]
  double UA_dry;  ///< air film, fins included [W/K]
};

struct AirHeat {
  double sensible;  ///< from air to wall [W], negative when the wall is warmer
  double latent;    ///< from air to wall [W], >= 0; frost gives its heat of fusion, too
  double water;     ///< deposited [kg/s], >= 0, at most what the air brought
  double T_out;     ///< [K]
  double w_out;     ///< [kg/kg]
  double dQ_dTw;    ///< of sensible + latent with the wall temperature [W/K], <= 0
};

/// Effectiveness of one stream against a wall of one temperature: 1 - exp(-NTU) for heat and, by
/// the analogy of Lewis with Le = 0.865, 1 - exp(-NTU/Le^(2/3)) for water against the air saturated
/// at the wall (over ice below 0 degC) [ashrae2017, ch. 6]. A wall above the dew point stays dry;
/// the onset is a parabola of 2e-5 kg/kg. Water that evaporates from a wet wall is not modelled.
/// About 50 ns.
AirHeat air_heat(const AirSide& air, double T_wall) noexcept;

/// What air_heat derives from the air alone, for walls of several temperatures in the same air.
struct AirStream {
  explicit AirStream(const AirSide& side) noexcept;
  AirSide air;
  double m_dot;             ///< never 0 [kg/s]
  double C;                 ///< of the air with its vapour [W/K]
  double reach, wet_reach;  ///< effectiveness for heat and for water
  bool unsaturated;         ///< no wall as warm as the air is wetted
};
AirHeat air_heat(const AirStream& stream, double T_wall) noexcept;

/// Saturation pressure of water: over ice below and over water above 0.01 degC, the corner rounded
/// over +-0.2 K. Within 0.05 % of air::saturation_pressure from -60 to 80 degC; clamped to
/// -100..150 degC.
struct Saturation {
  double p;      ///< [Pa]
  double slope;  ///< dp/dT [Pa/K]
};
Saturation water_saturation(double T) noexcept;

/// Humidity ratio of air saturated at T and its slope [1/K].
struct SaturatedAir {
  double w;
  double slope;
};
SaturatedAir saturated_air(double T, double p) noexcept;

}  // namespace cw::twin
