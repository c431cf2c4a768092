#include "print/print_pdf.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include "base/file.h"
#include "support/run_program.h"

namespace cw {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

/// Page objects in a PDF as the browser writes it: a dictionary of /Type /Page (ISO
/// 32000-1, 7.7.3.3) that stands uncompressed.
std::size_t pages(const std::string& pdf) {
  std::size_t out = 0;
  for (std::size_t at = 0; (at = pdf.find("/Type /Page", at)) != std::string::npos; at += 11) {
    out += pdf[at + 11] == 's' ? 0U : 1U;
  }
  return out;
}

const std::string tall =
    R"(<svg xmlns="http://www.w3.org/2000/svg" width="10" height="5000"></svg>)";

class Print : public testing::Test {
 protected:
  void SetUp() override {
    if (!print::find_browser()) GTEST_SKIP() << "no Chromium (tools/setup.sh browser)";
  }
  test::Scratch scratch;
};

TEST_F(Print, APageBecomesPagesOfItsOwnSize) {
  const auto letter = print::print_pdf(
      "<style>@page{size:letter}p{break-before:page}</style><h1>One</h1><p>Two</p><p>Three</p>");
  ASSERT_TRUE(letter) << letter.error().text();
  EXPECT_TRUE(letter->starts_with("%PDF-"));
  EXPECT_EQ(pages(*letter), 3U);
  // 8.5 by 11 inch at 72 points an inch.
  EXPECT_THAT(*letter, HasSubstr("/MediaBox [0 0 612 792]"));
  const auto a4 = print::print_pdf("<style>@page{size:A4}</style><h1>One</h1>");
  ASSERT_TRUE(a4) << a4.error().text();
  EXPECT_EQ(pages(*a4), 1U);
  // 210 by 297 mm are 595.28 by 841.89 points; the browser rounds to its own pixels of 0.75 points.
  EXPECT_THAT(*a4, HasSubstr("/MediaBox [0 0 59"));
  EXPECT_THAT(*a4, HasSubstr(" 84"));
}

TEST_F(Print, NoFileOfThisMachineComesIntoIt) {
  // What would be seen if it did: a picture, a style or a page that takes many sheets.
  const std::string picture = scratch.file("tall.svg", tall);
  const std::string style = scratch.file("tall.css", "body{height:5000px}");
  const std::string page = scratch.file("tall.html", "<body style=\"height:5000px\">");
  const auto shown = print::print_pdf("<body>" + tall);
  ASSERT_TRUE(shown) << shown.error().text();
  ASSERT_GT(pages(*shown), 2U) << "otherwise nothing below would be seen";
  const std::vector<std::string> asked = {
      "<img src=\"file://" + picture + "\">",
      "<object data=\"file://" + picture + "\"></object>",
      "<embed src=\"file://" + picture + "\">",
      "<link rel=stylesheet href=\"file://" + style + "\">",
      "<style>@import url(\"file://" + style + "\");</style>",
      "<script>document.body.style.height='5000px'</script>",
      "<script>location='file://" + page + "'</script>",
      "<img src=x onerror=\"document.body.style.height='5000px'\">",
      "<frameset><frame src=\"file://" + page + "\"></frameset>",
  };
  for (const std::string& asks : asked) {
    const auto pdf = print::print_pdf("<body>" + asks + "<p>text</p>");
    ASSERT_TRUE(pdf) << asks << "\n" << pdf.error().text();
    EXPECT_EQ(pages(*pdf), 1U) << asks;
  }
  const auto away =
      print::print_pdf("<META Http-Equiv=refresh content='0;url=file://" + page + "'>");
  ASSERT_FALSE(away);
  EXPECT_EQ(away.error().where, "http-equiv");
}

TEST_F(Print, NothingIsAskedOfANetwork) {
  const int listening = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t size = sizeof address;
  ASSERT_EQ(::bind(listening, reinterpret_cast<sockaddr*>(&address), size), 0);
  ASSERT_EQ(::listen(listening, 8), 0);
  ASSERT_EQ(::getsockname(listening, reinterpret_cast<sockaddr*>(&address), &size), 0);
  const std::string there = "http://127.0.0.1:" + std::to_string(ntohs(address.sin_port)) + "/a";
  const auto pdf = print::print_pdf(
      "<link rel=preconnect href=" + there + "><link rel=prefetch href=" + there +
      "><link rel=stylesheet href=" + there + "><img src=" + there + "><iframe src=" + there +
      "></iframe><style>@font-face{font-family:a;src:url(" + there +
      ")}p{font-family:a}</style>"
      "<p>text</p>");
  ASSERT_TRUE(pdf) << pdf.error().text();
  EXPECT_LT(::accept(listening, nullptr, nullptr), 0) << "somebody came";
  ::close(listening);
}

TEST_F(Print, EndsWhenItIsStoppedAndLeavesNothingBehind) {
  const fs::path place = fs::temp_directory_path() / ("cw" + std::to_string(::getpid()));
  fs::create_directory(place);
  ASSERT_EQ(setenv("TMPDIR", place.c_str(), 1), 0);
  int asked = 0;
  const auto stopped = print::print_pdf("<p>text</p>", [&] { return ++asked > 2; });
  const auto whole = print::print_pdf("<p>text</p>");
  ASSERT_EQ(unsetenv("TMPDIR"), 0);
  ASSERT_FALSE(stopped);
  EXPECT_EQ(stopped.error().message, "stopped");
  EXPECT_EQ(asked, 3);
  EXPECT_TRUE(whole) << whole.error().text();
  EXPECT_TRUE(fs::is_empty(place));
  fs::remove_all(place);
}

// A socket's path has room for 107 characters (sockaddr_un), and the browser makes one.
TEST_F(Print, WorksWhereTheTemporaryFolderHasALongName) {
  const fs::path place = scratch.path(std::string(90, 'x'));
  fs::create_directory(place);
  ASSERT_EQ(setenv("TMPDIR", place.c_str(), 1), 0);
  const auto pdf = print::print_pdf("<p>text</p>");
  ASSERT_EQ(unsetenv("TMPDIR"), 0);
  EXPECT_TRUE(pdf) << pdf.error().text();
}

TEST(PrintWithout, ABrowserSaysSo) {
  ASSERT_EQ(setenv("COILWRIGHT_BROWSER", "/nowhere/chromium", 1), 0);
  const auto none = print::print_pdf("<p>text</p>");
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().code, ErrorCode::unsupported);
  EXPECT_THAT(none.error().fix, HasSubstr("full path"));
  ASSERT_EQ(setenv("COILWRIGHT_BROWSER", "/bin/false", 1), 0);
  const auto fails = print::print_pdf("<p>text</p>");
  ASSERT_FALSE(fails);
  EXPECT_THAT(fails.error().message, HasSubstr("failed"));
  ASSERT_EQ(unsetenv("COILWRIGHT_BROWSER"), 0);
}

}  // namespace
}  // namespace cw
