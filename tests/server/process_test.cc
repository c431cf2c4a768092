// The program itself: killed at any moment, asked by many at once, told to end.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <set>
#include <thread>

#include "server/client.h"
#include "server/program.h"
#include "support/run_program.h"

namespace cw {
namespace {

namespace fs = std::filesystem;
using test::Answer;
using test::Client;
using test::Program;
using Json = nlohmann::json;
using testing::HasSubstr;

std::set<std::string> listed(std::uint16_t port) {
  std::set<std::string> out;
  const Json list = Json::parse(Client(port).get("/api/recordings").body, nullptr, false);
  if (!list.is_object()) return out;
  for (const Json& recording : list["recordings"]) out.insert(recording["id"]);
  return out;
}

std::string small_log(int number) {
  std::string out = "time,outdoor.1.discharge_temperature [degC]\n";
  for (int i = 0; i < 30; ++i) {
    out += "2026-01-20 05:" + std::string(i < 10 ? "0" : "") + std::to_string(i) + "," +
           std::to_string(60 + number) + "\n";
  }
  return out;
}

/// Takes recordings in until the connection is gone; each one that was shown as done is noted.
void take_in_forever(std::uint16_t port, std::set<std::string>& shown) {
  const Client client(port);
  for (int i = 0;; ++i) {
    const Json begun = Json::parse(client.ask("POST", "/api/intake", "{}").body, nullptr, false);
    if (!begun.is_object() || !begun.contains("id")) return;
    const std::string id = begun["id"];
    if (client.ask("PUT", "/api/intake/" + id + "/files/log.csv", small_log(i)).status != 201) {
      return;
    }
    const Json job =
        Json::parse(client.ask("POST", "/api/intake/" + id + "/read", "{}").body, nullptr, false);
    if (!job.is_object() || !job.contains("job")) return;
    if (client.events(job["job"]).find("event: done\n") != std::string::npos) shown.insert(id);
  }
}

TEST(Process, KilledAtAnyMomentLosesNothingThatWasShown) {
  const test::Scratch scratch;
  const std::string folder = scratch.path("folder");
  std::set<std::string> shown;
  for (int round = 0; round < 6; ++round) {
    Program program(folder);
    ASSERT_NE(program.port, 0) << program.said;
    // Everything that was shown before is there, and can be judged.
    const std::set<std::string> now = listed(program.port);
    for (const std::string& id : shown) EXPECT_EQ(now.count(id), 1U) << id;
    // What is listed beyond that was complete at its kill: it must be whole, too.
    for (const std::string& id : now) {
      EXPECT_EQ(Client(program.port).get("/api/recordings/" + id + "/verdict").status, 200);
    }
    EXPECT_TRUE(fs::is_empty(folder + "/incoming")) << "leftovers are cleaned";
    std::thread worker([&] { take_in_forever(program.port, shown); });
    // Another moment in each round; how far the work has come then does not matter.
    std::this_thread::sleep_for(std::chrono::milliseconds(60 + 97 * round));
    EXPECT_EQ(program.end(SIGKILL), -SIGKILL);
    worker.join();
  }
  Program last(folder);
  const std::set<std::string> now = listed(last.port);
  for (const std::string& id : shown) EXPECT_EQ(now.count(id), 1U) << id;
  EXPECT_FALSE(shown.empty()) << "at least one was taken in";
}

TEST(Process, EndsByItselfWhenToldTo) {
  const test::Scratch scratch;
  for (const int signal : {SIGINT, SIGTERM}) {
    Program program(scratch.path("folder"));
    ASSERT_NE(program.port, 0);
    test::Socket idle(program.port);
    EXPECT_EQ(program.end(signal), 0);
  }
}

TEST(Process, OneFolderHasOneServer) {
  const test::Scratch scratch;
  Program program(scratch.path("folder"));
  ASSERT_NE(program.port, 0);
  const test::Ran second =
      test::run_program(scratch, "serve --port 0 --folder " + scratch.path("folder"));
  EXPECT_EQ(second.exit, 2);
  EXPECT_THAT(second.err, HasSubstr("another workbench uses this folder"));
}

TEST(Process, WrongUsageIsSaidSo) {
  const test::Scratch scratch;
  const std::string folder = " --folder " + scratch.path("folder");
  EXPECT_EQ(test::run_program(scratch, "serve --port 99999" + folder).exit, 2);
  EXPECT_EQ(test::run_program(scratch, "serve --listen nowhere" + folder).exit, 2);
  EXPECT_EQ(test::run_program(scratch, "serve --folder /proc/nothing").exit, 2);
  EXPECT_EQ(test::run_program(scratch, "serve --upload-limit few" + folder).exit, 2);
}

TEST(Process, BeyondLoopbackATokenIsAsked) {
  const test::Scratch scratch;
  Program program(scratch.path("folder"), {"--listen", "0.0.0.0"});
  const std::size_t token = program.said.find("?token=");
  ASSERT_NE(token, std::string::npos) << program.said;
  const std::size_t colon = program.said.find(':', program.said.find("0.0.0.0"));
  Client client(static_cast<std::uint16_t>(std::atoi(program.said.c_str() + colon + 1)));
  EXPECT_EQ(client.get("/api/about").status, 401);
  client.headers = {"Authorization: Bearer " + program.said.substr(token + 7)};
  EXPECT_EQ(client.get("/api/about").status, 200);
}

TEST(Process, TwoHundredAtOnceGetTheSameVerdict) {
  const test::Scratch scratch;
  Program program(scratch.path("folder"));
  const Client client(program.port);
  const std::string id = Json::parse(client.ask("POST", "/api/recordings/demo", "{}").body)["id"];
  const std::string path = "/api/recordings/" + id;
  const std::string verdict = client.get(path + "/verdict").body;
  const std::vector<std::string> paths = {
      "/verdict", "/channels", "/phases", "/units?points=50",
      "/series?points=100&channel=indoor.7.gas_pipe_temperature"};
  std::vector<std::string> expected;
  for (const std::string& one : paths) expected.push_back(client.get(path + one).body);
  std::atomic<int> good{0};
  std::vector<std::thread> threads;
  for (std::size_t i = 0; i < 200; ++i) {
    threads.emplace_back([&, i] {
      const Answer answer = client.get(path + paths[i % paths.size()]);
      if (answer.status == 200 && answer.body == expected[i % paths.size()]) ++good;
    });
  }
  for (std::thread& thread : threads) thread.join();
  EXPECT_EQ(good, 200);
  EXPECT_EQ(program.end(SIGTERM), 0);
}

TEST(Process, WritesNothingOutsideItsFolder) {
  const test::Scratch scratch;
  fs::create_directories(scratch.path("home"));
  ::setenv("HOME", scratch.path("home").c_str(), 1);
  ::unsetenv("XDG_DATA_HOME");
  ::unsetenv("XDG_CACHE_HOME");
  {
    Program program(scratch.path("folder"));
    const Client client(program.port);
    const std::string id = Json::parse(client.ask("POST", "/api/recordings/demo", "{}").body)["id"];
    EXPECT_EQ(client.get("/api/recordings/" + id + "/verdict").status, 200);
    EXPECT_EQ(program.end(SIGTERM), 0);
  }
  std::set<std::string> top;
  for (const auto& entry : fs::directory_iterator(scratch.path())) {
    top.insert(entry.path().filename().string());
  }
  EXPECT_EQ(top, (std::set<std::string>{"folder", "home"}));
  // Tables of refrigerants are kept where every command keeps them, and nothing else.
  for (const auto& entry : fs::recursive_directory_iterator(scratch.path("home"))) {
    if (entry.is_regular_file()) {
      EXPECT_THAT(entry.path().string(), HasSubstr("/.cache/coilwright/"));
    }
  }
}

}  // namespace
}  // namespace cw
