// The check command as a person runs it: arguments in, exit code, stdout and stderr out.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <functional>
#include <nlohmann/json.hpp>

#include "support/run_program.h"

namespace {

using cw::test::Ran;
using cw::test::Scratch;
using testing::HasSubstr;
using testing::Not;
using Json = nlohmann::json;

constexpr const char* header =
    "time,outdoor.1.mode,outdoor.1.defrost,outdoor.1.compressor_frequency [Hz],"
    "outdoor.1.discharge_temperature [degC],outdoor.1.discharge_pressure [psi(g)],"
    "site.outdoor_temperature [degC]";

std::string row(int minute, double discharge = 80) {
  char text[160];
  std::snprintf(text, sizeof text, "2026-01-20T%02d:%02d:00-06:00,heating,0,60,%.1f,418,-5",
                minute / 60, minute % 60, discharge);
  return text;
}

/// Steady heating at 1 min; `change` may replace a row's text.
std::string log_text(int minutes, double discharge = 80,
                     const std::function<std::string(int, std::string)>& change = {}) {
  std::string out = std::string(header) + "\n";
  for (int m = 0; m <= minutes; ++m) {
    const std::string text = row(m, discharge);
    out += (change ? change(m, text) : text) + "\n";
  }
  return out;
}

class Check : public testing::Test {
 protected:
  Ran run(const std::string& arguments) { return cw::test::run_program(scratch, arguments); }
  Json json(const std::string& arguments) {
    const Ran ran = run("check --json " + arguments);
    EXPECT_EQ(ran.exit, 0) << ran.err;
    return Json::parse(ran.out, nullptr, false);
  }
  static std::size_t counter(const Json& report, const std::string& name) {
    const Json& counters = report["quality"]["counters"];
    return counters.contains(name) ? counters[name]["count"].get<std::size_t>() : 0;
  }
  static std::string verdict(const Json& report, const std::string& check) {
    return report["verdict_by_check"][check].get<std::string>();
  }

  Scratch scratch;
};

// --- what it prints
// -------------------------------------------------------------------------------

TEST_F(Check, AnswersTheThreeQuestionsAndExitsWith0) {
  const Ran ran = run("check " + scratch.file("a.csv", log_text(60)));
  EXPECT_EQ(ran.exit, 0);
  EXPECT_THAT(ran.out, HasSubstr("Verdict: unproven"));
  EXPECT_THAT(ran.out, HasSubstr("Is it healthy?"));
  EXPECT_THAT(ran.out, HasSubstr("What is wrong, and where?"));
  EXPECT_THAT(ran.out, HasSubstr("What could not be judged?"));
  EXPECT_THAT(ran.out, HasSubstr("--altitude or --barometer"));
  EXPECT_EQ(ran.err, "") << "no terminal, no progress";
  EXPECT_THAT(ran.out, Not(HasSubstr("\x1b["))) << "no terminal, no colour";
}

TEST_F(Check, JsonCarriesWhatTheSchemaSays) {
  const Json report = json(scratch.file("a.csv", log_text(60, 98)));
  EXPECT_EQ(report["schema"], "coilwright.check/1");
  EXPECT_EQ(report["verdict"], "fault");
  for (const char* key : {"recordings", "phases", "checks", "limits", "verdict", "defrosts",
                          "quality", "answers", "assumptions", "span", "cautions"}) {
    EXPECT_TRUE(report.contains(key)) << key;
  }
  EXPECT_EQ(report["recordings"][0]["file"], "a.csv") << "a name, no path";
  EXPECT_EQ(report["recordings"][0]["rows"], 61);
  EXPECT_EQ(report["phases"][0]["phase"], "heating");
  EXPECT_EQ(report["phases"][0]["start"], "2026-01-20T00:00:00-06:00");
  const Json& finding = report["checks"][0];
  EXPECT_EQ(finding["id"], "discharge-temperature");
  EXPECT_EQ(finding["place"], "outdoor.1");
  EXPECT_EQ(finding["verdict"], "fault");
  const Json& window = finding["evidence"][0];
  EXPECT_EQ(window["start"], "2026-01-20T00:00:00-06:00");
  EXPECT_EQ(window["end"], "2026-01-20T01:00:00-06:00");
  EXPECT_EQ(window["held_seconds"], 3600.0);
  EXPECT_NEAR(window["value"].get<double>(), 371.15, 0.01);
  EXPECT_NEAR(window["limit"].get<double>(), 368.15, 0.01);
  EXPECT_EQ(window["unit"], "K");
}

TEST_F(Check, InchPoundSentences) {
  const std::string log = scratch.file("a.csv", log_text(60, 98));
  const Ran ran = run("check --units ip " + log);
  EXPECT_THAT(ran.out, HasSubstr("above 203.0 °F"));
  EXPECT_THAT(ran.out, HasSubstr("highest 208.4 °F"));
  EXPECT_THAT(run("check " + log).out, HasSubstr("above 95.0 °C"));
  const Json report = json("--units ip " + log);
  EXPECT_THAT(report["checks"][0]["because"].get<std::string>(), HasSubstr("203.0 °F"));
  EXPECT_EQ(report["checks"][0]["evidence"][0]["unit"], "K") << "figures of JSON stay SI";
}

TEST_F(Check, HtmlIsOneFileOnItsOwn) {
  const Ran ran =
      run("check " + scratch.file("a.csv", log_text(60)) + " --html " + scratch.path("a.html"));
  EXPECT_EQ(ran.exit, 0);
  EXPECT_THAT(ran.err, HasSubstr("Report written to"));
  const std::string html = cw::test::slurp(scratch.path("a.html"));
  EXPECT_THAT(html, HasSubstr("<svg"));
  EXPECT_THAT(html, Not(HasSubstr("src=\"http")));
  EXPECT_THAT(html, Not(HasSubstr("<link")));
  EXPECT_THAT(html, Not(HasSubstr("<script src")));
  const Ran bad =
      run("check " + scratch.path("a.csv") + " --html " + scratch.path("no/dir/a.html"));
  EXPECT_EQ(bad.exit, 2);
}

// --- exit codes
// -----------------------------------------------------------------------------------

TEST_F(Check, PdfNeedsABrowserAndSaysSo) {
  const std::string log = scratch.file("a.csv", log_text(60));
  ASSERT_EQ(setenv("COILWRIGHT_BROWSER", scratch.path("none").c_str(), 1), 0);
  const Ran none = run("check " + log + " --pdf " + scratch.path("a.pdf"));
  EXPECT_EQ(none.exit, 2);
  EXPECT_THAT(none.err, HasSubstr("COILWRIGHT_BROWSER names no program"));
  // One that writes nothing is no printer.
  ASSERT_EQ(setenv("COILWRIGHT_BROWSER", "/bin/true", 1), 0);
  const Ran nothing = run("check " + log + " --pdf " + scratch.path("a.pdf"));
  EXPECT_EQ(nothing.exit, 2);
  EXPECT_THAT(nothing.err, HasSubstr("wrote no PDF"));
  ASSERT_EQ(unsetenv("COILWRIGHT_BROWSER"), 0);
  const Ran over = run("check " + log + " --pdf " + log);
  EXPECT_EQ(over.exit, 2);
  EXPECT_THAT(over.err, HasSubstr("would overwrite the recording"));
  EXPECT_EQ(run("check " + log + " --paper a0").exit, 2);
}

TEST_F(Check, Pdf) {
  if (std::system("command -v chromium >/dev/null 2>&1") != 0) GTEST_SKIP() << "no chromium";
  const Ran ran = run("check " + scratch.file("a.csv", log_text(60)) + " --paper letter --pdf " +
                      scratch.path("a.pdf"));
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_TRUE(cw::test::slurp(scratch.path("a.pdf")).starts_with("%PDF-"));
}

TEST_F(Check, SystemSheet) {
  const std::string log = scratch.file("a.csv", log_text(60));
  const std::string sheet = scratch.file("s.toml", R"(name = "Hut"
refrigerant = "R-32"
[site]
altitude = "1500 m"
[[outdoor]]
cooling = "14 kW"
[[indoor]]
cooling = "14 kW"
[[pipe]]
from = "outdoor.1"
to = "indoor.1"
length = "10 m"
)");
  const Json report = json(log + " --system " + sheet);
  EXPECT_EQ(report["refrigerant"], "R-32");
  EXPECT_EQ(report["system"]["altitude"], 1500.0);
  // Standard atmosphere at 1500 m: 84.56 kPa (published tables).
  EXPECT_NEAR(report["barometric_pressure"]["value"].get<double>(), 84556.0, 20.0);
  EXPECT_EQ(json(log + " --refrigerant R-410A --system " + sheet)["refrigerant"], "R-410A");
  EXPECT_EQ(json(log)["system"], nullptr);
  EXPECT_EQ(run("check " + log + " --system " + scratch.path("none.toml")).exit, 2);
}

TEST_F(Check, FailOn) {
  const std::string hot = scratch.file("hot.csv", log_text(60, 98));
  const std::string warm = scratch.file("warm.csv", log_text(29, 98));
  const std::string fine = scratch.file("fine.csv", log_text(60));
  EXPECT_EQ(run("check " + hot).exit, 0) << "a fault is an answer, no failure";
  EXPECT_EQ(run("check --fail-on fault " + hot).exit, 3);
  EXPECT_EQ(run("check --fail-on watch " + hot).exit, 3);
  EXPECT_EQ(run("check --fail-on fault " + warm).exit, 0);
  EXPECT_EQ(run("check --fail-on watch " + warm).exit, 3);
  EXPECT_EQ(run("check --fail-on watch " + fine).exit, 0);
  EXPECT_THAT(run("check --json --fail-on fault " + hot).out, HasSubstr("\"schema\""))
      << "the report is printed all the same";
}

TEST_F(Check, WrongUsage) {
  const std::string log = scratch.file("a.csv", log_text(60));
  for (const auto& [arguments, word] : {std::pair{"--units metric", "--units"},
                                        {"--fail-on ok", "--fail-on"},
                                        {"--mode drying", "--mode"},
                                        {"--altitude 99000m", "--altitude"},
                                        {"--altitude 5", "--altitude"},
                                        {"--barometer 5kPa", "--barometer"},
                                        {"--target 49", "--target"},
                                        {"--target 49bar", "--target"},
                                        {"--refrigerant R-9000", "R-9000"},
                                        {"--limits no-such.toml", "no-such.toml"},
                                        {"--map no-such.toml", "no-such.toml"},
                                        {"--no-such-flag", "--no-such-flag"}}) {
    const Ran ran = run("check " + log + " " + arguments);
    EXPECT_EQ(ran.exit, 2) << arguments;
    EXPECT_THAT(ran.err, HasSubstr(word)) << arguments;
    EXPECT_EQ(ran.out, "") << arguments;
  }
  EXPECT_EQ(run("check").exit, 2);
  EXPECT_EQ(run("").exit, 2);
  EXPECT_EQ(run("no-such-command").exit, 2);
}

TEST_F(Check, Help) {
  for (const char* arguments :
       {"--help", "check --help", "--version", "check --list", "check --explain set-point"}) {
    const Ran ran = run(arguments);
    EXPECT_EQ(ran.exit, 0) << arguments;
    EXPECT_NE(ran.out, "") << arguments;
  }
  EXPECT_THAT(run("check --explain set-point").out, HasSubstr("watch_off_by = 1.7 K"));
  EXPECT_EQ(run("check --explain no-such-check").exit, 2);
}

// --- files that cannot be judged
// ------------------------------------------------------------------

TEST_F(Check, AMissingFile) {
  const Ran ran = run("check " + scratch.path("nothing-here.csv"));
  EXPECT_EQ(ran.exit, 2);
  EXPECT_EQ(ran.out, "");
  EXPECT_THAT(ran.err, HasSubstr("nothing-here.csv: no such file or directory"));
}

TEST_F(Check, AnEmptyFile) {
  const Ran ran = run("check --json " + scratch.file("empty.csv", ""));
  EXPECT_EQ(ran.exit, 2);
  EXPECT_EQ(ran.out, "");
  EXPECT_THAT(ran.err, HasSubstr("empty.csv"));
  EXPECT_THAT(ran.err, HasSubstr("the file is empty"));
}

TEST_F(Check, ABinaryFile) {
  std::string bytes =
      "\x7f"
      "ELF";
  for (int i = 0; i < 4000; ++i) bytes += static_cast<char>(i * 37 % 256);
  const Ran ran = run("check " + scratch.file("binary.csv", bytes));
  EXPECT_EQ(ran.exit, 2);
  EXPECT_THAT(ran.err, HasSubstr("the file is binary, not text"));
}

TEST_F(Check, ADirectoryWithoutRecordings) {
  std::filesystem::create_directories(scratch.path("day"));
  scratch.file("day/readme.md", "# nothing\n");
  const Ran ran = run("check " + scratch.path("day"));
  EXPECT_EQ(ran.exit, 2);
  EXPECT_THAT(ran.err, HasSubstr("the directory holds no recordings"));
  EXPECT_THAT(ran.err, HasSubstr(".csv"));
}

TEST_F(Check, AFileOfWhichNoColumnIsKnown) {
  const Ran ran = run("check " + scratch.file("x.csv",
                                              "TIMESTAMP,T_OUT,F_Comp\n"
                                              "2026-01-20 00:00:00,-5,60\n"
                                              "2026-01-20 00:01:00,-5,60\n"));
  EXPECT_EQ(ran.exit, 2);
  EXPECT_THAT(ran.err, HasSubstr("T_OUT"));
  EXPECT_THAT(ran.err, HasSubstr("F_Comp"));
  EXPECT_THAT(ran.err, HasSubstr("[[column]]")) << "how to write the map";
}

TEST_F(Check, AFileWithoutOneTimeStampThatCanBeRead) {
  const Ran ran = run("check " + scratch.file("x.csv", log_text(60, 80, [](int, std::string text) {
                                                return text.replace(0, 25, "yesterday");
                                              })));
  EXPECT_EQ(ran.exit, 2);
  EXPECT_THAT(ran.err, HasSubstr("x.csv"));
}

// --- dirt that is set aside
// -----------------------------------------------------------------------

TEST_F(Check, AnUnknownColumn) {
  std::string text = log_text(60, 80, [](int, std::string r) { return r + ",42"; });
  text.insert(text.find('\n'), ",mystery");
  const Json report = json(scratch.file("a.csv", text));
  EXPECT_EQ(counter(report, "unknown_column"), 1U);
  EXPECT_THAT(report["quality"]["columns_not_understood"].dump(), HasSubstr("mystery"));
  EXPECT_EQ(verdict(report, "discharge-temperature"), "ok");
  EXPECT_THAT(run("check " + scratch.path("a.csv")).out,
              HasSubstr("Columns not understood: a.csv: mystery"));
}

TEST_F(Check, BadRows) {
  const Json report = json(scratch.file("a.csv", log_text(60, 80, [](int m, std::string r) {
                                          if (m == 20) return r.substr(0, r.rfind(','));
                                          if (m == 30) return r + ",1,2";
                                          if (m == 40) return r.replace(0, 25, "not a time");
                                          return r;
                                        })));
  EXPECT_EQ(counter(report, "bad_row_short"), 1U);
  EXPECT_EQ(counter(report, "bad_row_long"), 1U);
  EXPECT_EQ(counter(report, "bad_time_stamp"), 1U);
  EXPECT_EQ(report["quality"]["counters"]["bad_row_short"]["severity"], "data_loss");
  EXPECT_EQ(report["span"]["rows"], 58);
  std::vector<int> lines;
  for (const Json& reject : report["quality"]["rejects"]) {
    EXPECT_EQ(reject["file"], "a.csv");
    EXPECT_FALSE(reject["reason"].get<std::string>().empty());
    lines.push_back(reject["line"].get<int>());
  }
  EXPECT_THAT(lines, testing::UnorderedElementsAre(22, 32, 42));
  EXPECT_EQ(verdict(report, "discharge-temperature"), "ok");
}

TEST_F(Check, BadCells) {
  const Json report = json(scratch.file("a.csv", log_text(60, 80, [](int m, std::string r) {
                                          const std::size_t at = r.find(",80.0,");
                                          if (m == 20) r.replace(at, 6, ",hot,");
                                          if (m == 30) r.replace(at, 6, ",9999,");
                                          if (m == 40) r.replace(at, 6, ",nan,");
                                          return r;
                                        })));
  EXPECT_EQ(counter(report, "bad_cell"), 1U);
  EXPECT_EQ(counter(report, "implausible_value"), 1U);
  EXPECT_EQ(counter(report, "missing_mark"), 1U);
  EXPECT_EQ(verdict(report, "discharge-temperature"), "ok");
}

TEST_F(Check, ADuplicateTimeStamp) {
  const Json report = json(scratch.file("a.csv", log_text(60, 80, [](int m, std::string r) {
                                          return m == 20 ? r + "\n" + row(20, 150) : r;
                                        })));
  EXPECT_EQ(counter(report, "duplicate_time_stamp"), 1U);
  EXPECT_EQ(report["span"]["rows"], 61);
  EXPECT_EQ(verdict(report, "discharge-temperature"), "ok") << "the first one counts";
}

TEST_F(Check, ABackwardTimeStamp) {
  const Json report = json(scratch.file("a.csv", log_text(60, 80, [](int m, std::string r) {
                                          return m == 20 ? row(10, 150) + "\n" + r : r;
                                        })));
  EXPECT_EQ(counter(report, "backward_time_stamp") + counter(report, "duplicate_time_stamp"), 1U);
  EXPECT_EQ(report["span"]["rows"], 61);
  const Json wild = json(scratch.file("b.csv", log_text(60, 80, [](int m, std::string r) {
                                        return m == 20 ? "2031" + r.substr(4) : r;
                                      })));
  EXPECT_EQ(counter(wild, "backward_time_stamp"), 1U) << "one wild stamp costs one row";
  EXPECT_EQ(wild["span"]["rows"], 60);
}

TEST_F(Check, NothingIsCountedInACleanFile) {
  const Json report = json(scratch.file("a.csv", log_text(60)));
  EXPECT_TRUE(report["quality"]["counters"].empty());
  EXPECT_TRUE(report["quality"]["rejects"].empty());
}

// --- several files
// --------------------------------------------------------------------------------

TEST_F(Check, FilesOfADirectoryJoin) {
  std::filesystem::create_directories(scratch.path("day"));
  const std::string all = log_text(60);
  const std::size_t half = all.find("2026-01-20T00:31");
  scratch.file("day/1.csv", all.substr(0, half));
  scratch.file("day/2.csv", std::string(header) + "\n" + all.substr(half));
  const Json report = json(scratch.path("day"));
  EXPECT_EQ(report["recordings"].size(), 2U);
  EXPECT_EQ(report["span"]["rows"], 61);
  EXPECT_EQ(report["phases"].size(), 1U) << "no seam";
  EXPECT_EQ(verdict(report, "discharge-temperature"), "ok");
}

// --- limits, target, map
// --------------------------------------------------------------------------

TEST_F(Check, Limits) {
  const std::string log = scratch.file("a.csv", log_text(60));
  const std::string sheet =
      scratch.file("mine.toml",
                   "sheet = \"mine\"\n[discharge-temperature]\n"
                   "watch_above = { value = \"158 degF\", source = \"letter of the maker\" }\n");
  const Json report = json(log + " --limits " + sheet);
  EXPECT_EQ(verdict(report, "discharge-temperature"), "fault");
  EXPECT_EQ(report["limits"]["sheet"], "mine");
  bool found = false;
  for (const Json& figure : report["limits"]["figures"]) {
    if (figure["key"] != "discharge-temperature.watch_above") continue;
    found = true;
    EXPECT_EQ(figure["overridden"], true);
    EXPECT_EQ(figure["text"], "158 degF");
    EXPECT_EQ(figure["source"], "letter of the maker");
    EXPECT_NEAR(figure["value"].get<double>(), 343.15, 0.01);
  }
  EXPECT_TRUE(found);
  EXPECT_THAT(run("check " + log + " --limits " + sheet).out, HasSubstr("watch_above 158 degF"));
  const Ran bad = run("check " + log + " --limits " +
                      scratch.file("bad.toml", "[discharge-temperature]\nwatch = 1\n"));
  EXPECT_EQ(bad.exit, 2);
  EXPECT_THAT(bad.err, HasSubstr("bad.toml:2: there is no limit \"discharge-temperature.watch\""));
}

TEST_F(Check, Target) {
  // 418 psig at standard atmosphere is about 120 degF = 49 degC.
  const std::string log = scratch.file("a.csv", log_text(120));
  EXPECT_EQ(verdict(json(log), "condensing-target"), "ok");
  EXPECT_EQ(verdict(json(log + " --target 130F"), "condensing-target"), "fault");
  EXPECT_EQ(verdict(json(log + " --target 46C"), "condensing-target"), "ok");
  const Ran ran = run("check " + log + " --target 130F");
  EXPECT_THAT(ran.out, HasSubstr("130F (changed"));
}

TEST_F(Check, GaugePressuresNeedABarometer) {
  const std::string log = scratch.file("a.csv", log_text(60));
  EXPECT_NEAR(json(log)["barometric_pressure"]["value"].get<double>(), 101325.0, 0.5);
  EXPECT_NEAR(json(log + " --barometer 98.2kPa")["barometric_pressure"]["value"].get<double>(),
              98200.0, 0.5);
  EXPECT_NEAR(json(log + " --altitude 5280ft")["barometric_pressure"]["value"].get<double>(),
              83400.0, 100.0);
}

TEST_F(Check, AMap) {
  std::string text = "TIMESTAMP,Tdis,Freq,State\n";
  for (int m = 0; m <= 60; ++m) {
    char line[80];
    std::snprintf(line, sizeof line, "2026-01-20 %02d:%02d:00,%s,60,H\n", m / 60, m % 60,
                  m == 7 ? "-999" : "176");
    text += line;
  }
  const std::string log = scratch.file("maker.csv", text);
  EXPECT_EQ(run("check " + log).exit, 2);
  const std::string map = scratch.file("map.toml", R"(
sentinels = [-999]
[clock]
column = "TIMESTAMP"
offset = "-06:00"
[[column]]
header = "Tdis"
channel = "outdoor.1.discharge_temperature"
unit = "degF"
[[column]]
header = "Freq"
channel = "outdoor.1.compressor_frequency"
unit = "Hz"
[[column]]
header = "State"
channel = "outdoor.1.mode"
words = { H = "heating", C = "cooling" }
)");
  const Json report = json(log + " --map " + map);
  EXPECT_EQ(counter(report, "sentinel_value"), 1U);
  EXPECT_EQ(verdict(report, "discharge-temperature"), "ok");
  EXPECT_THAT(report["checks"][0]["because"].get<std::string>(), HasSubstr("highest 80.0 °C"));
  EXPECT_EQ(report["span"]["start"], "2026-01-20T00:00:00-06:00");
  const Ran bad = run("check " + log + " --map " +
                      scratch.file("bad.toml", "[[column]]\nheader = \"Tdis\"\nchanel = \"x\"\n"));
  EXPECT_EQ(bad.exit, 2);
  EXPECT_THAT(bad.err, HasSubstr("bad.toml"));
  EXPECT_THAT(bad.err, HasSubstr("channel")) << "the nearest known key";
}

// --- diagnose
// -------------------------------------------------------------------------------

TEST_F(Check, DiagnoseRefusesARefrigerantThatIsNotTheSheets) {
  const std::string log = scratch.file("a.csv", log_text(60));
  const std::string sheet = std::string(CW_SOURCE_ROOT) + "/data/systems/minimal.toml";  // R-410A
  const Ran ran = run("diagnose " + log + " --system '" + sheet + "' --refrigerant R-32");
  EXPECT_EQ(ran.exit, 2);
  EXPECT_EQ(ran.out, "");
  EXPECT_THAT(ran.err, HasSubstr("the sheet says R-410A, the command line says R-32"));
  EXPECT_EQ(run("diagnose " + log + " --system '" + sheet + "' --refrigerant r410a").exit, 0);
}

TEST_F(Check, DiagnoseWritesOneReportOfChecksAndCauses) {
  const std::string page = scratch.path("report.html");
  const std::string log = scratch.file("a.csv", log_text(60));
  const Ran ran = run("diagnose " + log + " --html '" + page + "'");
  EXPECT_EQ(ran.exit, 0) << ran.err;
  const std::string html = cw::test::slurp(page);
  EXPECT_THAT(html, HasSubstr("Check of a recording, with causes"));
  EXPECT_THAT(html, HasSubstr("Likely causes"));
  EXPECT_THAT(html, HasSubstr("Limits in force"));
  EXPECT_EQ(run("diagnose " + log + " --html " + log).exit, 2) << "not over the recording";
  EXPECT_EQ(run("diagnose " + log + " --coldest 40C").exit, 2);
}

}  // namespace
