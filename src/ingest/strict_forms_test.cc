// Forms of files that are read only where they can be nothing else: beside each stands what looks
// like it and is not. All files are invented.
#include <gmock/gmock.h>

#include <cmath>

#include "ingest/delimited/mail_text.h"
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

/// Celsius of the outdoor temperature; -999: missing.
std::vector<int> celsius(const Result<Import>& import) {
  std::vector<int> out;
  for (const float value : values_of(import, "site", "outdoor_temperature")) {
    out.push_back(is_missing(value) ? -999 : static_cast<int>(std::lround(value - 273.15F)));
  }
  return out;
}

constexpr const char* outdoor = "site.outdoor_temperature [degC]";

/// A long table "Time;Point;Value;..." of one point, mapped to a channel in a unit.
Result<Import> import_long(const std::string& channel, const std::string& unit,
                           const std::string& text) {
  ImportOptions options;
  options.maps.push_back(
      map_of("[shape]\nname = \"Point\"\nvalue = \"Value\"\n[[column]]\n"
             "header = \"P\"\nchannel = \"" +
             channel + "\"\n" + unit));
  return import_text(text, options);
}

TEST(LongUnits, StandApartFromTheNumber) {
  const std::string head = "Time;Point;Value;Unit\n2026-01-14 06:00;P;";
  const auto of = [&](const char* channel, const char* unit, const char* row) {
    const auto import = import_long(channel, "unit = \"" + std::string(unit) + "\"\n",
                                    head + row + "\n2026-01-14 06:01;P;" + row + "\n");
    const std::string name = channel;
    const std::size_t dot = name.rfind('.');
    const auto values = values_of(import, name.substr(0, dot), name.substr(dot + 1));
    return values.empty() ? -1.0F : values.front();
  };
  const char* pressure = "outdoor.1.suction_pressure";
  // Units that end in a digit or hold one: known, or unknown and the same in all rows.
  EXPECT_FLOAT_EQ(of(pressure, "bar(a)", "8.5;kp/c2"), 850000.0F);
  EXPECT_FLOAT_EQ(of(pressure, "kg/cm2(a)", "2;kg/cm2"),
                  196133.0F);  // ISO 80000-4: at = 98 066.5 Pa
  EXPECT_FLOAT_EQ(of(pressure, "bar(a)", "8.5;bara"), 850000.0F);
  EXPECT_FLOAT_EQ(of("site.outdoor_humidity", "%", "45%;%"), 0.45F);
  EXPECT_FLOAT_EQ(of("outdoor.1.fan_step", "1", "5;steps"), 5.0F);
  EXPECT_FLOAT_EQ(of("outdoor.1.fan_step", "1", "5;%"), 5.0F);
}

TEST(LongUnits, OfADifferenceHaveNoOffset) {
  const auto import = import_long("outdoor.1.suction_superheat", "unit = \"K\"\n",
                                  "Time;Point;Value;Unit\n2026-01-14 06:00;P;5;\xC2\xB0"
                                  "C\n2026-01-14 06:01;P;9;\xC2\xB0"
                                  "F\n");
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
    const auto import = import_text(
        "time;" + column + "\n2026-01-14 06:00;" + cell + "\n2026-01-14 06:01;" + cell + "\n",
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
  EXPECT_FLOAT_EQ(first("outdoor.1.suction_superheat [degC]",
                        "9.0 \xC2\xB0"
                        "F"),
                  5.0F);
  EXPECT_LT(first("outdoor.1.fan_step", "45%"), 0.0F);
}

TEST(OpenQuotes, TakeNoRowIn) {
  const auto import = import_text(std::string("time,") + outdoor +
                                  ",Note\n2026-01-14 06:00,1,start\n2026-01-14 06:01,2,\"\n"
                                  "2026-01-14 06:02,3,\"\n2026-01-14 06:03,4,\"\n");
  EXPECT_THAT(celsius(import), ElementsAre(1, 2, 3, 4));
  EXPECT_EQ(other_counts(import, {Counter::unknown_column}), 0U);
}

TEST(CommasOfTwoKinds, AreNoneWhereTheHeaderHasAsManyCells) {
  const auto import = import_text(std::string("time,") + outdoor +
                                  ",outdoor.1.fan_step,,\n2026-01-14 06:00,5,3,0,1\n"
                                  "2026-01-14 06:01,5,3,0,1\n2026-01-14 06:02,5,3,0,1\n");
  EXPECT_THAT(celsius(import), ElementsAre(5, 5, 5));
}

TEST(Clock, AnHourCounterIsNone) {
  const auto import = import_text(
      "Time;site.outdoor_temperature;Betriebsstunden\nhh:mm;\xC2\xB0"
      "C;h\n06:00;5;1000\n06:05;6;1001\n06:10;7;1002\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  ASSERT_EQ(import->recording.time.size(), 3U);
  EXPECT_EQ(import->recording.time[1].ms - import->recording.time[0].ms, 300000);
}

TEST(Clock, SpansSpelledWithHAreNone) {
  const auto import = import_text(std::string("Duree;Heure;") + outdoor +
                                  "\n00h05;06h00;5\n00h07;06h10;6\n00h09;06h20;7\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  ASSERT_EQ(import->recording.time.size(), 3U);
  EXPECT_EQ(import->recording.time[1].ms - import->recording.time[0].ms, 600000);
  EXPECT_FALSE(import_text(std::string("Duree;") + outdoor + "\n00h05;5\n00h07;6\n").has_value());
}

TEST(DayLines, AreRefused) {
  for (const char* date : {"", "Avg;5\n"}) {
    const auto import = import_text(std::string("Time;") + outdoor + "\n14.01.2026\n06:00;1\n" +
                                    "07:00;2\n" + date + "15.01.2026\n06:00;3\n07:00;4\n");
    EXPECT_FALSE(import.has_value()) << date;
  }
}

TEST(Quality, BelongsToTheNearestReadingsOfItsName) {
  const std::string t = outdoor;
  // In front of its value, or one for many: nothing is set aside, and that is said.
  const auto said = [](const Result<Import>& import) {
    return import.has_value() &&
           std::any_of(import->assumptions.begin(), import->assumptions.end(),
                       [](const auto& text) { return text.find("not applied") != text.npos; });
  };
  const auto in_front =
      import_text("time,Quality," + t +
                  ",Quality,outdoor.1.fan_step\n2026-01-14 06:00,GOOD,1,GOOD,"
                  "5\n2026-01-14 06:01,GOOD,2,BAD,5\n2026-01-14 06:02,GOOD,3,GOOD,5\n");
  EXPECT_THAT(celsius(in_front), ElementsAre(1, 2, 3));
  EXPECT_TRUE(said(in_front));
  const auto of_row = import_text("time," + t +
                                  ",outdoor.1.fan_step,Quality\n2026-01-14 06:00,1,5,"
                                  "GOOD\n2026-01-14 06:01,2,5,BAD\n");
  EXPECT_THAT(celsius(of_row), ElementsAre(1, 2));
  EXPECT_TRUE(said(of_row));
  const auto behind = import_text("time," + t +
                                  ",Quality,outdoor.1.fan_step,Quality\n2026-01-14 06:00,1,GOOD,5,"
                                  "GOOD\n2026-01-14 06:01,2,BAD,5,GOOD\n");
  EXPECT_THAT(celsius(behind), ElementsAre(1, -999));
  EXPECT_FALSE(said(behind));
}

TEST(Quality, OfALongTableWithChannelNamesIsApplied) {
  const std::string row = std::string(";") + outdoor + ";";
  const auto import =
      import_text("time;name;value;quality\n2026-01-14 06:00" + row + "1;GOOD\n2026-01-14 06:01" +
                  row + "2;BAD\n2026-01-14 06:02" + row + "3;\n");
  EXPECT_THAT(celsius(import), ElementsAre(1, -999, 3));
  EXPECT_EQ(count_of(import, Counter::bad_quality), 1U);
}

TEST(CutOff, InEveryFormThatEndsWithinANumber) {
  const auto rows = [](const std::string& before, const std::string& behind) {
    std::string out;
    for (int i = 0; i < 7; ++i) {
      out += "2026-01-14 06:0" + std::to_string(i) + before + "21.5" + behind + "\n";
    }
    return out + "2026-01-14 06:07" + before;
  };
  const auto last = [](const Result<Import>& import) {
    EXPECT_EQ(count_of(import, Counter::cut_value), 1U);
    const auto t = celsius(import);
    return t.empty() ? 0 : t.back();
  };
  const std::string head = "time,site.outdoor_temperature [degC]";
  EXPECT_EQ(last(import_text(head + ",\n" + rows(",", ",") + "2")), -999);     // delimiter behind
  EXPECT_EQ(last(import_text(head + "\n" + rows(",\"", "\"") + "2")), -999);   // open quote
  EXPECT_EQ(last(import_text(head + "\n" + rows(",", " degC") + "2")), -999);  // unit
  // Between blanks the other cells of the row stay.
  std::string blanks = "date time site.outdoor_temperature[degC] outdoor.1.fan_step\n";
  for (int i = 0; i < 7; ++i) {
    blanks += "2026-01-14 06:0" + std::to_string(i) + " " + std::to_string(i) + " 120\n";
  }
  const auto import = import_text(blanks + "2026-01-14 06:07 7 1");
  EXPECT_THAT(celsius(import), ElementsAre(0, 1, 2, 3, 4, 5, 6, 7));
  EXPECT_TRUE(is_missing(values_of(import, "outdoor.1", "fan_step").back()));
  // An answer to a mail has no line end that the mail has not.
  const std::string answer = "> time;A\n> 2026-01-14 06:00;1\n> 2026-01-14 06:01;2";
  EXPECT_EQ(without_reply_marks(answer).value_or("\n").back(), '2');
}

TEST(Mail, MarksOfCellsStay) {
  EXPECT_FALSE(without_reply_marks("A;time\n> 30.0;06:00\n> 30.0;06:01\n> 30.0;06:02\n29;06:03\n")
                   .has_value());
}

TEST(LineEnds, WithinAHeaderCellEndNoLine) {
  const auto import = import_text(
      "time,site.outdoor_temperature\r[degC],Other\r\n"
      "2026-01-14 06:00,1,5\r\n2026-01-14 06:01,2,5\r\n");
  ASSERT_TRUE(import.has_value()) << import.error().text();
  EXPECT_THAT(celsius(import), ElementsAre(1, 2));
}

}  // namespace
}  // namespace cw
