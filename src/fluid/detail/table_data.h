#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "base/result.h"
#include "fluid/detail/math.h"
#include "fluid/detail/model.h"

namespace cw::fluid::detail {

/// Four polynomials in t side by side, lowest power first.
constexpr std::size_t line_order = 7;
struct QuadLine {
  Quad c[line_order];
};

/// Four polynomials in t and y, c[i][j] t^i y^j.
constexpr std::size_t patch_order = 5;
struct QuadPatch {
  Quad c[patch_order][patch_order];
};

/// Pressure cells: parts of an octave, from the exponent and the leading bits of the mantissa, so
/// that no logarithm is needed. Far below the critical pressure, where everything is smooth, one
/// cell takes several parts: `part` leads to it.
constexpr int pressure_bits = 5;
struct PressurePart {
  double middle = 0.0;        ///< of the cell [Pa]
  double inverse_half = 0.0;  ///< 1/half width of the cell [1/Pa]
  std::int64_t cell = 0;
};
CW_INLINE std::int64_t pressure_part(double p) noexcept {
  return static_cast<std::int64_t>(std::bit_cast<std::uint64_t>(p) >> (52 - pressure_bits));
}
inline double pressure_edge(std::int64_t part) noexcept {
  return std::bit_cast<double>(static_cast<std::uint64_t>(part) << (52 - pressure_bits));
}

/// Cells across a phase: over u, the distance from saturation by its range (0..1), parts of the
/// octaves of v = cross_offset + cross_scale u, so that cells are narrow at saturation and wide far
/// from it, again without a logarithm or a root.
constexpr int cross_bits = 2;
constexpr int cross_octaves = 8;
constexpr std::size_t cells_across = cross_octaves << cross_bits;
constexpr double cross_offset = 1.0 / (1 << cross_octaves);
constexpr double cross_scale = (1.0 - cross_offset) * (1.0 - 0x1p-40);  // v stays below 1
struct CrossPlace {
  std::size_t index;
  double y;  ///< -1 at the edge towards saturation, +1 at the other
};
CW_INLINE CrossPlace cross_place(double u) noexcept {
  constexpr int shift = 52 - cross_bits;
  constexpr std::uint64_t low = (std::uint64_t{1} << shift) - 1;
  const auto bits = std::bit_cast<std::uint64_t>(cross_offset + cross_scale * u);
  const double one = std::bit_cast<double>((bits & low) | (std::uint64_t{0x3ff} << 52));
  constexpr std::uint64_t first = (std::uint64_t{0x3ff} - cross_octaves) << cross_bits;
  return {static_cast<std::size_t>((bits >> shift) - first), (one - 1.0) * (2 << cross_bits) - 1.0};
}
/// The distance u at a place in a cell, the inverse of cross_place.
inline double cross_distance(std::size_t index, double y) noexcept {
  constexpr std::uint64_t first = (std::uint64_t{0x3ff} - cross_octaves) << cross_bits;
  const auto edge = [](std::uint64_t i) {
    return std::bit_cast<double>((i + first) << (52 - cross_bits));
  };
  const double v = 0.5 * ((1.0 - y) * edge(index) + (1.0 + y) * edge(index + 1));
  return (v - cross_offset) / cross_scale;
}

struct Atlas {
  std::vector<QuadPatch> patches;  ///< [pressure cell * cells_across + cell across]
};

/// All polynomials of one refrigerant.
struct TableData {
  double lowest_pressure = 0.0;
  double highest_pressure = 0.0;
  double highest_temperature = 0.0;
  std::int64_t first_part = 0;
  std::vector<PressurePart> parts;
  /// h of bubble liquid, h of dew vapour, 1/range of h in the liquid and in the vapour atlas
  std::vector<QuadLine> enthalpy;
  /// T of bubble and dew point, 1/range of T in the liquid and in the vapour atlas
  std::vector<QuadLine> temperature;
  /// v of bubble liquid and dew vapour, s of both
  std::vector<QuadLine> volume;
  Atlas liquid_ph, vapour_ph;      ///< T, rho, s, cp
  Atlas liquid_more, vapour_more;  ///< drho/dp|h, drho/dh|p, dT/dp|h, w; same cells as *_ph
  Atlas liquid_pT, vapour_pT;      ///< h, rho, s, cp
  double ln_p_low = 0.0, inverse_T_low = 0.0, ln_slope = 0.0;  ///< ln p over 1/T, start for (T, q)
};

/// Makes the table from the equation. @error no_convergence, out_of_range
Result<std::unique_ptr<const TableData>> make_table(const Model& model);

}  // namespace cw::fluid::detail
