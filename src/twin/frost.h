#pragma once

/// Frost on an air coil: growth, density, conductivity, what it does to the air flow, melting.
/// Bare SI; noexcept, allocation-free, thread-safe, finite for finite arguments.
namespace cw::twin {

/// Frost on one square metre of air-side surface.
struct FrostLayer {
  double mass = 0.0;     ///< [kg/m2]
  double density = 0.0;  ///< [kg/m3]; without meaning at mass 0
  double thickness() const noexcept { return density > 0.0 ? mass / density : 0.0; }  ///< [m]
};

struct FrostGeometry {
  double area;       ///< air side of the cell [m2]
  double fin_pitch;  ///< [m]
};

/// Density of new frost [kg/m3]: 650 exp(0.277 t), t the surface in degC, [hayashi1977], kept
/// within 30..400 smoothly.
double new_frost_density(double T_surface) noexcept;

/// One step. Water joins at the density of new frost; what lies there densifies towards 50 (1
/// + 3.77) kg/m3 with a time constant of 8000 s (Korn's fit: rho = 50 (1 + y), dy/dt = (3.77 -
/// y)/8000 s). A surface above 0 degC takes no water (it drips off) and keeps the layer: melt it
/// with melt().
/// @param water_flux  [kg/(m2 s)], >= 0
/// @param dt          [s], >= 0
FrostLayer grow(FrostLayer layer, double water_flux, double T_surface, double dt) noexcept;

/// Conductivity of frost [W/(m K)]: 0.02422 + 7.214e-4 rho + 1.1797e-6 rho^2 [yonko1967], rho up to
/// 573 kg/m3.
double frost_conductivity(double density) noexcept;

/// Air flow of a frosted coil as a share of the clean coil's on the same fan, 1 .. 0.1: between
/// fins the gap narrows to pitch - 2 thickness, the loss grows with gap^-3, and the fan gives way
/// on a parabola.
/// @param thickness [m], fin_pitch [m]
double air_flow_factor(double thickness, double fin_pitch) noexcept;

/// What a heat input does to a layer.
struct Melt {
  double drained;    ///< water that leaves [kg/m2]
  double heat_used;  ///< [J/m2], at most what was given
};

/// Melts with 333.5 kJ/kg after warming the layer from T_surface to 0 degC; the rest of the heat is
/// not taken. The density of what remains stays. The layer loses exactly what is drained.
/// @param heat  [J/m2]; negative counts as 0
Melt melt(FrostLayer& layer, double heat, double T_surface) noexcept;

/// Zones of frosting by outdoor air after Zhu et al. [zhu2015], for tests and words.
enum class FrostZone { none, mild, moderate, severe };
/// @param T dry bulb [K], relative_humidity 0..1
FrostZone frost_zone(double T, double relative_humidity) noexcept;
/// Published growth in thickness at 30 kg/m3 [m/s] [liang2020]: 0, 0.7e-7, 2.5e-7, 3.6e-7.
double frost_zone_growth(FrostZone zone) noexcept;

}  // namespace cw::twin
