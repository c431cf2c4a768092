#include "series/packed_column.h"

#include <array>
#include <bit>
#include <cmath>
#include <cstring>
#include <mutex>

#include "base/unit_text.h"
#include "series/recording.h"

namespace cw {
namespace {

constexpr std::int16_t no_count = -32768;
constexpr std::array powers = {1.0, 10.0, 100.0, 1000.0};

float value_of(std::int16_t count, double scale, double offset, double power) {
  return static_cast<float>(scale * (static_cast<double>(count) / power) + offset);
}

bool same_bits(float a, float b) {
  return std::bit_cast<std::uint32_t>(a) == std::bit_cast<std::uint32_t>(b);
}

/// Units in which loggers write; the first that fits is taken.
std::vector<Unit> usual_units(Dimension dimension) {
  std::vector<Unit> out;
  for (const char* text : {"degC", "degF", "K",    "kPa", "bar",   "psi", "Pa",  "MPa", "%",
                           "Hz",   "rpm",  "kW",   "W",   "Btu/h", "A",   "V",   "kWh", "kg/s",
                           "kg/h", "L/s",  "m3/h", "cfm", "m/s",   "s",   "min", "h"}) {
    const Result<Unit> unit = parse_unit(text);
    if (!unit) continue;
    if (const auto fitting = unit->as(dimension)) out.push_back(*fitting);
  }
  Unit plain;
  plain.dimension = dimension;
  out.push_back(plain);
  return out;
}

bool count_of(float value, double scale, double offset, double power, std::int16_t& count) {
  const double exact = (static_cast<double>(value) - offset) / scale * power;
  if (!(std::abs(exact) < 32767.0)) return false;
  count = static_cast<std::int16_t>(exact + (exact < 0.0 ? -0.5 : 0.5));
  return same_bits(value_of(count, scale, offset, power), value);
}

bool pack_counts(std::span<const float> values, PackedColumn& out) {
  const double power = powers[out.places];
  // A few values from all over refuse a wrong step before the whole column is walked.
  const std::size_t stride = std::max<std::size_t>(values.size() / 61, 1);
  std::int16_t count = 0;
  for (std::size_t i = 0; i < values.size(); i += stride) {
    if (!is_missing(values[i]) && !count_of(values[i], out.scale, out.offset, power, count)) {
      return false;
    }
  }
  std::string bytes(values.size() * sizeof(std::int16_t), '\0');
  for (std::size_t i = 0; i < values.size(); ++i) {
    count = no_count;
    if (!is_missing(values[i]) && !count_of(values[i], out.scale, out.offset, power, count)) {
      return false;
    }
    std::memcpy(bytes.data() + i * sizeof count, &count, sizeof count);
  }
  out.bytes = std::move(bytes);
  return true;
}

bool pack_bits(std::span<const float> values, PackedColumn& out) {
  std::string bytes(packed_size(Packing::bits, values.size()), '\0');
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (is_missing(values[i])) continue;
    const bool on = same_bits(values[i], 1.0F);
    if (!on && !same_bits(values[i], 0.0F)) return false;
    const unsigned two = on ? 3U : 1U;
    bytes[i / 4] = static_cast<char>(static_cast<unsigned char>(bytes[i / 4]) | two << i % 4 * 2);
  }
  out.packing = Packing::bits;
  out.bytes = std::move(bytes);
  return true;
}

/// Floats where they lie.
class MappedFloats final : public LazyValues {
 public:
  MappedFloats(const float* values, std::size_t rows, std::shared_ptr<const void> keeper)
      : values_(values), rows_(rows), keeper_(std::move(keeper)) {}
  std::size_t size() const noexcept override { return rows_; }
  const float* data() const override { return values_; }

 private:
  const float* values_;
  std::size_t rows_;
  std::shared_ptr<const void> keeper_;
};

class Unpacked final : public LazyValues {
 public:
  Unpacked(const PackedColumn& how, std::size_t rows, const char* bytes,
           std::shared_ptr<const void> keeper, std::function<void(std::string_view)> done)
      : packing_(how.packing),
        scale_(how.scale),
        offset_(how.offset),
        power_(powers[how.places]),
        rows_(rows),
        bytes_(bytes),
        keeper_(std::move(keeper)),
        done_(std::move(done)) {}
  std::size_t size() const noexcept override { return rows_; }
  const float* data() const override {
    std::call_once(once_, [this] {
      values_ = std::make_unique_for_overwrite<float[]>(rows_);
      if (packing_ == Packing::bits) {
        unpack_bits();
      } else {
        unpack_counts();
      }
      if (done_) done_({bytes_, packed_size(packing_, rows_)});
    });
    return values_.get();
  }

 private:
  void unpack_bits() const {
    for (std::size_t i = 0; i < rows_; ++i) {
      const unsigned two = static_cast<unsigned char>(bytes_[i / 4]) >> i % 4 * 2 & 3U;
      values_[i] = two == 0 ? missing : two == 3 ? 1.0F : 0.0F;
    }
  }
  void unpack_counts() const {
    float* const out = values_.get();
    for (std::size_t i = 0; i < rows_; ++i) {
      std::int16_t count = 0;
      std::memcpy(&count, bytes_ + i * sizeof count, sizeof count);
      const float value = value_of(count, scale_, offset_, power_);
      out[i] = count == no_count ? missing : value;
    }
  }

  Packing packing_;
  double scale_, offset_, power_;
  std::size_t rows_;
  const char* bytes_;
  std::shared_ptr<const void> keeper_;
  std::function<void(std::string_view)> done_;
  mutable std::once_flag once_;
  mutable std::unique_ptr<float[]> values_;
};

}  // namespace

std::size_t packed_size(Packing packing, std::size_t rows) noexcept {
  switch (packing) {
    case Packing::floats:
      return rows * sizeof(float);
    case Packing::bits:
      return (rows + 3) / 4;
    case Packing::counts:
      return rows * sizeof(std::int16_t);
  }
  return 0;
}

PackedColumn pack_column(std::span<const float> values, const Quantity& quantity,
                         double barometric_pressure) {
  PackedColumn out;
  if (pack_bits(values, out)) return out;
  for (const Unit& unit : usual_units(quantity.dimension)) {
    for (const bool gauge : {false, true}) {
      if (gauge && quantity.dimension != Dimension::pressure) continue;
      for (std::uint32_t places = 0; places < powers.size(); ++places) {
        out.scale = unit.scale;
        out.offset = unit.offset + (gauge ? barometric_pressure : 0.0);
        out.places = places;
        if (!pack_counts(values, out)) continue;
        out.packing = Packing::counts;
        return out;
      }
    }
  }
  return {};
}

std::shared_ptr<const LazyValues> unpack_later(const PackedColumn& how, std::size_t rows,
                                               std::string_view bytes,
                                               std::shared_ptr<const void> keeper,
                                               std::function<void(std::string_view)> done) {
  if (bytes.size() != packed_size(how.packing, rows) || how.places >= powers.size()) return nullptr;
  switch (how.packing) {
    case Packing::floats:
      return std::make_shared<MappedFloats>(reinterpret_cast<const float*>(bytes.data()), rows,
                                            std::move(keeper));
    case Packing::bits:
    case Packing::counts:
      return std::make_shared<Unpacked>(how, rows, bytes.data(), std::move(keeper),
                                        std::move(done));
  }
  return nullptr;
}

}  // namespace cw
