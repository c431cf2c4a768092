#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/unit_text.h"
#include "fluid/refrigerant.h"
#include "fluid/state.h"

namespace cw {

/// The air pressure that gauge pressures stand on, and where it comes from.
struct Barometer {
  Pascal pressure{standard_atmosphere};
  std::string origin = "standard atmosphere";  ///< for people
};

/// What a person asks of a refrigerant. SI; exactly one of: two of T..q, one of T or p alone, one
/// of T or p with superheat or subcooling.
struct FluidQuery {
  std::optional<double> T;           ///< [K]
  std::optional<double> p;           ///< absolute [Pa]
  std::optional<double> h;           ///< [J/kg], in `reference`
  std::optional<double> s;           ///< [J/(kg K)], in `reference`
  std::optional<double> u;           ///< [J/kg], in `reference`
  std::optional<double> rho;         ///< [kg/m3]
  std::optional<double> q;           ///< [1]
  std::optional<double> superheat;   ///< above the dew line at the same pressure [K], >= 0
  std::optional<double> subcooling;  ///< below the bubble line at the same pressure [K], >= 0
  fluid::ReferenceState reference = fluid::ReferenceState::usual;
};

/// Bubble and dew line, either at one pressure or at one temperature.
struct SaturationPair {
  fluid::FluidState bubble;  ///< q = 0
  fluid::FluidState dew;     ///< q = 1
};

struct FluidAnswer {
  const fluid::Refrigerant* refrigerant = nullptr;  ///< never null
  /// The state asked for; absent when T or p stood alone.
  std::optional<fluid::FluidState> state;
  /// At the state's pressure, where both phases exist there; with T alone: at that temperature.
  std::optional<SaturationPair> saturation;
  bool at_temperature = false;  ///< T stood alone

  fluid::ReferenceState reference() const {
    return state ? state->reference : saturation->bubble.reference;
  }
};

/// @param units  for the limits in refusals
/// @error invalid_argument  not one of the combinations above; the fix lists them
/// @error and those of fluid::state_from, with the refrigerant's limits as fix
Result<FluidAnswer> answer(const fluid::Refrigerant& refrigerant, const FluidQuery& query,
                           UnitSystem units);

/// Rows of a saturation table at steps of temperature or of pressure.
struct FluidTable {
  const fluid::Refrigerant* refrigerant = nullptr;  ///< never null
  bool by_temperature = true;
  std::vector<SaturationPair> rows;
};

struct FluidTableQuery {
  bool by_temperature = true;
  double first = 0.0;  ///< [K] or [Pa]
  double last = 0.0;   ///< included where a step falls on it; may lie below `first`
  double step = 0.0;   ///< > 0 [K] or [Pa]
  fluid::ReferenceState reference = fluid::ReferenceState::usual;
};

/// @error invalid_argument  no step, or more than 2000 rows
/// @error out_of_range      an end outside the two-phase region
Result<FluidTable> saturation_table(const fluid::Refrigerant& refrigerant,
                                    const FluidTableQuery& query, UnitSystem units);

/// "R-410A: -73.15 to 226.85 °C, up to 50000 kPa(a); ..." for refusals and the list.
std::string limits_text(const fluid::Refrigerant& refrigerant, UnitSystem units);

}  // namespace cw
