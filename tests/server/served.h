#pragma once

#include <gtest/gtest.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>

#include "server/client.h"
#include "server/workbench.h"
#include "support/run_program.h"

namespace cw::test {

using Json = nlohmann::json;

/// What the command line prints, with the sentences that say what can be done as a reader of the
/// page is told; everything else is to be the same to the letter. No option may be left in it.
inline std::string on_the_page(std::string text) {
  const std::pair<std::string_view, std::string_view> told[] = {
      {"give --altitude or --barometer for this site",
       "give the altitude or the barometer of this site"},
      {"give --altitude or --barometer for a site", "give altitude or barometer for a site"},
      {"\"--target\"", "\"said for this recording\""},
  };
  for (const auto& [command_line, page] : told) {
    for (std::size_t at = 0; (at = text.find(command_line, at)) != std::string::npos;) {
      text.replace(at, command_line.size(), page);
    }
  }
  const std::size_t left = text.find("--");
  EXPECT_EQ(left, std::string::npos) << text.substr(std::min(left, text.size()), 80);
  return text;
}

/// A workbench in this process, on a free port, with a folder of its own.
class Served : public testing::Test {
 protected:
  static constexpr std::uint64_t upload_limit = 4U << 20U;

  void SetUp() override { start(); }
  void TearDown() override { stop(); }

  void start(const std::string& token = {}) {
    workbench = std::make_unique<server::Workbench>(
        server::Store::open(scratch.path("folder")).value(), server::Gate{}, upload_limit);
    http = server::HttpServer::open({}, *workbench).value();
    workbench->gate.port = http->port();
    workbench->gate.names = {"127.0.0.1", "localhost", "[::1]"};
    workbench->gate.token = token;
    runner = std::thread([this] { http->run(); });
    client.emplace(http->port());
  }
  void stop() {
    if (!http) return;
    http->stop();
    runner.join();
    workbench->end();
    http.reset();
    workbench.reset();
  }

  Json json(const std::string& method, const std::string& path, int status,
            const std::string& body = {}) const {
    const Answer answer = client->ask(method, path, body);
    EXPECT_EQ(answer.status, status) << method << " " << path << "\n" << answer.body;
    return Json::parse(answer.body, nullptr, false);
  }
  Json get(const std::string& path, int status = 200) const { return json("GET", path, status); }

  std::string demo() const {
    const Answer answer = client->ask("POST", "/api/recordings/demo", "{}");
    EXPECT_TRUE(answer.status == 201 || answer.status == 200) << answer.body;
    return Json::parse(answer.body)["id"];
  }
  std::string intake() const { return json("POST", "/api/intake", 201, "{}")["id"]; }
  /// Waits for a job and gives the data of its last event.
  std::string end_of(const std::string& job) const {
    const std::string events = client->events(job);
    const std::size_t last = events.rfind("event: ");
    return last == std::string::npos ? events : events.substr(last);
  }
  std::string read(const std::string& intake) const {
    const Json started = json("POST", "/api/intake/" + intake + "/read", 202, "{}");
    return end_of(started["job"]);
  }

  /// What the command line prints.
  std::string program(const std::string& arguments) const {
    return run_program(scratch, arguments).out;
  }

  Scratch scratch;
  std::unique_ptr<server::Workbench> workbench;
  std::unique_ptr<server::HttpServer> http;
  std::thread runner;
  std::optional<Client> client;
};

}  // namespace cw::test
