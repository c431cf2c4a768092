// The program killed at random moments of an upload and of a correction: what was shown as done is
// there afterwards, and nothing is there by half.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <filesystem>
#include <limits>
#include <nlohmann/json.hpp>
#include <random>
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
using test::slurp;
using testing::HasSubstr;
using Json = nlohmann::json;

constexpr int rounds = 20;

Json json(const Answer& answer) { return Json::parse(answer.body, nullptr, false); }

/// A log of two signals in words of its own, some hundred kilobytes.
std::string foreign_log() {
  std::string out = "when,T_DIS,P_HI\n";
  for (int i = 0; i < 9000; ++i) {
    const int minute = i % 60, hour = i / 60 % 24, day = 1 + i / 1440;
    char stamp[32];
    std::snprintf(stamp, sizeof stamp, "2026-01-%02d %02d:%02d", day, hour, minute);
    out += std::string(stamp) + ",60,2500\n";
  }
  return out;
}

std::string map_of(std::size_t columns) {
  std::string out =
      "[[column]]\nheader = \"T_DIS\"\nchannel = \"outdoor.1.discharge_temperature\"\n"
      "unit = \"degC\"\n";
  if (columns == 2) {
    out +=
        "[[column]]\nheader = \"P_HI\"\nchannel = \"outdoor.1.discharge_pressure\"\n"
        "unit = \"kPa(a)\"\n";
  }
  return out;
}

/// Begins, fills and reads an intake; its id, empty where the connection went.
std::string taken_in(const Client& client, const std::string& log) {
  const Json begun = json(client.ask("POST", "/api/intake", "{}"));
  if (!begun.is_object() || !begun.contains("id")) return {};
  const std::string id = begun["id"];
  const std::string at = "/api/intake/" + id;
  if (client.ask("PUT", at + "/files/log.csv", log).status != 201) return {};
  if (client.ask("PUT", at + "/map", map_of(1)).status != 204) return {};
  const Json job = json(client.ask("POST", at + "/read", "{}"));
  if (!job.is_object() || !job.contains("job")) return {};
  return client.events(job["job"]).find("event: done\n") == std::string::npos ? "" : id;
}

/// Every connection of its own that sends a part of a file and goes on, slowly, until it is cut.
void upload_slowly(std::uint16_t port, const std::string& log, const std::atomic<bool>& stop) {
  const Client client(port);
  const Json begun = json(client.ask("POST", "/api/intake", "{}"));
  if (!begun.is_object() || !begun.contains("id")) return;
  test::Socket socket(port);
  const std::string head = "PUT /api/intake/" + begun["id"].get<std::string>() +
                           "/files/half.csv HTTP/1.1\r\nHost: " + client.host +
                           "\r\nContent-Length: " + std::to_string(log.size()) + "\r\n\r\n";
  if (!socket.send(head)) return;
  for (std::size_t at = 0; at + 2000 < log.size() && !stop; at += 1000) {
    if (!socket.send(std::string_view(log).substr(at, 1000))) return;
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  while (!stop) std::this_thread::sleep_for(std::chrono::milliseconds(1));
}

/// What was said of a recording: the columns of the correction that was shown as done last, and of
/// the one that was under way when the program went.
struct Corrections {
  std::size_t shown = 1;
  std::size_t under_way = 1;
};

/// Corrects a recording to and fro until the connection is gone, or `most` times.
void correct(std::uint16_t port, const std::string& recording, Corrections& out,
             int most = std::numeric_limits<int>::max()) {
  const Client client(port);
  for (int i = 0; i < most; ++i) {
    const Json begun =
        json(client.ask("POST", "/api/recordings/" + recording + "/correction", "{}"));
    if (!begun.is_object() || !begun.contains("id")) return;
    const std::string at = "/api/intake/" + begun["id"].get<std::string>();
    const std::size_t next = 3 - out.shown;
    if (client.ask("PUT", at + "/map", map_of(next)).status != 204) return;
    out.under_way = next;
    const Json job = json(client.ask("POST", at + "/read", "{}"));
    if (!job.is_object() || !job.contains("job")) return;
    if (client.events(job["job"]).find("event: done\n") == std::string::npos) return;
    out.shown = next;
  }
}

/// After a start: the recording is whole, and its map is the one that was shown or the one that was
/// under way. Gives the columns that are in force.
std::size_t look(std::uint16_t port, const std::string& folder, const std::string& id,
                 const std::string& log, const Corrections& said) {
  const Client client(port);
  const Json list = json(client.get("/api/recordings"))["recordings"];
  EXPECT_EQ(list.size(), 1U) << "nothing by half, and the one that was shown";
  const Answer verdict = client.get("/api/recordings/" + id + "/verdict");
  EXPECT_EQ(verdict.status, 200) << verdict.body;
  const std::size_t columns = json(verdict)["quality"]["columns_understood"].size();
  EXPECT_TRUE(columns == said.shown || columns == said.under_way)
      << columns << ", shown " << said.shown << ", under way " << said.under_way;
  EXPECT_EQ(slurp(folder + "/recordings/" + id + "/f1"), log) << "the file is as it came";
  EXPECT_TRUE(fs::is_empty(folder + "/incoming")) << "uploads that broke off leave nothing";
  return columns;
}

TEST(Killed, InMidUploadAndMidCorrectionAtTwentyRandomMoments) {
  const test::Scratch scratch;
  const std::string folder = scratch.path("folder");
  const std::string log = foreign_log();
  std::string id;
  {
    Program program(folder);
    ASSERT_NE(program.port, 0) << program.said;
    id = taken_in(Client(program.port), log);
    ASSERT_FALSE(id.empty());
    EXPECT_EQ(program.end(SIGKILL), -SIGKILL) << "at once after it was shown";
  }
  Corrections said;
  std::mt19937 random(8);
  for (int round = 0; round < rounds; ++round) {
    Program program(folder);
    ASSERT_NE(program.port, 0) << program.said;
    const std::size_t columns = look(program.port, folder, id, log, said);
    said.shown = said.under_way = columns;
    std::atomic<bool> stop{false};
    std::thread uploads([&] { upload_slowly(program.port, log, stop); });
    std::thread corrections([&] { correct(program.port, id, said); });
    // How far the work has come by then does not matter: another moment each time.
    std::this_thread::sleep_for(std::chrono::microseconds(random() % 200000));
    EXPECT_EQ(program.end(SIGKILL), -SIGKILL);
    stop = true;
    uploads.join();
    corrections.join();
  }
  // However slow the machine is, once a correction comes to its end and is there after the kill.
  Program last(folder);
  said.shown = said.under_way = look(last.port, folder, id, log, said);
  const std::size_t before = said.shown;
  correct(last.port, id, said, 1);
  EXPECT_EQ(said.shown, 3 - before) << "a correction comes to its end";
  EXPECT_EQ(last.end(SIGKILL), -SIGKILL);
  const Program after(folder);
  EXPECT_EQ(look(after.port, folder, id, log, said), said.shown);
}

/// Told to end instead of killed, it ends by itself, whatever is under way.
TEST(Killed, ToldToEndInMidWorkItEndsAndNothingIsLost) {
  const test::Scratch scratch;
  const std::string folder = scratch.path("folder");
  const std::string log = foreign_log();
  std::string id;
  Corrections said;
  for (int round = 0; round < 4; ++round) {
    Program program(folder);
    ASSERT_NE(program.port, 0) << program.said;
    if (id.empty()) id = taken_in(Client(program.port), log);
    ASSERT_FALSE(id.empty());
    said.shown = said.under_way = look(program.port, folder, id, log, said);
    std::atomic<bool> stop{false};
    std::thread uploads([&] { upload_slowly(program.port, log, stop); });
    std::thread corrections([&] { correct(program.port, id, said); });
    std::this_thread::sleep_for(std::chrono::milliseconds(20 + 45 * round));
    EXPECT_EQ(program.end(SIGTERM), 0);
    stop = true;
    uploads.join();
    corrections.join();
  }
  const Program last(folder);
  ASSERT_NE(last.port, 0) << last.said;
  look(last.port, folder, id, log, said);
}

}  // namespace
}  // namespace cw
