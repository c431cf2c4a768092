// Who may ask: by Host, Origin and token.
#include "server/gate.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/router.h"
#include "server/served.h"

namespace cw {
namespace {

using server::Gate;
using server::Method;
using server::Request;
using test::Answer;
using testing::HasSubstr;

Gate gate() {
  Gate out;
  out.port = 8127;
  out.names = {"localhost", "127.0.0.1", "[::1]"};
  return out;
}

int status_for(const Gate& gate, const Request& request) {
  const auto refusal = gate.refusal(request);
  return refusal ? refusal->status : 200;
}

Request from(const std::string& host, const std::string& origin = {},
             const std::string& site = {}) {
  Request out;
  out.method = Method::get;
  out.path = "/api/recordings";
  out.host = host;
  out.origin = origin;
  out.fetch_site = site;
  return out;
}

TEST(Gate, TakesItsOwnHostsOnly) {
  for (const char* host : {"127.0.0.1:8127", "localhost:8127", "LocalHost:8127", "[::1]:8127"}) {
    EXPECT_EQ(status_for(gate(), from(host)), 200) << host;
  }
  for (const char* host :
       {"", "127.0.0.1", "localhost", "127.0.0.1:8128", "evil.example:8127", "127.0.0.1.evil:8127",
        "localhost.:8127", "127.0.0.1:8127@evil.example", "127.0.0.2:8127", "0.0.0.0:8127", "[::1]",
        ":8127", "localhost:8127:8127", "localhost :8127"}) {
    EXPECT_EQ(status_for(gate(), from(host)), 403) << host;
  }
}

TEST(Gate, TakesItsOwnPagesOnly) {
  const std::string host = "localhost:8127";
  EXPECT_EQ(status_for(gate(), from(host, "http://localhost:8127")), 200);
  EXPECT_EQ(status_for(gate(), from(host, "http://127.0.0.1:8127", "same-origin")), 200);
  for (const char* origin :
       {"null", "http://evil.example", "https://localhost:8127", "http://localhost:8128",
        "http://localhost", "file://", "http://localhost:8127.evil.example"}) {
    EXPECT_EQ(status_for(gate(), from(host, origin)), 403) << origin;
  }
  EXPECT_EQ(status_for(gate(), from(host, "", "cross-site")), 403);
  EXPECT_EQ(status_for(gate(), from(host, "", "same-site")), 403) << "another port";
  EXPECT_EQ(status_for(gate(), from(host, "", "none")), 200) << "typed by the person";
  Request link = from(host, "", "cross-site");
  link.path = "/";
  EXPECT_EQ(status_for(gate(), link), 200) << "a link may open the page";
  link.method = Method::post;
  EXPECT_EQ(status_for(gate(), link), 403);
}

TEST(Gate, AsksForTheTokenWhereThereIsOne) {
  Gate guarded = gate();
  guarded.token = "secretsecret";
  Request request = from("localhost:8127");
  EXPECT_EQ(status_for(guarded, request), 401);
  request.authorization = "Bearer wrongwrongwr";
  EXPECT_EQ(status_for(guarded, request), 401);
  request.authorization = "Bearer secretsecret";
  EXPECT_EQ(status_for(guarded, request), 200);
  request.authorization = "";
  request.cookie = "other=1; coilwright=secretsecret; more=2";
  EXPECT_EQ(status_for(guarded, request), 200);
  request.cookie = "coilwright=secretsecre";
  EXPECT_EQ(status_for(guarded, request), 401);
  request.cookie = "";
  request.query = "token=secretsecret";
  EXPECT_EQ(status_for(guarded, request), 401) << "only the page takes it from the address";
  request.path = "/";
  EXPECT_EQ(status_for(guarded, request), 200);
  EXPECT_TRUE(guarded.brings_token(request));
  request.query = "token=";
  EXPECT_FALSE(guarded.brings_token(request));
  EXPECT_FALSE(gate().brings_token(request)) << "without a token there is none to bring";
}

TEST(Gate, OnAllAddressesTakesAddressesAndNoNames) {
  Gate open = gate();
  open.any_address = true;
  EXPECT_EQ(status_for(open, from("192.168.1.20:8127")), 200);
  EXPECT_EQ(status_for(open, from("[fe80::1]:8127")), 200);
  EXPECT_EQ(status_for(open, from("rebound.example:8127")), 403);
}

TEST(Gate, RandomNamesDiffer) {
  EXPECT_EQ(server::random_name().size(), 32U);
  EXPECT_NE(server::random_name(), server::random_name());
}

TEST(Router, DecodesOnceAndRefusesBrokenText) {
  EXPECT_EQ(server::percent_decoded("a%20b+c"), "a b+c");
  EXPECT_EQ(server::percent_decoded("%252F"), "%2F");
  for (const char* bad : {"%", "%2", "a%zz", "%00"}) {
    EXPECT_FALSE(server::percent_decoded(bad).has_value()) << bad;
  }
  std::multimap<std::string, std::string, std::less<>> query;
  EXPECT_TRUE(server::read_query("a=1&b=x+y&a=2&c", query));
  EXPECT_EQ(query.count("a"), 2U);
  EXPECT_EQ(query.find("b")->second, "x y");
  EXPECT_FALSE(server::read_query("a=%", query));
}

class GateOnTheWire : public test::Served {};

TEST_F(GateOnTheWire, ForeignHostsAndPagesAreRefused) {
  const Answer good = client->get("/api/about");
  EXPECT_EQ(good.status, 200);
  client->host = "evil.example";
  EXPECT_EQ(client->get("/api/about").status, 403);
  EXPECT_EQ(client->get("/").status, 403);
  EXPECT_EQ(client->ask("POST", "/api/intake", "{}").status, 403);
  client->host = "127.0.0.1:" + std::to_string(client->port);
  client->headers = {"Origin: http://evil.example"};
  EXPECT_EQ(client->ask("POST", "/api/recordings/demo", "{}").status, 403);
  EXPECT_EQ(client->ask("OPTIONS", "/api/about").status, 403);
  client->headers = {"Sec-Fetch-Site: cross-site"};
  EXPECT_EQ(client->get("/api/about").status, 403);
  EXPECT_EQ(client->raw("GET /api/about HTTP/1.1\r\n\r\n").status, 403) << "no Host at all";
  client->headers = {};
  EXPECT_TRUE(get("/api/recordings")["recordings"].empty()) << "nothing was done for them";
}

TEST_F(GateOnTheWire, TheTokensWayIntoTheCookie) {
  stop();
  start("tokentokentoken");
  EXPECT_EQ(client->get("/api/about").status, 401);
  EXPECT_EQ(client->get("/").status, 401);
  const Answer welcome = client->get("/?token=tokentokentoken");
  EXPECT_EQ(welcome.status, 303);
  EXPECT_EQ(welcome.header("Location"), "/");
  EXPECT_THAT(welcome.header("Set-Cookie"), HasSubstr("HttpOnly; SameSite=Strict"));
  client->headers = {"Cookie: coilwright=tokentokentoken"};
  EXPECT_EQ(client->get("/api/about").status, 200);
  EXPECT_EQ(client->get("/").status, 200);
}

}  // namespace
}  // namespace cw
