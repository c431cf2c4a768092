#pragma once

#include <span>
#include <string_view>

#include "base/result.h"
#include "base/units.h"

namespace cw::fluid {

namespace detail {
struct Model;
}

/// What stands behind the name.
enum class FluidKind {
  pure,         ///< one substance: bubble and dew line coincide
  pseudo_pure,  ///< a blend fitted as one substance; bubble and dew pressure are separate curves
  mixture       ///< components with mixing rules; the phases differ in composition
};

/// A refrigerant with everything that its data file carries. Objects live as long as the program;
/// hold them by pointer or reference. All members are thread-safe and do not allocate.
class Refrigerant {
 public:
  explicit Refrigerant(const detail::Model& model) : model_(&model) {}
  Refrigerant(const Refrigerant&) = delete;
  Refrigerant& operator=(const Refrigerant&) = delete;

  std::string_view name() const noexcept;         ///< as people write it: "R-410A"
  std::string_view composition() const noexcept;  ///< empty for pure fluids
  FluidKind kind() const noexcept;
  /// Key of the equation of state's paper in docs/references.bib: "lemmon2003".
  std::string_view equation_source() const noexcept;
  double molar_mass() const noexcept;  ///< [kg/mol]

  /// Highest temperature at which liquid and vapour coexist in the model [K] and the pressure
  /// there. For pseudo-pure fluids the end of the published bubble and dew curves.
  Kelvin critical_temperature() const noexcept;
  Pascal critical_pressure() const noexcept;
  /// Range of the equation of state.
  Kelvin minimum_temperature() const noexcept;
  Kelvin maximum_temperature() const noexcept;
  Pascal maximum_pressure() const noexcept;

  const detail::Model& model() const noexcept { return *model_; }

 private:
  const detail::Model* model_;
};

/// Finds a refrigerant by name: "R-410A", "R410A", "r410a" and "r 410 a" are the same.
///
/// The first call for a name reads its embedded data file and prepares the saturation curves
/// (some milliseconds); later calls return the same object.
/// @error not_found  unknown name; the fix lists the known ones
/// Thread-safe; the first call allocates.
Result<const Refrigerant*> find_refrigerant(std::string_view name);

/// The names that find_refrigerant knows, in the order for people: "R-410A", "R-32", ...
/// Thread-safe; does not allocate.
std::span<const std::string_view> refrigerant_names() noexcept;

}  // namespace cw::fluid
