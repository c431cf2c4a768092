#pragma once

#include <array>
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

/// Four polynomials in t and y: the terms t^i y^j with j < patch_row[i], row after row. Of the
/// terms up to 4 and 4 those that are left out fall below the stated accuracy in cells of this
/// shape.
constexpr std::size_t patch_order = 5;
constexpr std::array<std::size_t, patch_order> patch_row = {5, 5, 3, 2, 1};
constexpr std::size_t patch_terms = 16;
struct alignas(64) QuadPatch {
  Quad c[patch_terms];
};

/// Pressure: the exponent and the leading bits of the mantissa give a part of an octave, without a
/// logarithm; consecutive parts make up a cell, as many as the distance from the critical point
/// allows.
constexpr int pressure_bits = 6;
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
/// octaves of v = offset + scale u, so that cells are narrow at saturation and wide far from it,
/// again without a logarithm or a root. The offset is 1 / 2^octaves, the larger the farther the
/// pressure is from the critical one.
constexpr int cross_bits = 2;
struct CrossGrid {
  double offset = 1.0;
  std::int64_t base = 0;  ///< patch index - leading bits of v

  static CrossGrid with(int octaves, std::size_t first_patch) noexcept {
    const double offset = std::bit_cast<double>(std::uint64_t(0x3ff - octaves) << 52);
    return {offset, static_cast<std::int64_t>(first_patch) - leading_bits(offset)};
  }
  static std::int64_t leading_bits(double v) noexcept {
    return static_cast<std::int64_t>(std::bit_cast<std::uint64_t>(v) >> (52 - cross_bits));
  }
  /// dv/du; v stays below 1.
  double scale() const noexcept { return (1.0 - offset) * (1.0 - 0x1p-40); }
  /// The distance u at place y (-1..1) of the cell that a patch index leads to.
  double distance(std::size_t patch, double y) const noexcept {
    const auto edge = [](std::int64_t bits) {
      return std::bit_cast<double>(static_cast<std::uint64_t>(bits) << (52 - cross_bits));
    };
    const std::int64_t bits = static_cast<std::int64_t>(patch) - base;
    const double v = 0.5 * ((1.0 - y) * edge(bits) + (1.0 + y) * edge(bits + 1));
    return (v - offset) / scale();
  }
};
struct CrossPlace {
  std::size_t patch;
  double y;  ///< -1 at the edge towards saturation, +1 at the other
};
/// @param v  offset <= v < 1
CW_INLINE CrossPlace cross_place(const CrossGrid& grid, double v) noexcept {
  constexpr int shift = 52 - cross_bits;
  constexpr std::uint64_t low = (std::uint64_t{1} << shift) - 1;
  const auto bits = std::bit_cast<std::uint64_t>(v);
  const double one = std::bit_cast<double>((bits & low) | (std::uint64_t{0x3ff} << 52));
  constexpr double width = 2 << cross_bits;
  return {static_cast<std::size_t>(static_cast<std::int64_t>(bits >> shift) + grid.base),
          one * width - (width + 1.0)};
}

struct PressureCell {
  double left = 0.0, right = 0.0;  ///< edges [Pa]
  CrossGrid liquid, vapour;        ///< of all atlases
  std::size_t liquid_patches = 0, vapour_patches = 0;
};

using Atlas = std::vector<QuadPatch>;

/// All polynomials of one refrigerant.
struct TableData {
  double lowest_pressure = 0.0;
  double highest_pressure = 0.0;
  double highest_temperature = 0.0;
  double lowest_temperature = 0.0;  ///< of the liquid atlases
  std::int64_t first_part = 0;
  std::vector<PressurePart> parts;
  std::vector<PressureCell> cells;
  /// h of bubble liquid, h of dew vapour, scale/range of h in the liquid and the vapour atlas
  std::vector<QuadLine> enthalpy;
  /// T of bubble and dew point, scale/range of T in the liquid and the vapour atlas
  std::vector<QuadLine> temperature;
  /// v of bubble liquid and dew vapour, s of both
  std::vector<QuadLine> volume;
  // Over p and h or p and T, all with the same cells:
  Atlas liquid_ph, vapour_ph;            ///< T, rho, s, cp
  Atlas liquid_more, vapour_more;        ///< drho/dp|h, drho/dh|p, dT/dp|h, w over p and h
  Atlas liquid_density, vapour_density;  ///< T, rho, drho/dp|h, drho/dh|p over p and h
  Atlas liquid_pT, vapour_pT;            ///< h, rho, s, cp

  /// Calls visit(block, size in bytes) for the values of each member in a fixed order.
  template <class Visit>
  void each_block(Visit&& visit) const {
    each_block_of(*this, visit);
  }
  template <class Visit>
  void each_block(Visit&& visit) {
    each_block_of(*this, visit);
  }

  double ln_p_low = 0.0, inverse_T_low = 0.0, ln_slope = 0.0;  ///< ln p over 1/T, start for (T, q)

 private:
  template <class Self, class Visit>
  static void each_block_of(Self& self, Visit& visit) {
    for (auto* lines : {&self.enthalpy, &self.temperature, &self.volume}) {
      visit(lines->data(), lines->size() * sizeof(QuadLine));
    }
    for (auto* atlas :
         {&self.liquid_ph, &self.vapour_ph, &self.liquid_more, &self.vapour_more,
          &self.liquid_density, &self.vapour_density, &self.liquid_pT, &self.vapour_pT}) {
      visit(atlas->data(), atlas->size() * sizeof(QuadPatch));
    }
  }
};

/// The grid of a table, without polynomials. @error no_convergence
Result<std::unique_ptr<TableData>> empty_table(const Model& model);

/// Makes the table from the equation. @error no_convergence
Result<std::unique_ptr<TableData>> make_table(const Model& model);

/// Whether the polynomials of the first pressure cell, made afresh, agree with those of `data`, a
/// filled table on the grid of empty_table, bit for bit: so a table from a file cannot belong to
/// another equation, solver or fit.
bool begins_like(const Model& model, const TableData& data);

}  // namespace cw::fluid::detail
