// Every route, against what the command line prints for the same files.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstring>

#include "server/served.h"

namespace cw {
namespace {

using test::Answer;
using test::Json;
using test::slurp;
using testing::HasSubstr;
using testing::StartsWith;

const std::string demo_folder = std::string(CW_BINARY_ROOT) + "/demo";
const std::string demo_sheet = std::string(CW_SOURCE_ROOT) + "/data/systems/demo_office.toml";

class Routes : public test::Served {};

TEST_F(Routes, AboutSaysHowNumbersAreShown) {
  const Json about = get("/api/about");
  EXPECT_EQ(about["name"], "coilwright");
  const Json degF = about["dimensions"]["temperature"]["ip"];
  // 32 degF is 273.15 K (NIST SP 811, B.8).
  EXPECT_NEAR((273.15 - degF["offset"].get<double>()) / degF["scale"].get<double>(), 32.0, 1e-9);
  EXPECT_EQ(about["dimensions"]["pressure"]["si"]["digits"], 0);
  EXPECT_EQ(about["dimensions"]["pressure_difference"]["si"]["symbol"], "kPa");
  EXPECT_GE(about["examples"].size(), 3U);
  EXPECT_FALSE(about["cautions"].empty());
}

TEST_F(Routes, ThePageIsThereWithAndWithoutGzip) {
  const Answer plain = client->get("/");
  EXPECT_EQ(plain.status, 200);
  EXPECT_THAT(plain.body, HasSubstr("<!doctype html>"));
  EXPECT_THAT(plain.header("Content-Type"), StartsWith("text/html"));
  client->headers = {"Accept-Encoding: gzip"};
  const Answer packed = client->get("/");
  EXPECT_EQ(packed.header("Content-Encoding"), "gzip");
  EXPECT_EQ(packed.body.substr(0, 2), "\x1f\x8b") << "RFC 1952";
  client->headers = {"If-None-Match: " + packed.header("ETag")};
  EXPECT_EQ(client->get("/").status, 304);
  client->headers = {};
  EXPECT_EQ(client->get("/assets/nothing.js").status, 404);
}

TEST_F(Routes, TheVerdictIsTheCommandLinesInBothUnitSystems) {
  const std::string id = demo();
  for (const std::string units : {"si", "ip"}) {
    const Answer verdict = client->get("/api/recordings/" + id + "/verdict?units=" + units);
    EXPECT_EQ(verdict.status, 200);
    EXPECT_EQ(verdict.body, program("check --no-cache --json --system " + demo_sheet + " --units " +
                                    units + " " + demo_folder));
  }
  EXPECT_EQ(client->get("/api/recordings/" + id + "/verdict?units=stone").status, 400);
}

TEST_F(Routes, TheVerdictFollowsTheSheet) {
  const std::string at = "/api/recordings/" + demo();
  const std::string with = client->get(at + "/verdict").body;
  EXPECT_THAT(Json::parse(with)["system"]["name"].get<std::string>(), HasSubstr("ffice"));
  EXPECT_EQ(client->ask("DELETE", at + "/sheet").status, 204);
  EXPECT_TRUE(get(at)["summary"].is_null()) << "what was judged with the sheet does not hold";
  const std::string without = client->get(at + "/verdict").body;
  EXPECT_EQ(without, test::on_the_page(program("check --no-cache --json " + demo_folder)));
  EXPECT_FALSE(get(at)["summary"].is_null());
  // A sheet of a site that is high up: gauge pressures of the log mean something else there.
  std::string high = slurp(demo_sheet);
  const std::size_t site = high.find("[site]");
  ASSERT_NE(site, std::string::npos);
  const std::size_t altitude = high.find("altitude", site);
  ASSERT_NE(altitude, std::string::npos);
  high.replace(altitude, high.find('\n', altitude) - altitude, "altitude = \"2000 m\"");
  json("PUT", at + "/sheet", 200, high);
  EXPECT_EQ(client->get(at + "/verdict").body,
            program("check --no-cache --json --system " + scratch.file("high.toml", high) + " " +
                    demo_folder));
}

TEST_F(Routes, ASheetThatCameInWithTheLogIsInForceAtOnce) {
  const std::string id = intake();
  const std::string at = "/api/intake/" + id;
  for (const std::string file : {"indoor.csv", "outdoor.csv"}) {
    EXPECT_EQ(client->ask("PUT", at + "/files/" + file, slurp(demo_folder + "/" + file)).status,
              201);
  }
  EXPECT_GE(json("PUT", at + "/sheet", 422, "a = 1\nb = 2\n")["errors"].size(), 2U);
  EXPECT_EQ(get(at)["has_sheet"], false);
  json("PUT", at + "/sheet", 200, slurp(demo_sheet));
  EXPECT_EQ(get(at)["has_sheet"], true);
  ASSERT_THAT(read(id), StartsWith("event: done\n"));
  stop();
  start();
  EXPECT_EQ(get("/api/recordings/" + id)["has_sheet"], true);
  EXPECT_EQ(client->get("/api/recordings/" + id + "/verdict").body,
            program("check --no-cache --json --system " + demo_sheet + " " + demo_folder));
}

TEST_F(Routes, TheDiagnosisIsTheCommandLinesInBothUnitSystems) {
  const std::string id = demo();
  const std::string at = "/api/recordings/" + id + "/diagnosis";
  EXPECT_THAT(end_of(json("POST", at, 202, "{}")["job"]), StartsWith("event: done\n"));
  const std::string command = "diagnose --no-cache --json --system " + demo_sheet;
  for (const std::string units : {"si", "ip"}) {
    EXPECT_EQ(client->get(at + "?units=" + units).body,
              program(command + " --units " + units + " " + demo_folder));
  }
  // The same log as if it were from when the machine was sound; its own sheet is the first one's.
  const std::string sound = intake();
  for (const std::string file : {"indoor.csv", "outdoor.csv"}) {
    client->ask("PUT", "/api/intake/" + sound + "/files/" + file, slurp(demo_folder + "/" + file));
  }
  ASSERT_THAT(read(sound), StartsWith("event: done\n"));
  const std::string compared = client->get(at + "?sound=" + sound).body;
  EXPECT_EQ(compared, program(command + " --sound " + demo_folder + " " + demo_folder));
  EXPECT_EQ(Json::parse(compared)["compared_with_sound"], true);
}

TEST_F(Routes, ADiagnosisThatMakesNoSenseIsRefused) {
  const std::string id = demo();
  const std::string at = "/api/recordings/" + id + "/diagnosis";
  json("POST", at, 400, "[]");
  json("POST", at, 400, R"({"sound": 3})");
  json("POST", at, 400, R"({"noise": "x"})");
  json("POST", at, 404, R"({"sound": "nothing"})");
  json("POST", "/api/recordings/nothing/diagnosis", 404, "{}");
  EXPECT_EQ(get(at + "?sound=" + id, 422)["error"]["where"], "sound");
  json("PUT", "/api/recordings/" + id + "/options", 200, R"({"refrigerant": "R-32"})");
  EXPECT_EQ(get(at, 422)["error"]["where"], "refrigerant");
}

TEST_F(Routes, WhoAsksWhileADiagnosisIsMadeGetsTheSame) {
  const std::string at = "/api/recordings/" + demo() + "/diagnosis";
  const std::string first = json("POST", at, 202, "{}")["job"];
  const std::string second = json("POST", at, 202, "{}")["job"];
  // Whichever of them makes it, the other one does not depend on its end.
  EXPECT_EQ(client->ask("DELETE", "/api/jobs/" + first).status, 202);
  EXPECT_THAT(end_of(second), StartsWith("event: done\n"));
  EXPECT_THAT(end_of(first), StartsWith("event: cancelled\n"));
}

TEST_F(Routes, ADiagnosisCanBeCancelled) {
  const std::string at = "/api/recordings/" + demo() + "/diagnosis";
  const std::string job = json("POST", at, 202, "{}")["job"];
  EXPECT_EQ(client->ask("DELETE", "/api/jobs/" + job).status, 202);
  EXPECT_THAT(end_of(job), StartsWith("event: cancelled\n"));
}

TEST_F(Routes, TheReportIsTheCommandLinesInBothUnitSystems) {
  const std::string at = "/api/recordings/" + demo() + "/report?";
  const std::string file = scratch.path("report.html");
  for (const std::string units : {"si", "ip"}) {
    program("check --no-cache --system " + demo_sheet + " --units " + units + " --html " + file +
            " " + demo_folder);
    const Answer report = client->get(at + "format=html&units=" + units);
    EXPECT_EQ(report.body, slurp(file));
    EXPECT_THAT(report.header("Content-Security-Policy"), HasSubstr("frame-ancestors 'self'"));
    EXPECT_EQ(report.header("Content-Security-Policy").find("script-src"), std::string::npos);
  }
  EXPECT_THAT(client->get(at + "download=1").header("Content-Disposition"),
              HasSubstr("attachment"));
  EXPECT_EQ(client->get(at + "format=pdf").status, 400);
}

TEST_F(Routes, LimitsMayNotNameFilesOfThisMachine) {
  const std::string at = "/api/recordings/" + demo() + "/options";
  const Json inherits = {{"limits", "name = \"mine\"\ninherits = \"/etc/passwd\"\n"}};
  EXPECT_EQ(json("PUT", at, 422, inherits.dump())["error"]["code"], "unsupported");
}

TEST_F(Routes, ChannelsAndPhasesAreThoseOfTheVerdict) {
  const std::string id = demo();
  const Json channels = get("/api/recordings/" + id + "/channels");
  EXPECT_EQ(channels["rows"], 2881);
  // 05:00 at -06:00, every 30 s for a day: docs/user/demo.md.
  EXPECT_EQ(channels["end_ms"].get<std::int64_t>() - channels["start_ms"].get<std::int64_t>(),
            86400000);
  std::size_t derived = 0;
  for (const Json& channel : channels["channels"]) derived += channel["derived"] ? 1U : 0U;
  EXPECT_EQ(channels["channels"].size() - derived, 107U);
  EXPECT_GT(derived, 0U);
  const Json phases = get("/api/recordings/" + id + "/phases");
  const Json verdict = get("/api/recordings/" + id + "/verdict");
  ASSERT_EQ(phases["system"].size(), verdict["phases"].size());
  for (std::size_t i = 0; i < phases["system"].size(); ++i) {
    EXPECT_EQ(phases["system"][i]["phase"], verdict["phases"][i]["phase"]);
  }
  EXPECT_EQ(phases["defrosts"].size(), verdict["defrosts"].size());
}

template <class T>
T number_at(const std::string& bytes, std::size_t at) {
  T out{};
  std::memcpy(&out, bytes.data() + at, sizeof out);
  return out;
}

TEST_F(Routes, SeriesAreBucketsOfTheReadings) {
  const std::string id = demo();
  const std::string path = "/api/recordings/" + id + "/series?points=10&channel=";
  const Answer answer = client->get(path + "outdoor.2.discharge_temperature&channel=indoor.7.call");
  ASSERT_EQ(answer.status, 200);
  const std::string& b = answer.body;
  EXPECT_EQ(b.substr(0, 4), "CWS1");
  EXPECT_EQ(number_at<std::uint32_t>(b, 4), 10U);
  EXPECT_EQ(number_at<std::uint32_t>(b, 8), 2U);
  const std::size_t one = (10 * (8 + 8 + 4 * 4 + 1) + 7) / 8 * 8;
  ASSERT_EQ(b.size(), 32 + 2 * one);
  float lowest = 1e9F;
  float highest = -1e9F;
  for (std::size_t k = 0; k < 10; ++k) {
    lowest = std::min(lowest, number_at<float>(b, 32 + 160 + 4 * k));
    highest = std::max(highest, number_at<float>(b, 32 + 200 + 4 * k));
    EXPECT_EQ(number_at<std::uint8_t>(b, 32 + 320 + k) & 1U, 0U) << "no bucket is empty";
  }
  // The same from the file itself, column by column.
  const std::string text = slurp(demo_folder + "/outdoor.csv");
  std::size_t column = 0;
  float low_file = 1e9F;
  float high_file = -1e9F;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (line.empty() || line.front() == '#') continue;
    std::vector<std::string> cells;
    std::istringstream row(line);
    for (std::string cell; std::getline(row, cell, ',');) cells.push_back(cell);
    if (column == 0) {
      while (cells[column].find("outdoor.2.discharge_temperature") == std::string::npos) ++column;
      EXPECT_THAT(cells[column], HasSubstr("degC"));
      continue;
    }
    if (cells.size() <= column || cells[column].empty()) continue;
    low_file = std::min(low_file, std::stof(cells[column]));
    high_file = std::max(high_file, std::stof(cells[column]));
  }
  EXPECT_NEAR(lowest, low_file + 273.15F, 1e-3);
  EXPECT_NEAR(highest, high_file + 273.15F, 1e-3);
  EXPECT_EQ(client->get(path + "outdoor.9.nothing").status, 404);
  EXPECT_EQ(client->get(path).status, 404);
  EXPECT_EQ(client->get("/api/recordings/" + id + "/series").status, 400);
  EXPECT_EQ(client->get("/api/recordings/" + id + "/series?channel=indoor.7.call&points=0").status,
            400);
  EXPECT_EQ(
      client->get("/api/recordings/" + id + "/series?channel=indoor.7.call&from=5&to=4").status,
      400);
  EXPECT_EQ(
      client->get("/api/recordings/" + id + "/series?channel=indoor.7.call&from=1e300").status,
      400);
}

TEST_F(Routes, CyclesAndDomeShareTheirReference) {
  const std::string id = demo();
  const Json channels = get("/api/recordings/" + id + "/channels");
  const std::int64_t noon = channels["start_ms"].get<std::int64_t>() + 7 * 3600000;
  const Json cycle = get("/api/recordings/" + id + "/cycle?at=" + std::to_string(noon));
  ASSERT_EQ(cycle["modules"].size(), 2U);
  const Json dome = get("/api/dome?refrigerant=" + cycle["refrigerant"].get<std::string>());
  // The corner "condensation begins" lies on the dew curve: between neighbours of the curve.
  for (const Json& point : cycle["modules"][0]["points"]) {
    if (point["key"] != "condenser_dew") continue;
    bool found = false;
    for (const Json& curve : dome["curves"]) {
      if (curve["kind"] != "dew") continue;
      for (std::size_t i = 1; i < curve["points"].size(); ++i) {
        const double p0 = curve["points"][i - 1][1];
        const double p1 = curve["points"][i][1];
        const double p = point["p"];
        if ((p0 - p) * (p1 - p) > 0.0) continue;
        const double h0 = curve["points"][i - 1][0];
        const double h1 = curve["points"][i][0];
        EXPECT_NEAR(point["h"].get<double>(), h0 + (h1 - h0) * (p - p0) / (p1 - p0), 500.0);
        found = true;
        break;
      }
    }
    EXPECT_TRUE(found);
  }
  const Json frames = get("/api/recordings/" + id + "/cycle?points=5");
  EXPECT_EQ(frames["frames"].size(), 5U);
  EXPECT_EQ(frames["frames"][0]["at_ms"], channels["start_ms"]);
  EXPECT_EQ(frames["frames"][4]["at_ms"], channels["end_ms"]);
  EXPECT_EQ(get("/api/dome?refrigerant=water", 404)["error"]["code"], "not_found");
}

TEST_F(Routes, TheWorstUnitComesFirst) {
  const std::string id = demo();
  const Json grid = get("/api/recordings/" + id + "/units?points=48");
  ASSERT_EQ(grid["units"].size(), 12U);
  // The planted fault: docs/user/demo.md.
  EXPECT_EQ(grid["units"][0]["place"], "indoor.7");
  EXPECT_EQ(grid["units"][0]["verdict"], "fault");
  EXPECT_EQ(grid["units"][0]["state"].get<std::string>().size(), 48U);
  EXPECT_EQ(grid["units"][0]["deviation"].size(), 48U);
}

TEST_F(Routes, OptionsChangeTheVerdictAsTheFlagsDo) {
  const std::string id = demo();
  const std::string at = "/api/recordings/" + id;
  json("PUT", at + "/options", 200, R"({"target": "115F", "altitude": "1600m"})");
  EXPECT_EQ(
      client->get(at + "/verdict").body,
      test::on_the_page(program("check --no-cache --json --target 115F --altitude 1600m --system " +
                                demo_sheet + " " + demo_folder)));
  EXPECT_EQ(json("PUT", at + "/options", 422, R"({"target": "2000F"})")["error"]["where"],
            "Condensing target")
      << "the field, not the command line's option";
  EXPECT_THAT(
      json("PUT", at + "/options", 400, R"({"tarGet": "1"})")["error"]["fix"].get<std::string>(),
      HasSubstr("target"));
  json("PUT", at + "/options", 400, "[1]");
  json("PUT", at + "/options", 400, "{");
  EXPECT_EQ(get(at)["options"]["target"], "115F") << "refused options change nothing";
}

TEST_F(Routes, TheSheetIsTheCommandLines) {
  const std::string id = demo();
  const std::string file = std::string(CW_SOURCE_ROOT) + "/data/systems/demo_office.toml";
  const Json sheet = get("/api/recordings/" + id + "/sheet");
  EXPECT_EQ(sheet["toml"], slurp(file));
  EXPECT_EQ(sheet["sheet"], Json::parse(program("sheet --json " + file)));
  const std::string svg = scratch.path("tree.svg");
  program("sheet --svg " + svg + " " + file);
  EXPECT_EQ(sheet["svg"], slurp(svg));
  const Json wrong = json("PUT", "/api/recordings/" + id + "/sheet", 422, "a = 1\nb = 2\n");
  EXPECT_GE(wrong["errors"].size(), 2U);
  EXPECT_EQ(get("/api/recordings/" + id + "/sheet")["toml"], slurp(file)) << "the old one stays";
  EXPECT_EQ(client->ask("DELETE", "/api/recordings/" + id + "/sheet").status, 204);
  EXPECT_EQ(client->get("/api/recordings/" + id + "/sheet").status, 404);
  EXPECT_EQ(get("/api/examples/minimal/sheet")["sheet"]["schema"], "coilwright.sheet/1");
  EXPECT_EQ(client->get("/api/examples/nothing/sheet").status, 404);
}

TEST_F(Routes, SheetsMayNotNameFilesOfThisMachine) {
  std::string sheet = slurp(std::string(CW_SOURCE_ROOT) + "/data/systems/minimal.toml");
  sheet.insert(sheet.find("[[outdoor]]") + 11, "\ncompressor = { map = \"/etc/passwd\" }");
  const std::string id = demo();
  for (const std::string& at : {"/api/recordings/" + id, "/api/intake/" + intake()}) {
    const Json refused = json("PUT", at + "/sheet", 422, sheet);
    EXPECT_EQ(refused["error"]["code"], "unsupported");
    EXPECT_THAT(refused["error"]["where"].get<std::string>(), HasSubstr("compressor"));
  }
  // One that an earlier version took is not read either.
  ASSERT_TRUE(workbench->store->set_sheet(id, sheet).has_value());
  EXPECT_EQ(get("/api/recordings/" + id + "/verdict", 422)["error"]["code"], "unsupported");
}

TEST_F(Routes, FieldworkIsTheCommandLines) {
  const Json list = get("/api/fieldwork");
  EXPECT_EQ(list["procedures"].size(), 8U);
  const std::string body =
      R"j({"answers": {"start": "4.15MPa(g)", "start-temperature": ["25C"], "end": "3.915MPa(g)",
          "end-temperature": "10C", "volume": "60L", "hours": 24, "date": "2026-01-14"}})j";
  const Json answer = json("POST", "/api/fieldwork/tightness", 200, body);
  EXPECT_EQ(answer["sheet"], Json::parse(test::on_the_page(program(
                                 "tightness --start '4.15MPa(g)' --start-temperature 25C --end "
                                 "'3.915MPa(g)' --end-temperature 10C --volume 60L --hours 24 "
                                 "--date 2026-01-14 --json"))));
  EXPECT_THAT(answer["paper"].get<std::string>(), StartsWith("<!doctype html>"));
  const std::string log = "time [min],pressure [micron]\n0,500\n10,700\n20,900\n30,1100\n";
  const std::string file = scratch.file("rise.csv", log);
  Json rise = {{"answers", {{"volume", "60L"}, {"coldest", "25C"}}},
               {"files", {{"log", {{"name", file}, {"text", log}}}}}};
  EXPECT_EQ(
      json("POST", "/api/fieldwork/evacuation", 200, rise.dump())["sheet"],
      Json::parse(program("evacuation --volume 60L --coldest 25C --log " + file + " --json")));
}

TEST_F(Routes, FieldworkReadsNoFileOfThisMachine) {
  const Json refused = json("POST", "/api/fieldwork/tightness", 422,
                            R"({"answers": {"log": "/etc/hostname", "volume": "60L"}})");
  EXPECT_EQ(refused["error"]["where"], "--log");
  EXPECT_EQ(json("POST", "/api/fieldwork/charge", 422,
                 R"({"answers": {"system": "/etc/passwd"}})")["error"]["where"],
            "system");
  json("POST", "/api/fieldwork/leak-rate", 422,
       R"({"answers": {"full": "80lb", "record": "2026-01-10 addition 6lb"}})");
  json("POST", "/api/fieldwork/nothing", 404, "{}");
  json("POST", "/api/fieldwork/tightness", 400, "[]");
  json("POST", "/api/fieldwork/tightness", 422, R"({"answers": {"start": "4.15MPa"}})");
}

TEST_F(Routes, ChargeAndRoomsTakeTheSheetOfARecording) {
  const std::string id = demo();
  for (const std::string procedure : {"charge", "rooms"}) {
    const Json answer =
        json("POST", "/api/fieldwork/" + procedure, 200, "{\"recording\": \"" + id + "\"}");
    EXPECT_EQ(answer["sheet"]["schema"], "coilwright." + procedure + "/1");
  }
}

TEST_F(Routes, ReadingsOfAMomentAreTheCommandLines) {
  const std::string body =
      R"({"mode": "heating", "readings": {"outdoor.1.discharge_pressure": "418psig",
          "outdoor.1.suction_pressure": "95psig", "outdoor.1.discharge_temperature": "185F",
          "site.outdoor_temperature": "20F"}})";
  EXPECT_EQ(json("POST", "/api/readings", 200, body)["readings"],
            Json::parse(program("readings --mode heating --discharge-pressure 418psig "
                                "--suction-pressure 95psig --discharge-temperature 185F "
                                "--outdoor-temperature 20F --json")));
  json("POST", "/api/readings", 422, R"({"mode": "heating", "readings": {"a.b": "1"}})");
  json("POST", "/api/readings", 400, R"({"readings": {"site.outdoor_temperature": 3}})");
}

TEST_F(Routes, TheTwinAnswersAtOnceAndByJob) {
  const Json point = json("POST", "/api/twin/steady", 200,
                          R"({"example": "demo_office", "mode": "heating", "outdoor": 275.15})");
  EXPECT_EQ(point["schema"], "coilwright.twin/1");
  EXPECT_FALSE(point["assumptions"].empty());
  double parts = point["inventory"]["gas_line"].get<double>() +
                 point["inventory"]["liquid_line"].get<double>() +
                 point["inventory"]["third_line"].get<double>();
  for (const Json& m : point["inventory"]["modules"]) {
    for (const char* key : {"coil", "accumulator", "discharge", "dissolved"}) {
      parts += m[key].get<double>();
    }
  }
  for (const Json& u : point["inventory"]["units"]) parts += u["coil"].get<double>();
  // Six digits a part, some twenty parts.
  EXPECT_NEAR(parts, point["inventory"]["total"].get<double>(), 1e-3);
  const Json started = json("POST", "/api/twin/map", 202,
                            R"({"example": "minimal", "outdoors": [275.15], "charges": [8, 9]})");
  const std::string end = end_of(started["job"]);
  ASSERT_THAT(end, StartsWith("event: done\ndata: "));
  const Json result = Json::parse(end.substr(end.find("data: ") + 6))["result"];
  EXPECT_EQ(result["cells"].size(), 1U);
  EXPECT_EQ(result["cells"][0].size(), 2U);
}

TEST_F(Routes, TheTwinRefusesWhatMakesNoSense) {
  const auto steady = [&](int status, const std::string& body) {
    return json("POST", "/api/twin/steady", status, body);
  };
  steady(404, "{}");
  steady(400, "nonsense");
  steady(400, R"({"example": "minimal", "weather": 3})");
  EXPECT_EQ(steady(422, R"({"example": "minimal", "outdoor": 1000})")["error"]["where"], "outdoor");
  steady(422, R"({"example": "minimal", "calls": [true]})");
  steady(400, R"({"example": "minimal", "calls": ["yes"]})");
  steady(422, R"({"example": "minimal", "mode": "warming"})");
  steady(422, R"({"example": "minimal", "faults": {"units": [{"filter_blocked": 7}]}})");
  EXPECT_GE(steady(422, R"({"sheet": "x = 1"})")["errors"].size(), 1U);
  Json mapped = {{"sheet", slurp(std::string(CW_SOURCE_ROOT) + "/data/systems/minimal.toml")}};
  std::string sheet = mapped["sheet"];
  const std::size_t outdoor = sheet.find("[[outdoor]]") + 11;
  sheet.insert(outdoor, "\ncompressor = { map = \"/etc/passwd\" }");
  mapped["sheet"] = sheet;
  EXPECT_EQ(steady(422, mapped.dump())["error"]["code"], "unsupported");
  json("POST", "/api/twin/map", 422, R"({"example": "minimal", "outdoors": [], "charges": [8]})");
}

TEST_F(Routes, WhatIsNotThereIsSaidSo) {
  EXPECT_EQ(get("/api/nothing", 404)["error"]["code"], "not_found");
  for (const char* path : {"", "/verdict", "/channels", "/phases", "/units", "/cycle", "/sheet"}) {
    EXPECT_EQ(client->get(std::string("/api/recordings/nothing") + path).status, 404) << path;
  }
  EXPECT_EQ(client->get("/api/jobs/nothing").status, 404);
  EXPECT_EQ(client->get("/api/jobs/nothing/events").status, 404);
  EXPECT_EQ(client->ask("DELETE", "/api/recordings/nothing").status, 404);
  const Answer wrong = client->ask("POST", "/api/about", "{}");
  EXPECT_EQ(wrong.status, 405);
  EXPECT_EQ(wrong.header("Allow"), "GET, HEAD");
  EXPECT_EQ(client->ask("OPTIONS", "/api/about").status, 405);
}

}  // namespace
}  // namespace cw
