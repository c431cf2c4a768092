#pragma once

#include <array>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "base/embedded_file.h"
#include "base/result.h"
#include "fluid/detail/data_file.h"
#include "fluid/detail/helmholtz.h"

namespace cw::fluid::detail {

struct Model;
struct Point;

/// a x^n
struct PowerItem {
  double a, n;
};
/// a tau^t delta^d exp(g delta^l)
struct DensityItem {
  double a, t, d, l, g;
};

/// Viscosity as dilute gas, initial density and residual part [huber2003, Eqs. 5-12], or from the
/// residual entropy [bell2016].
struct ViscosityModel {
  enum class Form { terms, entropy_scaling };
  Form form = Form::terms;
  double uncertainty = 0.0;
  // dilute gas: a T^n, or kinetic theory with a collision integral
  std::vector<PowerItem> dilute;
  double sigma = 0.0, epsilon_over_k = 0.0, prefactor = 0.0, dilute_molar_mass = 0.0;
  std::vector<PowerItem> collision;  ///< empty with sigma: the integral of Neufeld et al.
  std::vector<PowerItem> rainwater_friend;
  double reducing_temperature = 0.0, reducing_density = 0.0;  ///< [K], [mol/m3]
  std::vector<DensityItem> residual;
  std::vector<double> free_volume;  ///< f, d, t or empty
  std::vector<PowerItem> close_packed_over, close_packed_under;
  // entropy scaling
  double scale = 0.0, crossover = 0.0, critical_entropy_density = 0.0;
  std::vector<double> liquid, vapour;
};

/// Conductivity as dilute gas, residual part and critical enhancement, or by corresponding states
/// with a reference fluid [mclinden2000].
struct ConductivityModel {
  enum class Form { terms, corresponding_states };
  Form form = Form::terms;
  double uncertainty = 0.0;
  double dilute_viscosity = 0.0, dilute_temperature = 1.0;
  std::vector<PowerItem> dilute;
  double reducing_temperature = 1.0, reducing_density = 1.0;  ///< [K], [kg/m3]
  std::vector<DensityItem> residual;
  // critical enhancement, simplified Olchowy and Sengers [perkins2006, Eqs. 5-8]; cutoff 0: none
  double cutoff = 0.0, amplitude = 1.94e-10, gamma_amplitude = 0.0496, exponent = 1.239, R0 = 1.03;
  double reference_temperature = 0.0;  ///< 0: 1.5 T_c
  // corresponding states
  double sigma = 0.0, epsilon_over_k = 0.0;
  std::vector<PowerItem> internal, shape;
  double shape_density = 1.0;  ///< [mol/m3]
  struct ReferenceFluid {
    Helmholtz helmholtz;
    double temperature = 0.0, density = 0.0, molar_mass = 0.0;          ///< [K], [mol/m3], [kg/mol]
    double conductivity_temperature = 1.0, conductivity_density = 1.0;  ///< [K], [kg/m3]
    std::vector<DensityItem> conductivity;
  } reference;
};

struct TransportModels {
  std::optional<ViscosityModel> viscosity;
  std::optional<ConductivityModel> conductivity;
  struct SurfaceTension {
    double temperature = 0.0, uncertainty = 0.0;
    std::vector<PowerItem> terms;
  };
  std::optional<SurfaceTension> surface_tension;
};

/// Reads the transport sections that the file has.
Status read_transport(const DataFile& file, std::span<const EmbeddedFile> files,
                      TransportModels& out);

/// Opens an embedded data file.
Result<DataFile> open_data_file(std::span<const EmbeddedFile> files, std::string_view name);

// Values of one phase at a point of the equation of state; nothing where the refrigerant has no
// correlation or it gives no positive number there. Thread-safe, do not allocate.
std::optional<double> viscosity_at(const Model& model, const Point& at) noexcept;     ///< [Pa s]
std::optional<double> conductivity_at(const Model& model, const Point& at) noexcept;  ///< [W/(m K)]
std::optional<double> surface_tension_at(const Model& model, double T) noexcept;      ///< [N/m]

/// Viscosity of the dilute gas in a model of the `terms` form [Pa s].
double dilute_viscosity(const ViscosityModel& viscosity, double T) noexcept;

/// Dilute-gas viscosity of a pure fluid by kinetic theory [Pa s]: sigma [nm], molar mass [g/mol].
double kinetic_viscosity(double T, double molar_mass, double sigma, double epsilon_over_k) noexcept;

}  // namespace cw::fluid::detail
