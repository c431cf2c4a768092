#include "system/tube.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>

namespace {

using cw::find_tube;
using cw::Tube;
using ::testing::HasSubstr;

/// The project's table of copper tubes and liquid mass. B280 rows: ASTM B280 as printed by
/// engineeringtoolbox.com/copper-tube-astm-280-d_1084.html; 1-5/8, 2-1/8 and all EN 12735-1 rows
/// from memory. Bore volume and copper mass follow from the dimensions (copper 8940 kg/m3).
struct Expected {
  const char* name;
  double outside_mm, wall_mm, bore_mm, litre_per_m, copper_kg_per_m;
};
constexpr std::array expected = {
    Expected{"1/4", 6.35, 0.762, 4.826, 0.01829, 0.1196},
    Expected{"5/16", 7.938, 0.813, 6.312, 0.03129, 0.1627},
    Expected{"3/8", 9.525, 0.813, 7.899, 0.049, 0.1989},
    Expected{"3/8 drawn", 9.525, 0.762, 8.001, 0.05028, 0.1875},
    Expected{"1/2", 12.7, 0.813, 11.074, 0.09632, 0.2714},
    Expected{"1/2 drawn", 12.7, 0.889, 10.922, 0.09369, 0.2949},
    Expected{"5/8", 15.875, 0.889, 14.097, 0.15608, 0.3742},
    Expected{"5/8 drawn", 15.875, 1.016, 13.843, 0.1505, 0.424},
    Expected{"3/4", 19.05, 0.889, 17.272, 0.2343, 0.4534},
    Expected{"3/4 drawn", 19.05, 1.067, 16.916, 0.22474, 0.5389},
    Expected{"7/8", 22.225, 1.143, 19.939, 0.31225, 0.6768},
    Expected{"1-1/8", 28.575, 1.27, 26.035, 0.53236, 0.9739},
    Expected{"1-3/8", 34.925, 1.397, 32.131, 0.81085, 1.3155},
    Expected{"1-5/8", 41.275, 1.524, 38.227, 1.14771, 1.7015},
    Expected{"2-1/8", 53.975, 1.778, 50.419, 1.99654, 2.6065},
    Expected{"6x1", 6, 1, 4, 0.01257, 0.1404},
    Expected{"6.35x0.8", 6.35, 0.8, 4.75, 0.01772, 0.1247},
    Expected{"8x1", 8, 1, 6, 0.02827, 0.1966},
    Expected{"9.52x0.8", 9.52, 0.8, 7.92, 0.04927, 0.1959},
    Expected{"10x1", 10, 1, 8, 0.05027, 0.2528},
    Expected{"12x1", 12, 1, 10, 0.07854, 0.3089},
    Expected{"12.7x0.8", 12.7, 0.8, 11.1, 0.09677, 0.2674},
    Expected{"15x1", 15, 1, 13, 0.13273, 0.3932},
    Expected{"15.87x1.0", 15.87, 1.0, 13.87, 0.15109, 0.4176},
    Expected{"18x1", 18, 1, 16, 0.20106, 0.4775},
    Expected{"19.05x1.0", 19.05, 1.0, 17.05, 0.22832, 0.5069},
    Expected{"22x1", 22, 1, 20, 0.31416, 0.5898},
    Expected{"22.22x1.0", 22.22, 1.0, 20.22, 0.32111, 0.596},
    Expected{"28x1.5", 28, 1.5, 25.0, 0.49087, 1.1164},
    Expected{"28.57x1.0", 28.57, 1.0, 26.57, 0.55446, 0.7743},
    Expected{"35x1.5", 35, 1.5, 32.0, 0.80425, 1.4113},
};

TEST(Tube, EverySizeHasTheDimensionsOfTheTable) {
  ASSERT_EQ(cw::tube_table().size(), expected.size());
  for (const Expected& row : expected) {
    const auto found = find_tube(row.name);
    ASSERT_TRUE(found) << row.name;
    const Tube& tube = **found;
    EXPECT_EQ(tube.name, row.name);
    EXPECT_NEAR(tube.outside_diameter_m * 1e3, row.outside_mm, 1e-9) << row.name;
    EXPECT_NEAR(tube.wall_m * 1e3, row.wall_mm, 1e-9) << row.name;
    EXPECT_NEAR(tube.bore_m() * 1e3, row.bore_mm, 1e-9) << row.name;
    EXPECT_NEAR(tube.bore_area_m2() * 1e3, row.litre_per_m, 6e-6) << row.name;
    EXPECT_NEAR(tube.copper_kg_per_m, row.copper_kg_per_m, 1e-9) << row.name;
  }
}

TEST(Tube, CopperMassFollowsFromTheDimensions) {
  constexpr double copper_kg_per_m3 = 8940.0;  // pure copper at 20 degC
  for (const Tube& tube : cw::tube_table()) {
    const double metal_m2 =
        3.14159265358979 * tube.wall_m * (tube.outside_diameter_m - tube.wall_m);
    EXPECT_NEAR(tube.copper_kg_per_m, metal_m2 * copper_kg_per_m3, 0.002 * tube.copper_kg_per_m)
        << tube.name;
  }
}

TEST(Tube, NamesAreReadAsPeopleWriteThem) {
  const auto name = [](const char* text) {
    const auto found = find_tube(text);
    return found ? (*found)->name : "error: " + found.error().text();
  };
  EXPECT_EQ(name(" 3/8 in "), "3/8");
  EXPECT_EQ(name("3/8\""), "3/8");
  EXPECT_EQ(name("1 1/8"), "1-1/8");
  EXPECT_EQ(name("1-1/8 inch"), "1-1/8");
  EXPECT_EQ(name("3/8 Drawn"), "3/8 drawn");
  EXPECT_EQ(name("EN 9.52 x 0.8"), "9.52x0.8");
  EXPECT_EQ(name("9.52 mm"), "9.52x0.8");
  EXPECT_EQ(name("15.88"), "15.87x1.0");
  EXPECT_EQ(name("28"), "28x1.5");
  EXPECT_EQ(name("0.375 in"), "3/8");
  EXPECT_EQ(name("15.87x1"), "15.87x1.0");
}

TEST(Tube, UnknownSizesSuggestTheNearest) {
  const auto fix = [](const char* text) {
    const auto found = find_tube(text);
    return found ? "found " + (*found)->name : found.error().fix;
  };
  EXPECT_THAT(fix("7/16"), HasSubstr("\"3/8\""));
  EXPECT_THAT(fix("1-1/4"), HasSubstr("\"1-1/8\""));
  EXPECT_THAT(fix("13 mm"), HasSubstr("\"12.7x0.8\""));
  EXPECT_THAT(fix("12x3"), HasSubstr("\"12x1\""));
  EXPECT_THAT(fix("5"), HasSubstr("\"6x1\""));
  EXPECT_THAT(fix("large"), HasSubstr("outside diameter"));
  EXPECT_THAT(fix(""), HasSubstr("outside diameter"));
  for (const char* text : {"1e308", "1e308/1e-308", "-3/8", "0 mm", "nan", "inf"}) {
    EXPECT_THAT(fix(text), HasSubstr("outside diameter")) << text;
  }
  EXPECT_THAT(fix("1/0"), HasSubstr("outside diameter"));
}

}  // namespace
