#pragma once

#include <array>
#include <filesystem>
#include <span>
#include <string_view>

#include "base/result.h"
#include "twin/compressor.h"

/// Compressor maps as people have them. Reading allocates; thread-safe.
namespace cw::twin {

/// The ten coefficients of AHRI 540 at one speed, in the order of CompressorMap.
struct TenCoefficients {
  double speed = 60.0;  ///< [rev/s]
  std::array<double, 10> mass_flow{};
  std::array<double, 10> power{};
};

/// The units of a set.
struct MapUnits {
  bool fahrenheit = false;       ///< temperatures in degF, else degC
  double mass_flow_scale = 1.0;  ///< kg/s per unit
  double power_scale = 1.0;      ///< W per unit
};

/// The same set for degC, kg/s and W.
TenCoefficients in_si(const TenCoefficients& set, const MapUnits& units) noexcept;

/// A map from sets in SI: one speed scales with the speed, two give a line, three a parabola
/// between them. Its speed range is that of the sets; temperatures keep CompressorMap's defaults.
/// @error invalid_argument  none or more than three sets, speeds not positive and rising
Result<CompressorMap> map_of_sets(std::span<const TenCoefficients> sets);

/// Reads a map in our TOML form (docs/design/twin_components.md).
/// @error not_found, unreadable, parse, unit, invalid_argument  with file and line
Result<CompressorMap> read_compressor_map(const std::filesystem::path& path);
Result<CompressorMap> parse_compressor_map(std::string_view text, std::string_view name);

/// Reads the comma-separated form with rows `m_dot` [kg/h] and `W_dot` [kW] (a row `Q_dot_evp` is
/// passed over) of 30 coefficients C0..C29 of evaporating and condensing temperature [degC] and
/// speed [rev/s]:
///   1, e, c, e2, c2, ec n2, e2c n2, ec2 n2, ec n, e2c n, ec2 n, ec, e2c, ec2, e3, c3, n, e n, c n,
///   e2 n, c2 n, e3 n, c3 n, n2, e n2, c n2, e2 n2, c2 n2, e3 n2, c3 n2.
/// The file states neither range nor superheat: set them in the result.
/// @error not_found, unreadable, parse  with file and line
Result<CompressorMap> read_thirty_coefficient_map(const std::filesystem::path& path);

}  // namespace cw::twin
