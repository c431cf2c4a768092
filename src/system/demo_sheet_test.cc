#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "base/file.h"
#include "system/piping.h"
#include "system/sheet.h"

namespace {

using namespace cw;

System sheet(const std::string& name) {
  auto system = read_system(std::string(CW_SOURCE_ROOT) + "/data/systems/" + name);
  EXPECT_TRUE(system) << (system ? "" : system.error().text());
  return std::move(system).value();
}

/// Litres per metre and saturated R-410A liquid at 40 degC [kg/m], from the project's table of
/// copper tubes (see tube_test.cc).
TEST(DemoSheet, VolumesAndKilogramsByHand) {
  const System system = sheet("demo_office.toml");
  // Liquid lines
  //   5/8   riser 14                                                       = 14 m x 0.15608
  //   = 2.18512 L 1/2   modules 3 + 2, riser 5                                         = 10 m x
  //   0.09632 = 0.96320 L 3/8   riser 6; third floor 8 + 5 + 6 + 4 + 7; second 7 + 5 + 6;
  //         first 9 + 6 + 5 + 8 + 5: 6 + 30 + 18 + 33                      = 87 m x 0.04900
  //         = 4.26300 L
  //   1/4   third 4 + 9; second 6 + 5 + 5 + 8; first 4 + 7: 13 + 24 + 11   = 48 m x 0.01829 =
  //   0.87792 L
  //                                                                         159
  //                                                                         m            8.28924 L
  // Gas lines
  //   1-1/8 modules 3 + 2, riser 14 + 5                                    = 24 m x 0.53236
  //   = 12.77664 L 7/8   riser 6, third 8, first 9                                      = 23 m x
  //   0.31225 =  7.18175 L 3/4   third 6, second 7, first 5                                     =
  //   18 m x 0.23430 =  4.21740 L 5/8   third 5 + 4 + 7; second 5 + 6; first 6 + 8 + 5: 16 + 11 +
  //   19   = 46 m x 0.15608 =  7.17968 L 1/2   third 4 + 9; second 6 + 5 + 5 + 8; first 4 + 7 = 48
  //   m x 0.09632 =  4.62336 L
  //                                                                         159
  //                                                                         m           35.97883 L
  const LineVolumes volumes = line_volumes(system);
  // The table is rounded to 1e-5 L/m: 159 m may differ by 8e-4 L.
  EXPECT_NEAR(volumes.liquid_m3 * 1e3, 8.28924, 1e-3);
  EXPECT_NEAR(volumes.gas_m3 * 1e3, 35.97883, 1e-3);
  EXPECT_EQ(volumes.third_m3, 0.0);
  // Coils 12 + 12 outdoors; indoors 1.3 + 1.3 + 1.0 + 0.6 + 1.0 + 1.0 + 1.0 + 0.5 + 1.6 + 1.0 + 1.3
  // + 0.4 = 12.0; accumulators 7 + 7: in all 44.26807 + 24 + 12 + 14 = 94.26807 L.
  EXPECT_NEAR(internal_volume(system).total_m3() * 1e3, 94.26807, 2e-3);
  // 14 x 0.1523 + 10 x 0.0940 + 87 x 0.0478 + 48 x 0.0178 = 8.0852 kg, the table rounded to 1e-4
  // kg/m; by 975.7 kg/m3 at 40 degC, 8.28924 L are 8.0878 kg.
  const auto mass = liquid_mass(system, from_celsius(40.0));
  ASSERT_TRUE(mass);
  EXPECT_NEAR(mass->density_kg_per_m3, 975.7, 0.5);
  EXPECT_NEAR(mass->total_kg, 8.0878, 0.005);
  EXPECT_NEAR(mass->total_kg, 8.0852, 0.01);
}

TEST(DemoSheet, LengthsAndHeightsByHand) {
  const System system = sheet("demo_office.toml");
  const PipeLengths lengths = pipe_lengths(system);
  EXPECT_NEAR(lengths.total_m, 159.0, 1e-9);
  // outdoor.1 to indoor.12: 3 + 14 + 5 + 6 + 9 + 5 + 8 + 7 = 57 m, 4.5 + 3.6 + 4.2 + 0.5 m down.
  EXPECT_NEAR(lengths.longest_path_m, 57.0, 1e-9);
  EXPECT_EQ(system.indoor()[lengths.longest_unit].id, "indoor.12");
  EXPECT_NEAR(lengths.deepest_drop_m, 12.8, 1e-9);
  EXPECT_EQ(lengths.highest_lift_m, 0.0);
  EXPECT_NEAR(lengths.between_units_m, 12.8 - 4.5, 1e-9);
  const UnitPath path = unit_paths(system)[11];
  EXPECT_EQ(system.outdoor()[path.outdoor].id, "outdoor.1");
  EXPECT_NEAR(path.lift_m, -12.8, 1e-9);
  // Six elbows at 20 bores and one tee at 20: 3 m with two in 1-1/8, 14 m with four and the tee.
  EXPECT_NEAR(path.equivalent_gas_m, 57.0 + 7 * 20 * 0.026035, 1e-9);
  EXPECT_NEAR(path.equivalent_liquid_m, 57.0 + 2 * 20 * 0.011074 + 5 * 20 * 0.014097, 1e-9);
}

TEST(DemoSheet, AssumesLittleAndWarnsOfNothing) {
  const System system = sheet("demo_office.toml");
  for (const SheetWarning& warning : system.warnings()) {
    ADD_FAILURE() << warning.where << ": " << warning.message;
  }
  // The wall of soft tube and the bores of elbows and tees.
  EXPECT_EQ(system.assumptions().size(), 3U);
  EXPECT_EQ(system.outdoor().size(), 2U);
  EXPECT_EQ(system.indoor().size(), 12U);
  EXPECT_EQ(system.rooms()[system.indoor()[0].room].name, "Open-plan office");
  EXPECT_EQ(system.indoor()[0].room, system.indoor()[1].room);
  EXPECT_EQ(system.rooms()[0].connected, std::vector<std::size_t>{1});
  EXPECT_NEAR(system.charge().factory_kg, 18.0, 1e-12);
  EXPECT_NEAR(system.charge().total_kg(), 27.7, 1e-12);
  EXPECT_EQ(system.nodes()[system.root()].id, "joint.modules");
}

TEST(MinimalSheet, IsTenLinesAndWhole) {
  const std::string text =
      read_file(std::string(CW_SOURCE_ROOT) + "/data/systems/minimal.toml").value();
  EXPECT_LE(std::count(text.begin(), text.end(), '\n'), 10);
  const System system = sheet("minimal.toml");
  // Pipes serve 28, 22.4, 16.8, 11.2 and (five) 5.6 kW: 30 m of 3/8 and 7/8, 4 + 4 m of 3/8 and
  // 3/4, 4 m of 3/8 and 5/8, 5 x 8 m of 1/4 and 1/2.
  //   liquid 42 m x 0.04900 + 40 m x 0.01829                                  =  2.78960 L
  //   gas    30 x 0.31225 + 8 x 0.23430 + 4 x 0.15608 + 40 x 0.09632          = 15.71902 L
  const LineVolumes volumes = line_volumes(system);
  EXPECT_NEAR(volumes.liquid_m3 * 1e3, 2.78960, 5e-4);
  EXPECT_NEAR(volumes.gas_m3 * 1e3, 15.71902, 5e-4);
  // 2.7896 L x 975.7 kg/m3 = 2.7218 kg, which is also what is taken as added; as shipped 28 x 0.30.
  EXPECT_NEAR(liquid_mass(system, from_celsius(40.0)).value().total_kg, 2.7218, 0.003);
  EXPECT_NEAR(system.charge().added_kg(), 2.7218, 0.003);
  EXPECT_NEAR(system.charge().factory_kg, 8.4, 1e-9);
  EXPECT_TRUE(system.is_assumed("charge", "added"));
  EXPECT_TRUE(system.is_assumed("outdoor.1", "charge"));
  EXPECT_TRUE(system.is_assumed("indoor.5", "coil_volume"));
  EXPECT_TRUE(system.is_assumed("room.of-indoor.5", "height"));
  EXPECT_TRUE(system.is_assumed("pipes", "rise"));
  EXPECT_TRUE(system.is_assumed("pipes", "fittings"));
  EXPECT_FALSE(system.is_assumed("outdoor.1", "cooling"));
  for (const Assumption& each : system.assumptions()) {
    EXPECT_FALSE(each.reason.empty()) << each.place << " " << each.key;
    EXPECT_FALSE(each.source.empty()) << each.place << " " << each.key;
  }
  for (const SheetWarning& warning : system.warnings()) {
    ADD_FAILURE() << warning.where << ": " << warning.message;
  }
}

/// The displacement that is taken gives back the rated cooling.
TEST(MinimalSheet, DisplacementGivesTheRatedCooling) {
  const OutdoorModule module = sheet("minimal.toml").outdoor().front();
  // R-410A, saturated vapour at 5 degC 35.9 kg/m3 and 423 kJ/kg, liquid at 50 degC 287 kJ/kg: near
  // 4.9 MJ/m3. 28 kW / 4.9 MJ/m3 / 0.92 = 6.2 L/s; at 82.5 rev/s 75 mL.
  EXPECT_NEAR(module.displacement_m3 * 1e6, 75.0, 3.0);
}

}  // namespace
