#include "system/sheet.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "system/piping.h"

namespace {

using namespace cw;
using ::testing::HasSubstr;

/// A one-to-one system with `outdoor` and `pipe` put into their tables.
System one(const std::string& outdoor, const std::string& pipe, const std::string& rest = "") {
  auto system = parse_system("refrigerant = \"R-410A\"\n[[outdoor]]\n" + outdoor +
                                 "\n[[indoor]]\ncooling = \"14 kW\"\n[[pipe]]\nfrom = "
                                 "\"outdoor.1\"\nto = \"indoor.1\"\n" +
                                 pipe + "\n" + rest,
                             "s.toml");
  EXPECT_TRUE(system) << (system ? "" : system.error().text());
  return std::move(system).value();
}

bool warns(const System& system, std::string_view part) {
  for (const SheetWarning& warning : system.warnings()) {
    if (warning.message.find(part) != std::string::npos) return true;
  }
  return false;
}

TEST(Sheet, UnitsAreReadAsWritten) {
  const System system = one("cooling = \"48000 Btu/h\"\nheating = \"54 kBtu/h\"",
                            "length = \"40 ft\"\nrise = \"-10 ft\"");
  EXPECT_NEAR(system.outdoor()[0].cooling_W, 48000 * 0.29307107, 0.1);
  EXPECT_NEAR(system.outdoor()[0].heating_W, 54000 * 0.29307107, 0.1);
  EXPECT_NEAR(system.segments()[0].length_m, 12.192, 1e-9);
  EXPECT_NEAR(unit_paths(system)[0].lift_m, -3.048, 1e-9);
}

TEST(Sheet, HeatingAloneGivesCooling) {
  const System system = one("heating = \"16 kW\"", "length = \"10 m\"");
  EXPECT_NEAR(system.outdoor()[0].cooling_W, 16e3 / 1.12, 1e-6);
  EXPECT_TRUE(system.is_assumed("outdoor.1", "cooling"));
  EXPECT_FALSE(system.is_assumed("outdoor.1", "heating"));
}

TEST(Sheet, UnusualFiguresAreWarnedOf) {
  EXPECT_TRUE(warns(one("cooling = \"14 kW\"", "length = \"200 m\""), "length = 200 m is unusual"));
  EXPECT_TRUE(warns(one("cooling = \"14 kW\"", "length = \"200 m\""), "the way to it is 200"));
  EXPECT_TRUE(warns(one("cooling = \"40 kW\"", "length = \"9 m\""), "35 % of the rated cooling"));
  EXPECT_TRUE(warns(one("cooling = \"14 kW\"\ncoil = { volume = \"25 L\" }", "length = \"9 m\""),
                    "times what the rated capacity suggests"));
  EXPECT_TRUE(warns(one("cooling = \"14 kW\"", "length = \"9 m\"\ngas = \"3/8\""),
                    "gas and liquid line have the same size"));
  EXPECT_TRUE(warns(one("cooling = \"14 kW\"", "length = \"9 m\"\ngas = \"1/2\""), "moves at"));
  EXPECT_TRUE(warns(one("cooling = \"14 kW\"", "length = \"9 m\"\ngas = \"1-5/8\""), "moves at"));
  EXPECT_TRUE(warns(one("cooling = \"14 kW\"", "length = \"9 m\"", "[site]\nzone = \"Moon/Base\""),
                    "time zone"));
  EXPECT_TRUE(one("cooling = \"14 kW\"", "length = \"9 m\"").warnings().empty());
}

TEST(Sheet, FactoryChargeIsSharedByCapacity) {
  const auto system = parse_system(R"(refrigerant = "R-32"
[[outdoor]]
cooling = "20 kW"
[[outdoor]]
cooling = "40 kW"
[[indoor]]
count = 6
cooling = "10 kW"
[piping]
main = "20 m"
branch = "5 m"
[charge]
factory = "15 kg"
added = [{ mass = "6 kg" }, { mass = "1.5 kg", date = 2025-02-01, note = "after the repair" }]
recovered = [{ mass = "2 kg", date = 2025-01-30 }]
)",
                                   "s.toml");
  ASSERT_TRUE(system) << system.error().text();
  EXPECT_NEAR(system->outdoor()[0].factory_charge_kg, 5.0, 1e-12);
  EXPECT_NEAR(system->outdoor()[1].factory_charge_kg, 10.0, 1e-12);
  EXPECT_NEAR(system->charge().total_kg(), 15.0 + 6.0 + 1.5 - 2.0, 1e-12);
  EXPECT_EQ(system->charge().movements[1].date->month, 2);
  // Two modules, a trunk of five joints: 2 + 1 + 4 pipes of the trunk, 6 to the units.
  EXPECT_EQ(system->segments().size(), 13U);
  EXPECT_TRUE(system->is_assumed("piping", "between"));
  EXPECT_TRUE(system->is_assumed("piping", "modules"));
  // Three pipes lie before the first joint; the module's own serves the module.
  EXPECT_NEAR(system->segments()[0].cooling_behind_W, 20e3, 1e-9);
  EXPECT_NEAR(system->segments()[2].cooling_behind_W, 60e3, 1e-9);
}

TEST(Sheet, RoomsTakeVolumeFromWhatIsKnown) {
  const auto system = parse_system(R"(refrigerant = "R-32"
[[outdoor]]
cooling = "20 kW"
[[room]]
id = "hall"
name = "Hall"
volume = "300 m3"
floor_area = "75 m2"
institutional = true
[[room]]
id = "corridor"
floor_area = "12 m2"
connected = ["hall"]
[[indoor]]
count = 2
cooling = "5 kW"
room = "hall"
[[indoor]]
cooling = "5 kW"
[piping]
main = "20 m"
branch = "5 m"
)",
                                   "s.toml");
  ASSERT_TRUE(system) << system.error().text();
  const std::vector<Room>& rooms = system->rooms();
  ASSERT_EQ(rooms.size(), 3U);
  EXPECT_NEAR(rooms[0].height_m, 4.0, 1e-12);
  EXPECT_TRUE(rooms[0].institutional);
  EXPECT_FALSE(rooms[0].volume_assumed);
  EXPECT_EQ(rooms[0].connected, std::vector<std::size_t>{1});
  EXPECT_NEAR(rooms[1].volume_m3, 12 * 2.7, 1e-12);
  EXPECT_TRUE(rooms[1].volume_assumed);  // its height is
  EXPECT_EQ(rooms[2].id, "room.of-indoor.3");
  EXPECT_NEAR(rooms[2].floor_area_m2, 41.5, 1e-9);
  EXPECT_TRUE(rooms[2].volume_assumed);
}

TEST(Sheet, LiquidDensityHasItsRange) {
  const System system = one("cooling = \"14 kW\"", "length = \"10 m\"");
  const auto liquid = liquid_mass(system, from_celsius(35.0));
  ASSERT_TRUE(liquid);
  EXPECT_NEAR(liquid->density_kg_per_m3, 1005.5, 0.5);
  EXPECT_NEAR(liquid->total_kg, 10.0 * 0.0493, 0.001);  // 3/8 in
  EXPECT_FALSE(liquid_mass(system, from_celsius(150.0)));
}

TEST(Sheet, TubeUsesAddUp) {
  const System system = one("cooling = \"14 kW\"", "length = \"10 m\"");
  const auto uses = tube_uses(system);
  ASSERT_EQ(uses.size(), 2U);
  EXPECT_EQ(uses[0].tube->name, "3/8");
  EXPECT_NEAR(uses[0].copper_kg, 1.989, 1e-9);
  EXPECT_EQ(uses[1].tube->name, "5/8");
  EXPECT_NEAR(uses[1].volume_m3 * 1e3, 1.5608, 1e-4);
}

TEST(Sheet, CopiesShareOneSystem) {
  const System a = one("cooling = \"14 kW\"", "length = \"10 m\"");
  const System b = a;  // NOLINT(performance-unnecessary-copy-initialization)
  EXPECT_EQ(&a.nodes(), &b.nodes());
  EXPECT_THAT(a.text(), HasSubstr("[[outdoor]]"));
  EXPECT_EQ(a.file(), "s.toml");
}

}  // namespace
