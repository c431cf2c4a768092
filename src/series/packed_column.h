#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "series/column.h"
#include "series/quantity.h"

namespace cw {

/// How a column's values lie in a stored recording.
enum class Packing : std::uint32_t {
  floats = 0,  ///< as they are
  bits = 1,    ///< two bits a row: is there a reading, is it 1
  counts = 2,  ///< 16-bit multiples of a decimal step of some unit
};

/// A packed column. Unpacking gives every value back to the bit (all missing ones alike).
struct PackedColumn {
  Packing packing = Packing::floats;
  /// Packing::counts: a value is float(scale * (count / 10^places) + offset), in double: what
  /// reading a file's decimal in a unit computes.
  double scale = 1.0;
  double offset = 0.0;
  std::uint32_t places = 0;
  std::string bytes;  ///< empty for Packing::floats: the values themselves are stored
};

/// Packs as small as loses nothing. Counts are tried in the units in which a quantity is logged,
/// with up to three decimals, and taken only where every value comes back bit for bit. (32-bit
/// counts would be no smaller than the floats.)
/// @param barometric_pressure  what gauge readings were made absolute with [Pa]
PackedColumn pack_column(std::span<const float> values, const Quantity& quantity,
                         double barometric_pressure);

/// A column that unpacks when it is first looked at; floats are not even copied.
/// @param bytes   stay where they are as long as `keeper` lives; floats aligned to 4 bytes
/// @param done    may be empty; told the bytes when they are unpacked and not needed again
/// @returns  null when `bytes` is not of the right size for `rows`
std::shared_ptr<const LazyValues> unpack_later(const PackedColumn& how, std::size_t rows,
                                               std::string_view bytes,
                                               std::shared_ptr<const void> keeper,
                                               std::function<void(std::string_view)> done = {});

/// Bytes that a packing needs for so many rows.
std::size_t packed_size(Packing packing, std::size_t rows) noexcept;

}  // namespace cw
