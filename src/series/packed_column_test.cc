#include "series/packed_column.h"

#include <gtest/gtest.h>

#include <cstring>
#include <random>

#include "base/unit_text.h"
#include "series/recording.h"

namespace cw {
namespace {

/// Packs, unpacks and compares bit for bit; returns the packing.
Packing round_trip(const std::vector<float>& values, const char* quantity,
                   double barometric_pressure = 101325.0) {
  const PackedColumn packed = pack_column(values, *find_quantity(quantity), barometric_pressure);
  const std::string bytes =
      packed.packing == Packing::floats
          ? std::string(reinterpret_cast<const char*>(values.data()), values.size() * sizeof(float))
          : packed.bytes;
  const auto keeper = std::make_shared<std::string>(bytes);
  const Column column{unpack_later(packed, values.size(), *keeper, keeper)};
  EXPECT_TRUE(column == Column(values)) << quantity;
  return packed.packing;
}

std::vector<float> logged(const char* unit_text, double middle, double swing, double power,
                          double barometric_pressure = 101325.0) {
  const Unit unit = parse_unit(unit_text).value();
  std::mt19937 random(5);
  std::vector<float> out;
  for (int i = 0; i < 5000; ++i) {
    const double share = static_cast<double>(random() % 100000) / 100000.0;
    const double raw = std::round((middle + swing * share) * power) / power;
    const double offset = unit.to_si(0.0, barometric_pressure);
    out.push_back(random() % 50 == 0 ? missing : static_cast<float>(unit.scale * raw + offset));
  }
  return out;
}

TEST(PackedColumn, DecimalsOfUsualUnitsTakeTwoBytes) {
  EXPECT_EQ(round_trip(logged("degC", -20, 130, 10), "discharge_temperature"), Packing::counts);
  EXPECT_EQ(round_trip(logged("degF", -20, 230, 10), "discharge_temperature"), Packing::counts);
  EXPECT_EQ(round_trip(logged("degC", -20, 60, 100), "outdoor_temperature"), Packing::counts);
  EXPECT_EQ(round_trip(logged("kPa", 500, 3000, 1), "discharge_pressure"), Packing::counts);
  EXPECT_EQ(round_trip(logged("psi(g)", 60, 400, 10, 98200), "discharge_pressure", 98200),
            Packing::counts);
  EXPECT_EQ(round_trip(logged("%", 0, 100, 10), "valve_opening"), Packing::counts);
}

TEST(PackedColumn, FlagsTakeTwoBits) {
  std::vector<float> flags;
  for (int i = 0; i < 1001; ++i) flags.push_back(i % 7 == 0 ? missing : i % 3 == 0 ? 1.0F : 0.0F);
  EXPECT_EQ(round_trip(flags, "defrost"), Packing::bits);
  EXPECT_EQ(round_trip(std::vector<float>(17, missing), "defrost"), Packing::bits);
  EXPECT_EQ(round_trip({}, "defrost"), Packing::bits);
}

TEST(PackedColumn, WhatCannotBePackedStaysAsItIs) {
  std::mt19937 random(9);
  std::vector<float> noise;
  for (int i = 0; i < 500; ++i)
    noise.push_back(280.0F + static_cast<float>(random() % 1000000) * 1e-5F);
  EXPECT_EQ(round_trip(noise, "discharge_temperature"), Packing::floats);
  // One value that is no multiple of a step, in the middle of many that are.
  std::vector<float> odd = logged("degC", 20, 50, 10);
  odd[2501] = std::nextafterf(odd[2499], 1e9F);
  EXPECT_EQ(round_trip(odd, "discharge_temperature"), Packing::floats);
  // The bits of minus zero are not those of zero.
  EXPECT_EQ(round_trip({-0.0F, 1.0F, 0.0F}, "power"), Packing::floats);
}

TEST(PackedColumn, BytesOfTheWrongSizeAreRefused) {
  PackedColumn how;
  how.packing = Packing::counts;
  EXPECT_EQ(unpack_later(how, 4, "1234567", nullptr), nullptr);
  how.places = 9;
  EXPECT_EQ(unpack_later(how, 4, "12345678", nullptr), nullptr);
  how.places = 0;
  how.packing = static_cast<Packing>(77);
  EXPECT_EQ(unpack_later(how, 4, "12345678", nullptr), nullptr);
}

}  // namespace
}  // namespace cw
