// Reports as PDF. A script stands in for the browser where it matters what that does; the browser
// itself is tried in src/print and tests/browser.
#include <gmock/gmock.h>
#include <sys/stat.h>

#include "server/served.h"

namespace cw {
namespace {

using test::Answer;
using test::Json;
using test::slurp;
using testing::HasSubstr;
using testing::StartsWith;

class Prints : public test::Served {
 protected:
  void SetUp() override {
    use("exit 1\n");
    Served::SetUp();
  }
  void TearDown() override {
    Served::TearDown();
    unsetenv("COILWRIGHT_BROWSER");
  }
  /// The browser is this shell script; $out is where the PDF goes, $page what it is of.
  void use(const std::string& script) {
    const std::string file = scratch.file(
        "browser",
        "#!/bin/sh\nfor word; do case $word in --print-to-pdf=*) out=${word#--print-to-pdf=};; "
        "file://*) page=${word#file://};; esac; done\n" +
            script);
    ::chmod(file.c_str(), 0700);
    ASSERT_EQ(setenv("COILWRIGHT_BROWSER", file.c_str(), 1), 0);
  }
  std::string start(const std::string& at, const std::string& body = "{}") const {
    return json("POST", at, 202, body)["job"];
  }
};

/// The value of `key` in the data of a job's last event.
std::string said(const std::string& event, const std::string& key) {
  const Json data = Json::parse(event.substr(event.find("data: ") + 6), nullptr, false);
  return data["result"].value(key, "");
}

TEST_F(Prints, APageIsPrintedAndFetched) {
  use("{ printf %s %PDF-1.4; cat \"$page\"; } > \"$out\"\n");
  const std::string at = "/api/recordings/" + demo() + "/report.pdf";
  const std::string done = end_of(start(at, R"({"page": "<h1>Mine</h1>"})"));
  ASSERT_THAT(done, StartsWith("event: done\n"));
  const Answer pdf = client->get(at + "?print=" + said(done, "print"));
  EXPECT_EQ(pdf.status, 200);
  EXPECT_EQ(pdf.header("Content-Type"), "application/pdf");
  EXPECT_THAT(pdf.header("Content-Disposition"), HasSubstr("attachment"));
  EXPECT_THAT(pdf.body, StartsWith("%PDF-1.4<!doctype html><html><head>"));
  EXPECT_THAT(pdf.body, HasSubstr("default-src 'none'"));
  EXPECT_TRUE(pdf.body.ends_with("<h1>Mine</h1>"));
  // It belongs to its recording.
  EXPECT_EQ(client->get("/api/recordings/other/report.pdf?print=" + said(done, "print")).status,
            404);
}

TEST_F(Prints, WithoutAPageItIsTheReportOnThePaperOfTheUnits) {
  use("{ printf %s %PDF-1.4; cat \"$page\"; } > \"$out\"\n");
  const std::string id = demo();
  const std::string at = "/api/recordings/" + id + "/report.pdf";
  for (const std::string query : {"?units=si", "?units=ip", "?units=ip&paper=a4"}) {
    const std::string done = end_of(start(at + query));
    ASSERT_THAT(done, StartsWith("event: done\n"));
    const Answer pdf = client->get(at + "?print=" + said(done, "print"));
    EXPECT_TRUE(pdf.body.ends_with(client->get("/api/recordings/" + id + "/report" + query).body));
    EXPECT_EQ(pdf.body.find("size:letter") != std::string::npos, query == "?units=ip") << query;
  }
}

TEST_F(Prints, WhereThereIsNoBrowserTheirOwnIsTheRemedy) {
  ASSERT_EQ(setenv("COILWRIGHT_BROWSER", "/nowhere/chromium", 1), 0);
  const std::string at = "/api/recordings/" + demo() + "/report.pdf";
  const Json refused = json("POST", at, 422, "{}")["error"];
  EXPECT_EQ(refused["code"], "unsupported");
  EXPECT_THAT(refused["fix"].get<std::string>(), StartsWith("Print from your browser instead"));
  use("exit 1\n");
  const std::string failed = end_of(start(at));
  EXPECT_THAT(failed, StartsWith("event: failed\n"));
  EXPECT_THAT(failed, HasSubstr("Print from your browser instead"));
}

TEST_F(Prints, AreCancelledWhereverTheyStand) {
  use("sleep 300\n");
  const std::string at = "/api/recordings/" + demo() + "/report.pdf";
  const std::string first = start(at);
  const std::string waiting = start(at);
  EXPECT_EQ(client->ask("DELETE", "/api/jobs/" + waiting).status, 202);
  EXPECT_THAT(end_of(waiting), StartsWith("event: cancelled\n"));
  EXPECT_EQ(client->ask("DELETE", "/api/jobs/" + first).status, 202);
  EXPECT_THAT(end_of(first), StartsWith("event: cancelled\n"));
}

TEST_F(Prints, TheBrowserHoldsNoneOfOurFiles) {
  // The server's sockets and the lock on its folder would live as long as the browser.
  use("ls -l /proc/self/fd > '" + scratch.path("files") + "'; printf %s %PDF-1.4 > \"$out\"\n");
  const std::string at = "/api/recordings/" + demo() + "/report.pdf";
  ASSERT_THAT(end_of(start(at)), StartsWith("event: done\n"));
  const std::string files = slurp(scratch.path("files"));
  EXPECT_THAT(files, HasSubstr("/dev/null"));
  EXPECT_EQ(files.find("socket:"), std::string::npos) << files;
  EXPECT_EQ(files.find("lock"), std::string::npos) << files;
}

TEST_F(Prints, WhatMakesNoSenseIsRefused) {
  const std::string at = "/api/recordings/" + demo() + "/report.pdf";
  json("POST", at, 400, "[]");
  json("POST", at, 400, R"({"page": 3})");
  json("POST", at, 400, R"({"page": ""})");
  json("POST", at, 400, R"({"file": "/etc/passwd"})");
  json("POST", at + "?paper=a0", 400, "{}");
  json("POST", "/api/recordings/nothing/report.pdf", 404, "{}");
  EXPECT_EQ(get(at + "?print=nothing", 404)["error"]["where"], "print");
  const std::string leaves =
      R"({"page": "<meta http-equiv=refresh content=0;url=file:///etc/passwd>"})";
  const std::string failed = end_of(start(at, leaves));
  EXPECT_THAT(failed, StartsWith("event: failed\n"));
  EXPECT_THAT(failed, HasSubstr("http-equiv"));
}

}  // namespace
}  // namespace cw
