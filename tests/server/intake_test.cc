// Taking recordings in: the way of a file from the person's disk to a verdict.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <thread>

#include "server/served.h"

namespace cw {
namespace {

namespace fs = std::filesystem;
using test::Answer;
using test::Json;
using test::slurp;
using testing::HasSubstr;
using testing::StartsWith;

const std::string demo_folder = std::string(CW_BINARY_ROOT) + "/demo";

class Intake : public test::Served {
 protected:
  Answer put(const std::string& intake, const std::string& name, const std::string& bytes) const {
    return client->ask("PUT", "/api/intake/" + intake + "/files/" + name, bytes);
  }
  /// Names of all files below the folder, but for those of the store's own kind.
  std::vector<std::string> strangers() const {
    std::vector<std::string> out;
    for (const auto& entry : fs::recursive_directory_iterator(scratch.path())) {
      const std::string name = entry.path().filename().string();
      if (name.find("evil") != std::string::npos) out.push_back(entry.path().string());
    }
    return out;
  }
};

TEST_F(Intake, FromFilesToAVerdict) {
  const std::string id = intake();
  for (const char* name : {"outdoor.csv", "indoor.csv"}) {
    const std::string bytes = slurp(demo_folder + "/" + name);
    const Answer sent = put(id, name, bytes);
    ASSERT_EQ(sent.status, 201) << sent.body;
    EXPECT_EQ(Json::parse(sent.body)["bytes"], bytes.size());
  }
  EXPECT_EQ(client->get("/api/intake/" + id + "/survey").body,
            test::on_the_page(program("inspect --json " + demo_folder)));
  EXPECT_TRUE(get("/api/recordings")["recordings"].empty()) << "not taken in yet";
  const std::string end = read(id);
  ASSERT_THAT(end, StartsWith("event: done\n"));
  EXPECT_THAT(end, HasSubstr("{\"recording\":\"" + id + "\"}"));
  const Json list = get("/api/recordings")["recordings"];
  ASSERT_EQ(list.size(), 1U);
  EXPECT_EQ(list[0]["name"], "indoor.csv and outdoor.csv");
  EXPECT_EQ(list[0]["summary"]["verdict"], "fault");
  EXPECT_EQ(client->get("/api/recordings/" + id + "/verdict").body,
            test::on_the_page(program("check --no-cache --json " + demo_folder)));
  EXPECT_EQ(client->get("/api/intake/" + id).status, 404) << "it is a recording now";
  EXPECT_EQ(client->ask("DELETE", "/api/recordings/" + id).status, 204);
  EXPECT_TRUE(get("/api/recordings")["recordings"].empty());
}

TEST_F(Intake, ACorrectedMapIsUsedAndKept) {
  const std::string log =
      "when,T_DIS,P_HI\n2026-01-20 05:00,60,2500\n2026-01-20 05:01,61,2510\n"
      "2026-01-20 05:02,62,2520\n";
  const std::string id = intake();
  ASSERT_EQ(put(id, "log.csv", log).status, 201);
  EXPECT_THAT(client->get("/api/intake/" + id + "/map").body, HasSubstr("T_DIS"));
  const std::string map =
      "[clock]\ncolumn = \"when\"\n[[column]]\nheader = \"T_DIS\"\nchannel = "
      "\"outdoor.1.discharge_temperature\"\nunit = \"degC\"\n[[column]]\nheader = \"P_HI\"\n"
      "channel = \"outdoor.1.discharge_pressure\"\nunit = \"kPa(g)\"\n";
  const Json broken = json("PUT", "/api/intake/" + id + "/map", 422, "[[column\n");
  EXPECT_THAT(broken["error"]["where"].get<std::string>(), HasSubstr("map"));
  json("PUT", "/api/intake/" + id + "/map", 422, "");
  const Answer taken = client->ask("PUT", "/api/intake/" + id + "/map", map);
  ASSERT_EQ(taken.status, 204) << taken.body;
  EXPECT_EQ(client->get("/api/intake/" + id + "/map").body, map);
  ASSERT_THAT(read(id), StartsWith("event: done\n"));
  const Json verdict = get("/api/recordings/" + id + "/verdict");
  EXPECT_EQ(verdict["quality"]["columns_understood"].size(), 2U);
  stop();
  start();
  EXPECT_EQ(get("/api/recordings/" + id)["has_map"], true);
  EXPECT_EQ(get("/api/recordings/" + id + "/verdict"), verdict);
}

const std::string foreign_log =
    "when,T_DIS,P_HI\n2026-01-20 05:00,60,2500\n2026-01-20 05:01,61,2510\n"
    "2026-01-20 05:02,62,2520\n";

std::string column(const std::string& header, const std::string& channel, const std::string& unit) {
  return "[[column]]\nheader = \"" + header + "\"\nchannel = \"" + channel + "\"\nunit = \"" +
         unit + "\"\n";
}

TEST_F(Intake, WhatWasUnderstoodIsCorrectedAfterwardsFromTheFilesAsTheyCame) {
  const std::string id = intake();
  ASSERT_EQ(put(id, "log.csv", foreign_log).status, 201);
  const std::string one = column("T_DIS", "outdoor.1.discharge_temperature", "degC");
  ASSERT_EQ(client->ask("PUT", "/api/intake/" + id + "/map", one).status, 204);
  ASSERT_THAT(read(id), StartsWith("event: done\n"));
  const std::string at = "/api/recordings/" + id;
  EXPECT_EQ(get(at + "/verdict")["quality"]["columns_understood"].size(), 1U);

  const Json begun = json("POST", at + "/correction", 201, "{}");
  const std::string again = begun["id"];
  const std::string in = "/api/intake/" + again;
  EXPECT_EQ(begun["corrects"], id);
  EXPECT_EQ(json("POST", at + "/correction", 201, "{}")["id"], again) << "one is enough";
  EXPECT_EQ(client->get(in + "/map").body, one) << "it begins with what is in force";
  EXPECT_EQ(get(in + "/map?as=json")["column"][0]["header"], "T_DIS");
  EXPECT_EQ(get(in + "/survey")["files"][0]["columns"].size(), 3U);
  const std::string both = one + column("P_HI", "outdoor.1.discharge_pressure", "kPa(a)");
  ASSERT_EQ(client->ask("PUT", in + "/map", both).status, 204);
  ASSERT_EQ(client->ask("PUT", in + "/options", R"({"refrigerant": "R-32"})").status, 204);
  EXPECT_EQ(get(at + "/verdict")["quality"]["columns_understood"].size(), 1U)
      << "nothing is in force before it was read";
  EXPECT_THAT(read(again), HasSubstr("{\"recording\":\"" + id + "\"}"));
  const Json verdict = get(at + "/verdict");
  EXPECT_EQ(verdict["quality"]["columns_understood"].size(), 2U);
  EXPECT_EQ(verdict["refrigerant"], "R-32");
  EXPECT_EQ(get("/api/recordings")["recordings"].size(), 1U);
  EXPECT_EQ(client->get(in).status, 404) << "it is done";

  stop();
  start();
  EXPECT_EQ(get(at + "/verdict"), verdict) << "it is kept";
  EXPECT_EQ(slurp(scratch.path("folder/recordings/" + id + "/f1")), foreign_log);
  // Back to what the file says by itself: nothing.
  const std::string third = json("POST", at + "/correction", 201, "{}")["id"];
  ASSERT_EQ(client->ask("DELETE", "/api/intake/" + third + "/map").status, 204);
  const std::string end = read(third);
  EXPECT_THAT(end, StartsWith("event: failed\n"));
  EXPECT_THAT(end, testing::Not(HasSubstr("--map"))) << "the page has no options";
  EXPECT_EQ(get(at + "/verdict"), verdict) << "what cannot be read takes no one's place";
}

TEST_F(Intake, AMapWithNumbersThatJsonHasNotGoesAlongWhole) {
  const std::string id = intake();
  put(id, "log.csv", foreign_log);
  const std::string at = "/api/intake/" + id + "/map";
  ASSERT_EQ(client->ask("PUT", at, "sentinels = [nan, inf, -inf, -999]\n").status, 204);
  const Json sentinels = get(at + "?as=json")["sentinels"];
  EXPECT_EQ(sentinels.dump(),
            R"([{"not_finite":"nan"},{"not_finite":"inf"},{"not_finite":"-inf"},-999])");
}

TEST_F(Intake, TheFilesOfARecordingCannotBeTakenAwayOrAddedToByACorrection) {
  const std::string id = intake();
  put(id, "log.csv", foreign_log);
  const std::string map = column("T_DIS", "outdoor.1.discharge_temperature", "degC");
  client->ask("PUT", "/api/intake/" + id + "/map", map);
  ASSERT_THAT(read(id), StartsWith("event: done\n"));
  const std::string at = "/api/recordings/" + id;
  const std::string file = scratch.path("folder/recordings/" + id + "/f1");
  const std::string again = json("POST", at + "/correction", 201, "{}")["id"];
  EXPECT_EQ(put(again, "more.csv", "x").status, 409);
  EXPECT_EQ(client->ask("DELETE", "/api/intake/" + again + "/files/log.csv").status, 422);
  const std::string sheet = slurp(std::string(CW_SOURCE_ROOT) + "/data/systems/minimal.toml");
  EXPECT_EQ(client->ask("PUT", "/api/intake/" + again + "/sheet", sheet).status, 422);
  EXPECT_EQ(slurp(file), foreign_log);
  // Leaving it changes nothing.
  EXPECT_EQ(client->ask("DELETE", "/api/intake/" + again).status, 204);
  EXPECT_EQ(slurp(file), foreign_log);
  EXPECT_EQ(get(at)["has_map"], true);
  // What was changed meanwhile elsewhere is not overwritten.
  const std::string late = json("POST", at + "/correction", 201, "{}")["id"];
  ASSERT_EQ(client->ask("PUT", at + "/options", R"({"mode": "heating"})").status, 200);
  const std::string end = read(late);
  EXPECT_THAT(end, StartsWith("event: failed\n"));
  EXPECT_THAT(end, HasSubstr("changed"));
  EXPECT_EQ(get(at)["options"]["mode"], "heating");
  const std::string fresh = json("POST", at + "/correction", 201, "{}")["id"];
  EXPECT_NE(fresh, late) << "begun anew with what stands there now";
  EXPECT_EQ(get("/api/intake/" + fresh)["options"]["mode"], "heating");
  // With the recording its correction goes.
  EXPECT_EQ(client->ask("DELETE", at).status, 204);
  EXPECT_EQ(client->get("/api/intake/" + fresh).status, 404);
  EXPECT_EQ(client->ask("POST", at + "/correction", "{}").status, 404);
}

TEST_F(Intake, WhatCannotBeReadFailsWithTheProgramsWords) {
  const std::string id = intake();
  put(id, "noise.csv", std::string("\x00\x01\x02\xff\xfe nothing", 14));
  const std::string end = read(id);
  ASSERT_THAT(end, StartsWith("event: failed\n"));
  const Json error = Json::parse(end.substr(end.find("data: ") + 6))["error"];
  EXPECT_EQ(error["code"], "unreadable");
  EXPECT_EQ(error["where"].get<std::string>().find(scratch.path()), std::string::npos)
      << "no path of this machine";
  EXPECT_TRUE(get("/api/recordings")["recordings"].empty());
  const std::string empty = intake();
  json("POST", "/api/intake/" + empty + "/read", 422, "{}");
  EXPECT_EQ(client->get("/api/intake/" + empty + "/survey").status, 422);
}

TEST_F(Intake, NamesAreNeverPaths) {
  const std::string id = intake();
  for (const char* name :
       {"..%2Fevil.csv", "..%2F..%2Fevil.csv", "%2Ftmp%2Fevil.csv", "..", ".", "a%2Fevil.csv",
        "a%5Cevil.csv", "evil%00.csv", "evil%0A.csv", "%ff%feevil.csv", "evil%"}) {
    const int status = put(id, name, "x").status;
    EXPECT_TRUE(status == 400 || status == 404) << name << " " << status;
  }
  EXPECT_EQ(put(id, std::string(201, 'x'), "x").status, 400);
  EXPECT_EQ(put(id, "../evil.csv", "x").status, 404);
  EXPECT_EQ(put("..%2F..%2Fevil", "a.csv", "x").status, 404);
  EXPECT_EQ(client->get("/assets/..%2F..%2Fetc%2Fpasswd").status, 404);
  EXPECT_EQ(client->get("/..%2F..%2Fetc%2Fpasswd").status, 404);
  EXPECT_EQ(client->get("/api/recordings/..%2F..%2Flock").status, 404);
  EXPECT_TRUE(strangers().empty());
  // A name that looks wild and is none stays what the person called it.
  EXPECT_EQ(put(id, "W%C3%A4rme%20%2520%3B%20rm%20-rf.csv", "x").status, 201);
  EXPECT_EQ(get("/api/intake/" + id)["files"][0]["name"], "W\xC3\xA4rme %20; rm -rf.csv");
}

TEST_F(Intake, NamesAreTakenOnceAndFilesCanBeTakenBack) {
  const std::string id = intake();
  EXPECT_EQ(put(id, "a.csv", "1").status, 201);
  EXPECT_EQ(put(id, "a.csv", "2").status, 409);
  EXPECT_EQ(client->ask("DELETE", "/api/intake/" + id + "/files/a.csv").status, 204);
  EXPECT_EQ(client->ask("DELETE", "/api/intake/" + id + "/files/a.csv").status, 404);
  EXPECT_EQ(put(id, "a.csv", "").status, 201) << "empty files are the importer's business";
  EXPECT_EQ(client->ask("DELETE", "/api/intake/" + id).status, 204);
  EXPECT_EQ(put(id, "b.csv", "1").status, 404);
}

TEST_F(Intake, TooLargeIsRefusedAndLeavesNothing) {
  const std::string id = intake();
  EXPECT_EQ(put(id, "big.csv", std::string(upload_limit + 1, 'x')).status, 413);
  EXPECT_EQ(put(id, "fits.csv", std::string(upload_limit, 'x')).status, 201);
  // Announced small, sent in chunks without end.
  std::string chunked = "PUT /api/intake/" + id +
                        "/files/chunks.csv HTTP/1.1\r\nHost: " + client->host +
                        "\r\nTransfer-Encoding: chunked\r\n\r\n";
  for (int i = 0; i < 80; ++i) chunked += "10000\r\n" + std::string(0x10000, 'y') + "\r\n";
  EXPECT_EQ(client->raw(chunked).status, 413);
  EXPECT_EQ(get("/api/intake/" + id)["files"].size(), 1U);
  std::size_t files = 0;
  for (const auto& entry : fs::directory_iterator(scratch.path("folder/incoming/" + id))) {
    (void)entry;
    ++files;
  }
  EXPECT_EQ(files, 1U);
  // JSON has a limit of its own.
  EXPECT_EQ(
      client->ask("PUT", "/api/intake/" + id + "/options", std::string(5U << 20U, ' ')).status,
      413);
}

TEST_F(Intake, AnUploadThatBreaksOffLeavesNothing) {
  const std::string id = intake();
  {
    test::Socket socket(client->port);
    socket.send("PUT /api/intake/" + id + "/files/half.csv HTTP/1.1\r\nHost: " + client->host +
                "\r\nContent-Length: 1000\r\n\r\nhalf");
  }
  // The server sees the end of the connection in its own time: the name is free again then.
  int status = 0;
  for (int i = 0; i < 1000 && status != 201; ++i) {
    status = put(id, "half.csv", "whole").status;
  }
  EXPECT_EQ(status, 201);
  EXPECT_EQ(get("/api/intake/" + id)["files"].size(), 1U);
}

TEST_F(Intake, AJobCanBeStoppedInMidWork) {
  // 24 x 24 working points take seconds.
  std::string outdoors;
  std::string charges;
  for (int i = 0; i < 24; ++i) {
    outdoors += (i > 0 ? "," : "") + std::to_string(260.0 + i);
    charges += (i > 0 ? "," : "") + std::to_string(20.0 + 0.1 * i);
  }
  const std::string body = R"({"example": "demo_office", "outdoors": [)" + outdoors +
                           R"(], "charges": [)" + charges + "]}";
  const std::string job = json("POST", "/api/twin/map", 202, body)["job"];
  test::Socket socket(client->port);
  socket.send(client->request("GET", "/api/jobs/" + job + "/events"));
  ASSERT_TRUE(socket.wait_for("working point"));
  EXPECT_EQ(client->ask("DELETE", "/api/jobs/" + job).status, 202);
  const std::string events = socket.all();
  EXPECT_THAT(events, HasSubstr("event: cancelled\n"));
  EXPECT_EQ(get("/api/jobs/" + job)["state"], "cancelled");
  EXPECT_EQ(client->ask("DELETE", "/api/jobs/" + job).status, 204);
}

TEST_F(Intake, AReadingThatIsStoppedTakesNothingIn) {
  const std::string id = intake();
  put(id, "indoor.csv", slurp(demo_folder + "/indoor.csv"));
  put(id, "outdoor.csv", slurp(demo_folder + "/outdoor.csv"));
  const std::string job = json("POST", "/api/intake/" + id + "/read", 202, "{}")["job"];
  client->ask("DELETE", "/api/jobs/" + job);
  const std::string end = end_of(job);
  // Either it was stopped, or it was done before: never something between.
  const bool done = end.find("event: done") == 0;
  EXPECT_TRUE(done || end.find("event: cancelled") == 0) << end;
  EXPECT_EQ(get("/api/recordings")["recordings"].size(), done ? 1U : 0U);
}

TEST_F(Intake, ACorrectionThatIsStoppedChangesAllOrNothing) {
  const std::string id = intake();
  put(id, "indoor.csv", slurp(demo_folder + "/indoor.csv"));
  put(id, "outdoor.csv", slurp(demo_folder + "/outdoor.csv"));
  ASSERT_THAT(read(id), StartsWith("event: done\n"));
  const std::string at = "/api/recordings/" + id;
  const auto now = [] { return std::chrono::steady_clock::now(); };
  std::chrono::duration<double> whole{};
  int stopped = 0;
  // The first two are not stopped: they show how long one takes here, with and without a map.
  for (int i = 0; i < 14; ++i) {
    const bool had = get(at)["has_map"];
    const std::string again = json("POST", at + "/correction", 201, "{}")["id"];
    const std::string map = "ignore = [\"site.outdoor_humidity [%]\"]\n";
    client->ask(had ? "DELETE" : "PUT", "/api/intake/" + again + "/map", had ? "" : map);
    const auto began = now();
    const std::string job = json("POST", "/api/intake/" + again + "/read", 202, "{}")["job"];
    if (i >= 2) {
      std::this_thread::sleep_for(whole * (0.1 * (i - 2)));  // 0 to 110 % of it
      client->ask("DELETE", "/api/jobs/" + job);
    }
    const std::string end = end_of(job);
    if (i < 2) whole = std::max<std::chrono::duration<double>>(whole, now() - began);
    const bool done = end.find("event: done") == 0;
    EXPECT_TRUE(done || end.find("event: cancelled") == 0) << end;
    EXPECT_TRUE(done || i >= 2) << "nobody stopped it: " << end;
    stopped += done ? 0 : 1;
    EXPECT_EQ(get(at)["has_map"], done ? !had : had);
    EXPECT_EQ(client->get(at + "/verdict").status, 200);
    client->ask("DELETE", "/api/intake/" + again);
  }
  // That one comes to its end the first two have shown; that one is stopped, the stops at once.
  EXPECT_GT(stopped, 0) << "of twelve stops none came in time; one takes " << whole.count() << " s";
}

TEST_F(Intake, TooMuchAtOnceIsRefused) {
  std::vector<std::string> jobs;
  std::string outdoors = "260";
  for (int i = 1; i < 24; ++i) outdoors += "," + std::to_string(260 + i);
  const std::string body = R"({"example": "demo_office", "outdoors": [)" + outdoors +
                           R"(], "charges": [20,20.5,21,21.5,22,22.5,23]})";
  int refused = 0;
  for (int i = 0; i < 8; ++i) {
    const Answer answer = client->ask("POST", "/api/twin/map", body);
    if (answer.status == 202) jobs.push_back(Json::parse(answer.body)["job"]);
    refused += answer.status == 429 ? 1 : 0;
  }
  EXPECT_GE(refused, 1);
  for (const std::string& job : jobs) client->ask("DELETE", "/api/jobs/" + job);
  for (int i = 0; i < 200; ++i) {
    const Answer answer = client->ask("POST", "/api/intake", "{}");
    if (answer.status == 201) continue;
    EXPECT_EQ(answer.status, 429);
    EXPECT_EQ(i, 64);
    break;
  }
}

}  // namespace
}  // namespace cw
