// Forms of files that are read only where they can be nothing else: beside each stands what looks
// like it and is not. All files are invented.
#include <gmock/gmock.h>

#include "ingest/test_support.h"

namespace cw {
namespace {

using testing::count_of;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using testing::import_text;
using testing::map_of;
using testing::other_counts;
using testing::values_of;

constexpr const char* outdoor = "site.outdoor_temperature [degC]";

/// A long table "Time;Point;Value;..." of one point, mapped to a channel in a unit.
Result<Import> import_long(const std::string& channel, const std::string& unit,
                           const std::string& text) {
  ImportOptions options;
  options.maps.push_back(map_of("[shape]\nname = \"Point\"\nvalue = \"Value\"\n[[column]]\n"
                                "header = \"P\"\nchannel = \"" +
                                channel + "\"\n" + unit));
  return import_text(text, options);
}

TEST(LongUnits, StandApartFromTheNumber) {
  const std::string head = "Time;Point;Value;Unit\n2026-01-14 06:00;P;";
  const auto of = [&](const char* channel, const char* unit, const char* row) {
    const auto import =
        import_long(channel, "unit = \"" + std::string(unit) + "\"\n",
                    head + row + "\n2026-01-14 06:01;P;" + row + "\n");
    const std::string name = channel;
    const std::size_t dot = name.rfind('.');
    const auto values = values_of(import, name.substr(0, dot), name.substr(dot + 1));
    return values.empty() ? -1.0F : values.front();
  };
  const char* pressure = "outdoor.1.suction_pressure";
  // Units that end in a digit or hold one: known, or unknown and the same in all rows.
  EXPECT_FLOAT_EQ(of(pressure, "bar(a)", "8.5;kp/c2"), 850000.0F);
  EXPECT_FLOAT_EQ(of(pressure, "kg/cm2(a)", "2;kg/cm2"), 196133.0F);  // ISO 80000-4: at = 98 066.5 Pa
  EXPECT_FLOAT_EQ(of(pressure, "bar(a)", "8.5;bara"), 850000.0F);
  EXPECT_FLOAT_EQ(of("site.outdoor_humidity", "%", "45%;%"), 0.45F);
  EXPECT_FLOAT_EQ(of("outdoor.1.fan_step", "1", "5;steps"), 5.0F);
  EXPECT_FLOAT_EQ(of("outdoor.1.fan_step", "1", "5;%"), 5.0F);
}

TEST(LongUnits, OfADifferenceHaveNoOffset) {
  const auto import = import_long(
      "outdoor.1.suction_superheat", "unit = \"K\"\n",
      "Time;Point;Value;Unit\n2026-01-14 06:00;P;5;\xC2\xB0"
      "C\n2026-01-14 06:01;P;9;\xC2\xB0" "F\n");
  EXPECT_THAT(values_of(import, "outdoor.1", "suction_superheat"), ElementsAre(5.0F, 5.0F));
}

TEST(LongUnits, AnotherUnknownOneIsRefused) {
  const auto import = import_long("site.outdoor_temperature", "unit = \"degC\"\n",
                                  "Time;Point;Value;Unit\n2026-01-14 06:00;P;5;degC\n"
                                  "2026-01-14 06:01;P;5;degC\n2026-01-14 06:02;P;5;degC\n"
                                  "2026-01-14 06:03;P;5;degC\n2026-01-14 06:04;P;5;degC\n"
                                  "2026-01-14 06:05;P;5;degC\n2026-01-14 06:06;P;5;degC\n"
                                  "2026-01-14 06:07;P;5;degC\n2026-01-14 06:08;P;5;degC\n"
                                  "2026-01-14 06:09;P;5;degX\n");
  EXPECT_EQ(count_of(import, Counter::bad_cell), 1U);
}

TEST(LongUnits, NamesOfMachinesAndZonesAreNone) {
  for (const char* header : {"Indoor unit", "Unit"}) {
    const auto import = import_long("site.outdoor_temperature", "unit = \"degC\"\n",
                                    std::string("Time;Point;Value;") + header +
                                        "\n2026-01-14 06:00;P;5;D\n2026-01-14 06:01;P;5;F\n"
                                        "2026-01-14 06:02;P;5;C\n2026-01-14 06:03;P;5;E\n");
    EXPECT_THAT(values_of(import, "site", "outdoor_temperature"),
                ElementsAre(278.15F, 278.15F, 278.15F, 278.15F))
        << header;
  }
}

TEST(CellUnits, AreTurnedAsTheQuantityIsMeasured) {
  const auto first = [](const std::string& column, const std::string& cell,
                        const std::string& map = {}) {
    ImportOptions options;
    if (!map.empty()) options.maps.push_back(map_of(map));
    const auto import = import_text("time;" + column + "\n2026-01-14 06:00;" + cell +
                                        "\n2026-01-14 06:01;" + cell + "\n",
                                    options);
    if (!import || import->recording.channels.empty()) return -1.0F;
    const float value = import->recording.channels.front().values.front();
    return is_missing(value) ? -2.0F : value;
  };
  const std::string p = "outdoor.1.suction_pressure ";
  EXPECT_FLOAT_EQ(first(p + "[bar(a)]", "8.5 bar(a)"), 850000.0F);
  EXPECT_EQ(first(p + "[bar(a)]", "8.5 bar(g)"), -2.0F);
  EXPECT_EQ(first(p + "[bar(g)]", "8.5 bar(a)"), -2.0F);
  const char* map =
      "[[column]]\nheader = \"Low\"\nchannel = \"outdoor.1.suction_pressure\"\nunit = \"psi(a)\"\n";
  EXPECT_NEAR(first("Low", "120 psia", map), 120.0 * 6894.757, 1.0);  // NIST SP 811: psi
  EXPECT_FLOAT_EQ(first("outdoor.1.suction_superheat [degC]", "9.0 \xC2\xB0" "F"), 5.0F);
  EXPECT_LT(first("outdoor.1.fan_step", "45%"), 0.0F);
}

}  // namespace
}  // namespace cw
