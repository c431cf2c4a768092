#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <ostream>

#include "base/text.h"
#include "system/sheet.h"

namespace {

using namespace cw;
using ::testing::HasSubstr;

/// A good sheet; each bad one is this with one line put in place of another.
constexpr std::string_view good = R"(refrigerant = "R-410A"
[site]
altitude = "180 m"
zone = "America/Chicago"
[[outdoor]]
cooling = "28 kW"
heating = "31.5 kW"
coil = { volume = "10 L" }
airflow = "10600 m3/h"
compressor = { speed_lowest = "20 Hz", speed_highest = "110 Hz" }
accumulator = { volume = "10 L", usable = "7 L" }
charge = "8.4 kg"
[[indoor]]
cooling = "14 kW"
type = "cassette"
room = { floor_area = "80 m2", height = "3 m" }
[[indoor]]
cooling = "14 kW"
controlled_by = "wall sensor"
[[pipe]]
from = "outdoor.1"
to = "joint.a"
length = "20 m"
rise = "-4 m"
liquid = "3/8"
gas = "7/8"
fittings = [{ kind = "elbow", count = 3 }]
[[pipe]]
from = "joint.a"
to = "indoor.1"
length = "6 m"
[[pipe]]
from = "joint.a"
to = "indoor.2"
length = "9 m"
[charge]
added = [{ mass = "2.4 kg", date = 2025-10-03 }]
)";

struct Bad {
  const char* name;
  int line;          // that is changed, from 1
  const char* text;  // what stands there instead; "" empties the line
  int said_at;       // line that the error names
  const char* message;
  const char* fix;

  friend std::ostream& operator<<(std::ostream& out, const Bad& bad) { return out << bad.name; }
};

std::string with_line(int line, std::string_view text) {
  std::string out;
  int at = 0;
  for (const std::string_view each : split(good, '\n')) {
    out += std::string(++at == line ? text : each) + "\n";
  }
  return out;
}

class BadSheet : public ::testing::TestWithParam<Bad> {};

TEST_P(BadSheet, SaysWhereWhatAndHowToMendIt) {
  const Bad& bad = GetParam();
  const SheetReading reading = read_sheet_text(with_line(bad.line, bad.text), "s.toml");
  ASSERT_FALSE(reading.system.has_value());
  std::string all;
  bool found = false;
  for (const Error& error : reading.errors) {
    all += error.text() + "\n";
    const std::string where = "s.toml:" + std::to_string(bad.said_at);
    const bool here = error.where == where || error.where.starts_with(where + ":");
    found = found || (here && error.message.find(bad.message) != std::string::npos &&
                      error.fix.find(bad.fix) != std::string::npos);
    EXPECT_FALSE(error.fix.empty()) << error.text();
    EXPECT_TRUE(error.where.starts_with("s.toml:")) << error.text();
  }
  EXPECT_TRUE(found) << "wanted line " << bad.said_at << ": " << bad.message << " / " << bad.fix
                     << "\ngot\n"
                     << all;
}

INSTANTIATE_TEST_SUITE_P(
    One, BadSheet,
    ::testing::Values(
        Bad{"no_toml", 5, "[[outdoor]", 5, "", "toml.io"},
        Bad{"no_refrigerant", 1, "", 1, "refrigerant is missing", "R-410A"},
        Bad{"unknown_refrigerant", 1, "refrigerant = \"R-999\"", 1, "R-999", "R-410A"},
        Bad{"test_gas", 1, "refrigerant = \"nitrogen\"", 1, "test gas", "nameplate"},
        Bad{"refrigerant_number", 1, "refrigerant = 410", 1, "must be a text", "quotes"},
        Bad{"misspelt_table", 13, "[[indor]]", 13, "unknown key \"indor\"", "\"indoor\""},
        Bad{"single_brackets", 5, "[outdoor]", 5, "list of tables", "double brackets"},
        Bad{"misspelt_key", 9, "airflw = \"1 m3/h\"", 9, "airflw", "Did you mean \"airflow\"?"},
        Bad{"misspelt_inner_key", 8, "coil = { volum = \"10 L\" }", 8, "volum", "\"volume\""},
        Bad{"capacity_zero", 6, "cooling = \"0 kW\"", 6, "cannot be", "1 kW"},
        Bad{"capacity_negative", 6, "cooling = \"-28 kW\"", 6, "cannot be", "check the unit"},
        Bad{"capacity_absurd", 6, "cooling = \"28 MW\"", 6, "28 MW cannot be", "400 kW"},
        Bad{"capacity_without_unit", 6, "cooling = 28", 6, "no unit", "unit behind the number"},
        Bad{"capacity_of_pressure", 6, "cooling = \"28 kPa\"", 6, "power is needed", "kW"},
        Bad{"capacity_nan", 6, "cooling = nan", 6, "cooling", ""},
        Bad{"no_capacity", 14, "", 13, "rated capacity is missing", "nameplate"},
        Bad{"heating_tenfold", 7, "heating = \"315 kW\"", 7, "times rated cooling", "units"},
        Bad{"speeds_swapped", 10,
            "compressor = { speed_lowest = \"110 Hz\", speed_highest = \"60 Hz\" }", 10,
            "not below", "rev"},
        Bad{"usable_over_volume", 11, "accumulator = { volume = \"7 L\", usable = \"10 L\" }", 11,
            "more than the accumulator holds", "at most"},
        Bad{"altitude_absurd", 3, "altitude = \"60000 m\"", 3, "cannot be", "6000 m"},
        Bad{"zone_with_blank", 4, "zone = \"Central time!\"", 4, "no time zone", "IANA"},
        Bad{"unknown_type", 15, "type = \"casette\"", 15, "not known", "\"cassette\""},
        Bad{"unknown_control", 19, "controlled_by = \"thermostat\"", 19, "not known",
            "\"wall sensor\""},
        Bad{"room_is_number", 16, "room = 80", 16, "table or the id", "floor_area"},
        Bad{"room_unknown", 16, "room = \"hall\"", 16, "there is no room", "[[room]]"},
        Bad{"room_flat", 16, "room = { floor_area = \"80 m2\", height = \"3 mm\" }", 16,
            "cannot be", "1 m"},
        Bad{"room_contradicts", 16,
            "room = { floor_area = \"80 m2\", height = \"3 m\", volume = \"24 m3\" }", 16, "240 m3",
            "Leave out"},
        Bad{"from_unknown_unit", 33, "from = \"joint.b\"", 32, "no pipe leads to joint.b", "to ="},
        Bad{"to_unknown_unit", 34, "to = \"indoor.3\"", 32, "no indoor.3", "\"indoor."},
        Bad{"to_nothing", 34, "to = \"unit 2\"", 34, "no end of a pipe", "indoor.N"},
        Bad{"from_missing", 33, "", 32, "from is missing", "outdoor.1"},
        Bad{"reached_twice", 34, "to = \"indoor.1\"", 17, "no pipe reaches indoor.2", "to ="},
        Bad{"loop", 34, "to = \"indoor.1\"", 32, "closes a loop", "joined already"},
        Bad{"backwards", 34, "to = \"outdoor.1\"", 32, "leads from joint.a to outdoor.1", "swap"},
        Bad{"nameless_table", 32, "[[[", 32, "no name", "[[indoor]]"},
        Bad{"empty_table_name", 32, "[ = ]", 32, "no name", "[[indoor]]"},
        Bad{"to_itself", 34, "to = \"joint.a\"", 32, "starts and ends", "Correct"},
        Bad{"outdoor_without_pipe", 12, "[[outdoor]]\ncooling = \"28 kW\"", 12,
            "no pipe starts at outdoor.2", "from = \"outdoor.2\""},
        Bad{"joint_to_nowhere", 34, "to = \"joint.c\"", 32, "joint.c leads nowhere", "from ="},
        Bad{"length_zero", 35, "length = \"0 m\"", 35, "cannot be", "0.01 m"},
        Bad{"length_negative", 35, "length = \"-9 m\"", 35, "cannot be", "1000 m"},
        Bad{"length_missing", 35, "", 32, "length is missing", "along the pipe"},
        Bad{"length_in_kilometres", 35, "length = \"9000 m\"", 35, "cannot be", "1000 m"},
        Bad{"rise_over_length", 24, "rise = \"-30 m\"", 24, "cannot rise", "developed length"},
        Bad{"unknown_size", 25, "liquid = \"7/16\"", 25, "no tube size \"7/16\"", "\"3/8\""},
        Bad{"unknown_metric_size", 25, "liquid = \"9 mm\"", 25, "no tube size", "nearest size"},
        Bad{"size_without_quotes", 25, "liquid = 9.52", 25, "must be a text", "quotes"},
        Bad{"sizes_swapped", 26, "gas = \"1/4\"", 20, "thinner than the liquid line", "swapped"},
        Bad{"third_without_branch", 26, "third = \"3/4\"", 20, "third line", "[[branch]]"},
        Bad{"unknown_fitting", 27, "fittings = [{ kind = \"elbo\" }]", 27, "no fitting \"elbo\"",
            "elbow"},
        Bad{"fitting_without_length", 27, "fittings = [{ kind = \"other\" }]", 27,
            "needs its equivalent length", "equivalent ="},
        Bad{"fitting_count", 27, "fittings = [{ kind = \"elbow\", count = 0 }]", 27,
            "whole number from 1", "count = 1"},
        Bad{"charge_negative", 37, "added = [{ mass = \"-2.4 kg\" }]", 37, "cannot be", "0.001 kg"},
        Bad{"charge_text_date", 37, "added = [{ mass = \"2 kg\", date = \"3 October\" }]", 37,
            "must be a date", "2025-10-03"},
        Bad{"charge_recovered_more", 37, "recovered = [{ mass = \"60 kg\" }]", 36,
            "nothing is left", "recovered"},
        Bad{"charge_contradicts", 37, "factory = \"20 kg\"", 36, "sum up to 8.4 kg", "Keep one"},
        Bad{"coefficient_without_source", 37, "per_length = { \"3/8\" = \"0.057 kg/m\" }", 37,
            "need a source", "page"},
        Bad{"coefficient_of_no_size", 37,
            "source = \"manual\"\nper_length = { \"2/8\" = \"0.057 kg/m\" }", 38, "no tube size",
            "\"1/4\""},
        Bad{"id_twice", 18, "id = \"indoor.1\"\ncooling = \"14 kW\"", 18, "", "own id"},
        Bad{"id_with_signs", 18, "id = \"a/b\"\ncooling = \"14 kW\"", 18, "no id", "letters"},
        Bad{"count_zero", 18, "count = 0\ncooling = \"14 kW\"", 18, "whole number", "count = 1"},
        Bad{"count_absurd", 18, "count = 100000\ncooling = \"14 kW\"", 18, "whole number", ""},
        Bad{"piping_and_pipe", 36, "[piping]\nmain = \"3 m\"\nbranch = \"3 m\"\n[charge]", 36,
            "cannot stand together", "Keep"},
        Bad{"text_with_c1_control", 3, "name = \"a\\u0085b\"", 3, "control characters", "Shorten"},
        Bad{"text_with_control_character", 3, "name = \"a\\u0007b\"", 3, "control characters",
            "Shorten"}),
    [](const auto& test) { return std::string(test.param.name); });

TEST(BadSheets, TheGoodOneIsGood) {
  const SheetReading reading = read_sheet_text(good, "s.toml");
  ASSERT_TRUE(reading.system) << reading.errors.front().text();
  EXPECT_TRUE(reading.system->warnings().empty()) << reading.system->warnings().front().message;
}

TEST(BadSheets, AllErrorsComeTogetherInTheOrderOfTheSheet) {
  std::string text(good);
  const auto put = [&](std::string_view from, std::string_view to) {
    text.replace(text.find(from), from.size(), to);
  };
  put("\"R-410A\"", "\"R-41\"");
  put("\"31.5 kW\"", "\"-31 kW\"");
  put("\"cassette\"", "\"box\"");
  put("\"3/8\"", "\"3/7\"");
  put("\"6 m\"", "\"6 kg\"");
  put("\"joint.a\"\nto = \"indoor.2\"", "\"joint.a\"\nto = \"indoor.9\"");
  const SheetReading reading = read_sheet_text(text, "s.toml");
  ASSERT_FALSE(reading.system);
  std::vector<int> lines;
  for (const Error& error : reading.errors) {
    lines.push_back(std::stoi(error.where.substr(error.where.find(':') + 1)));
  }
  EXPECT_TRUE(std::is_sorted(lines.begin(), lines.end()));
  // Six mistakes, and indoor.2 without a pipe.
  EXPECT_THAT(lines, ::testing::IsSupersetOf({1, 7, 15, 17, 25, 31, 32}));
  const auto one = parse_system(text, "s.toml");
  ASSERT_FALSE(one);
  EXPECT_THAT(one.error().message, HasSubstr("more errors"));
}

TEST(BadSheets, NoMoreThanTwentyErrorsAreListed) {
  std::string text(good);
  for (int i = 0; i < 50; ++i) text += "[[pipe]]\nlength = \"0 m\"\n";
  const SheetReading reading = read_sheet_text(text, "s.toml");
  EXPECT_EQ(reading.errors.size(), most_sheet_errors);
  EXPECT_EQ(reading.more_errors, 150U - 20U);  // from, to and length of each
}

TEST(BadSheets, EmptyAndStrangeTexts) {
  EXPECT_GE(read_sheet_text("", "s.toml").errors.size(), 4U);
  EXPECT_FALSE(read_sheet_text("\xff\xfe", "s.toml").errors.empty());
  EXPECT_FALSE(read_sheet_text(std::string(5U << 20U, ' '), "s.toml").errors.empty());
  EXPECT_FALSE(read_sheet_text(std::string(3000, '['), "s.toml").errors.empty());
  EXPECT_FALSE(read_sheet("/nonexistent/sheet.toml").errors.empty());
  EXPECT_EQ(read_system("/nonexistent/sheet.toml").error().code, ErrorCode::not_found);
}

TEST(BadSheets, ModulesMustJoinBeforeTheFirstBranch) {
  const SheetReading reading = read_sheet_text(R"(refrigerant = "R-32"
[[outdoor]]
count = 2
cooling = "14 kW"
[[indoor]]
count = 2
cooling = "14 kW"
[[pipe]]
from = "outdoor.1"
to = "joint.a"
length = "3 m"
[[pipe]]
from = "joint.a"
to = "indoor.1"
length = "3 m"
[[pipe]]
from = "joint.a"
to = "joint.b"
length = "3 m"
[[pipe]]
from = "outdoor.2"
to = "joint.b"
length = "3 m"
[[pipe]]
from = "joint.b"
to = "indoor.2"
length = "3 m"
)",
                                               "s.toml");
  ASSERT_EQ(reading.errors.size(), 1U);
  EXPECT_EQ(reading.errors[0].where, "s.toml:16");
  EXPECT_THAT(reading.errors[0].message, HasSubstr("joint.a branches before"));
}

TEST(BadSheets, PipesThatFallApart) {
  const SheetReading reading = read_sheet_text(R"(refrigerant = "R-32"
[[outdoor]]
count = 2
cooling = "14 kW"
[[indoor]]
count = 2
cooling = "14 kW"
[[pipe]]
from = "outdoor.1"
to = "indoor.1"
length = "3 m"
[[pipe]]
from = "outdoor.2"
to = "indoor.2"
length = "3 m"
)",
                                               "s.toml");
  ASSERT_EQ(reading.errors.size(), 1U);
  EXPECT_THAT(reading.errors[0].message, HasSubstr("fall apart"));
  EXPECT_THAT(reading.errors[0].message, HasSubstr("outdoor.2"));
}

}  // namespace
