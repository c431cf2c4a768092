// The server itself, with a front of a few lines: what clients can do to it.
#include "server/http.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <mutex>
#include <stdexcept>
#include <thread>

#include "server/client.h"

namespace cw::server {
namespace {

using test::Answer;
using test::Client;
using test::Socket;
using testing::HasSubstr;

/// Counts up to ten, by hand.
class Counter : public EventSource {
 public:
  Take take(std::uint64_t& cursor) override {
    const std::lock_guard lock(mutex_);
    Take out;
    if (cursor != value_) out.text = "data: " + std::to_string(value_) + "\n\n";
    cursor = value_;
    out.ended = value_ >= 10;
    return out;
  }
  void listen(std::function<bool()> wake) override {
    const std::lock_guard lock(mutex_);
    wakes_.push_back(std::move(wake));
  }
  void count() {
    std::vector<std::function<bool()>> wakes;
    {
      const std::lock_guard lock(mutex_);
      ++value_;
      wakes = wakes_;
    }
    for (const auto& wake : wakes) wake();
  }
  std::size_t listeners() {
    const std::lock_guard lock(mutex_);
    return wakes_.size();
  }

 private:
  std::mutex mutex_;
  std::uint64_t value_ = 0;
  std::vector<std::function<bool()>> wakes_;
};

struct CountingSink : BodySink {
  explicit CountingSink(std::atomic<std::size_t>& total) : bytes(total) {}
  Status append(std::string_view text) override {
    bytes += text.size();
    return Done{};
  }
  std::atomic<std::size_t>& bytes;
};

class Front : public server::Front {
 public:
  Plan plan(const Request& request) override {
    Plan out;
    out.most = 1000;
    if (request.path == "/sink") {
      out.most = 100U << 20U;
      out.sink = std::make_unique<CountingSink>(sunk);
    }
    if (request.path == "/no") {
      Response no;
      no.status = 403;
      no.body = "no";
      out.refuse = no;
    }
    return out;
  }
  Response answer(Request& request) override {
    ++answered;
    if (request.path == "/throws") throw std::runtime_error("a mistake");
    if (request.path == "/waits") {
      while (waits) std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    Response out;
    if (request.path == "/events") {
      out.events = counter;
      return out;
    }
    out.content_type = "text/plain";
    if (request.path == "/large") {
      out.body.assign(64U << 20U, 'l');
      return out;
    }
    out.body = request.sink ? std::to_string(sunk) : "[" + request.body + "]" + request.query;
    return out;
  }
  std::atomic<std::size_t> sunk{0};
  std::atomic<int> answered{0};
  std::atomic<bool> waits{true};
  std::shared_ptr<Counter> counter = std::make_shared<Counter>();
};

class Http : public testing::Test {
 protected:
  void start(HttpLimits limits = {}) {
    HttpOptions options;
    options.limits = limits;
    server = HttpServer::open(options, front).value();
    runner = std::thread([this] { server->run(); });
    client.emplace(server->port());
  }
  void TearDown() override {
    front.waits = false;
    if (server) server->stop();
    if (runner.joinable()) runner.join();
  }

  Front front;
  std::unique_ptr<HttpServer> server;
  std::thread runner;
  std::optional<Client> client;
};

TEST_F(Http, AnswersWithTheHeadersThatKeepPagesApart) {
  start();
  const Answer answer = client->get("/x?a=1");
  EXPECT_EQ(answer.status, 200);
  EXPECT_EQ(answer.body, "[]a=1");
  EXPECT_THAT(answer.header("Content-Security-Policy"), HasSubstr("default-src 'none'"));
  EXPECT_THAT(answer.header("Content-Security-Policy"), HasSubstr("frame-ancestors 'none'"));
  EXPECT_EQ(answer.header("X-Content-Type-Options"), "nosniff");
  EXPECT_EQ(answer.header("Referrer-Policy"), "no-referrer");
  EXPECT_EQ(answer.header("Cross-Origin-Resource-Policy"), "same-origin");
  EXPECT_EQ(answer.header("Cache-Control"), "no-store");
  EXPECT_EQ(answer.header("Access-Control-Allow-Origin"), "");
}

TEST_F(Http, TakesBodiesUpToTheLimitAndNoFurther) {
  start();
  EXPECT_EQ(client->ask("POST", "/x", std::string(1000, 'a')).body.size(), 1002U);
  EXPECT_EQ(client->ask("POST", "/x", std::string(1001, 'a')).status, 413);
  EXPECT_EQ(client
                ->raw("POST /x HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\n\r\n"
                      "5\r\nhello\r\n0\r\n\r\n")
                .body,
            "[hello]");
  std::string chunked = "POST /x HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\n\r\n";
  for (int i = 0; i < 3; ++i) chunked += "190\r\n" + std::string(0x190, 'b') + "\r\n";
  EXPECT_EQ(client->raw(chunked + "0\r\n\r\n").status, 413);
  // A size that overflows every counter.
  EXPECT_NE(client
                ->raw("POST /x HTTP/1.1\r\nHost: a\r\nContent-Length: "
                      "99999999999999999999999\r\n\r\n")
                .status,
            200);
  EXPECT_EQ(client
                ->raw("POST /x HTTP/1.1\r\nHost: a\r\nContent-Length: "
                      "18446744073709551615\r\n\r\n")
                .status,
            413);
}

TEST_F(Http, UploadsGoIntoTheirSink) {
  start();
  const std::size_t size = 20U << 20U;
  EXPECT_EQ(client->ask("PUT", "/sink", std::string(size, 'c')).body, std::to_string(size));
  EXPECT_EQ(front.sunk, size);
}

TEST_F(Http, ARefusalComesBeforeTheBodyAndIsReadable) {
  start();
  const Answer answer = client->ask("POST", "/no", std::string(5U << 20U, 'd'));
  EXPECT_EQ(answer.status, 403);
  EXPECT_EQ(answer.body, "no");
  EXPECT_EQ(front.answered, 0);
}

TEST_F(Http, WaitsForThoseWhoAskBeforeTheySend) {
  start();
  Socket socket(server->port());
  socket.send("POST /x HTTP/1.1\r\nHost: a\r\nContent-Length: 2\r\nExpect: 100-continue\r\n\r\n");
  ASSERT_TRUE(socket.wait_for("100 Continue\r\n\r\n"));
  socket.got.clear();
  socket.send("hi");
  EXPECT_TRUE(socket.wait_for("[hi]"));
}

TEST_F(Http, SeveralRequestsOnOneConnectionKeepTheirOrder) {
  start();
  Socket socket(server->port());
  socket.send(
      "GET /x?1 HTTP/1.1\r\nHost: a\r\n\r\nGET /x?2 HTTP/1.1\r\nHost: a\r\n\r\n"
      "HEAD /x?3 HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n");
  socket.all();
  EXPECT_EQ(test::take_answer(socket.got)->body, "[]1");
  EXPECT_EQ(test::take_answer(socket.got)->body, "[]2");
  const auto head = test::take_answer(socket.got, true);
  EXPECT_EQ(head->header("Content-Length"), "3");
  EXPECT_EQ(socket.got, "") << "HEAD has no body";
}

TEST_F(Http, NonsenseIsRefusedAndTheServerGoesOn) {
  start();
  for (const char* bytes :
       {"\r\n\r\n\r\n", "GET\r\n\r\n", "\x16\x03\x01\x02\x01\x01\xff\xff\xff\xff\r\n\r\n",
        "GET / HTTP/9.9\r\n\r\n", "GET / HTTP/1.1\r\nHost\r\n\r\n",
        "GET / HTTP/1.1\r\nContent-Length: -1\r\n\r\n",
        "POST / HTTP/1.1\r\nContent-Length: 3\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        "POST / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n",
        "POST / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: gzip\r\n\r\n"}) {
    Socket socket(server->port());
    socket.send(bytes);
    socket.end_sending();
    const std::string answer = socket.all();
    EXPECT_EQ(answer.find("200 OK"), std::string::npos) << bytes;
  }
  EXPECT_EQ(client->get("/x").status, 200);
}

TEST_F(Http, LongHeadsAreRefused) {
  start();
  EXPECT_EQ(client->get("/" + std::string(20000, 'x')).status, 431);
  std::string many = "GET / HTTP/1.1\r\nHost: a\r\n";
  for (int i = 0; i < 2000; ++i) many += "X-" + std::to_string(i) + ": y\r\n";
  EXPECT_EQ(client->raw(many + "\r\n").status, 431);
  EXPECT_EQ(client->get("/x").status, 200);
}

TEST_F(Http, SlowClientsAreLetGo) {
  HttpLimits limits;
  limits.head_s = 1;
  limits.chunk_s = 1;
  start(limits);
  Socket silent(server->port());
  Socket slow_head(server->port());
  slow_head.send("GET /x HT");
  Socket slow_body(server->port());
  slow_body.send("POST /x HTTP/1.1\r\nHost: a\r\nContent-Length: 100\r\n\r\nabc");
  // Each ends by itself; the guard of the client would fail the test.
  EXPECT_EQ(silent.all().find("200"), std::string::npos);
  EXPECT_EQ(slow_head.all().find("200"), std::string::npos);
  EXPECT_EQ(slow_body.all().find("200"), std::string::npos);
  EXPECT_EQ(client->get("/x").status, 200);
}

TEST_F(Http, ADrippingUploadIsTooSlow) {
  HttpLimits limits;
  limits.chunk_s = 5;
  limits.grace_s = 0;
  limits.slowest_Bps = 1e6;
  start(limits);
  Socket socket(server->port());
  socket.send("POST /x HTTP/1.1\r\nHost: a\r\nContent-Length: 900\r\n\r\n");
  for (int i = 0; i < 100 && socket.got.empty(); ++i) {
    socket.send("a");
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
    if (i == 20) break;
  }
  EXPECT_THAT(socket.all(), HasSubstr(" 408 "));
}

/// A byte now and then, in the head or in the body: each pause is short enough, the whole is not.
TEST_F(Http, ManyThatDripKeepNobodyOutAndAreLetGo) {
  HttpLimits limits;
  limits.head_s = 3;
  limits.chunk_s = 20;
  limits.grace_s = 1;
  start(limits);
  std::vector<std::unique_ptr<Socket>> drips;
  for (int i = 0; i < 60; ++i) {
    drips.push_back(std::make_unique<Socket>(server->port()));
    drips.back()->send(i % 2 == 0 ? "GET /x HTTP/1.1\r\nHost: a\r\nX: "
                                  : "POST /x HTTP/1.1\r\nHost: a\r\nContent-Length: 900\r\n\r\n");
  }
  // They go on as long as they are let; who comes meanwhile is served.
  std::size_t live = drips.size();
  for (int turn = 0; turn < 2000 && live > 0; ++turn) {
    EXPECT_EQ(client->get("/x").status, 200);
    live = 0;
    for (const auto& drip : drips) live += drip->send("a") ? 1U : 0U;
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  EXPECT_EQ(live, 0U);
  for (const auto& drip : drips) EXPECT_EQ(drip->all().find("200 OK"), std::string::npos);
}

TEST_F(Http, WhoDoesNotTakeTheAnswerIsLetGo) {
  HttpLimits limits;
  limits.write_s = 1;
  start(limits);
  Socket socket(server->port());
  socket.send("GET /large HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(socket.wait_for("200 OK"));
  EXPECT_EQ(client->get("/x").status, 200);
  // Longer than it may take; reading goes on only afterwards.
  std::this_thread::sleep_for(std::chrono::milliseconds(2500));
  EXPECT_LT(socket.all().size(), 64U << 20U) << "it was cut off";
}

/// With the usual limit: with a short one a slow machine would cut off who does take it.
TEST_F(Http, WhoTakesALargeAnswerGetsItWhole) {
  start();
  EXPECT_EQ(client->get("/large").body.size(), 64U << 20U);
}

TEST_F(Http, MoreConnectionsThanAllowedAreTurnedAway) {
  HttpLimits limits;
  limits.sessions = 3;
  start(limits);
  std::vector<std::unique_ptr<Socket>> held;
  for (int i = 0; i < 3; ++i) {
    held.push_back(std::make_unique<Socket>(server->port()));
    held.back()->send("GET /x HTTP/1.1\r\nHost: a\r\n\r\n");
    ASSERT_TRUE(held.back()->wait_for("[]"));
  }
  Socket fourth(server->port());
  EXPECT_THAT(fourth.all(), HasSubstr("503"));
  held.clear();
  // The server notices the free places when it reads their end.
  Answer answer;
  for (int i = 0; i < 1000 && answer.status != 200; ++i) answer = client->get("/x");
  EXPECT_EQ(answer.status, 200);
}

TEST_F(Http, AMistakeOfTheProgramIsAStatus) {
  start();
  EXPECT_EQ(client->get("/throws").status, 500);
  EXPECT_EQ(client->get("/x").status, 200);
}

TEST_F(Http, EventsComeAsTheyHappenAndEnd) {
  start();
  front.counter->count();
  Socket socket(server->port());
  socket.send("GET /events HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(socket.wait_for("data: 1\n\n"));
  EXPECT_THAT(socket.got, HasSubstr("text/event-stream"));
  front.counter->count();
  ASSERT_TRUE(socket.wait_for("data: 2\n\n"));
  for (int i = 0; i < 8; ++i) front.counter->count();
  EXPECT_THAT(socket.all(), HasSubstr("data: 10\n\n")) << "and the stream ends";
}

TEST_F(Http, ListenersThatGoAwayDoNoHarm) {
  start();
  for (int i = 0; i < 50; ++i) {
    Socket socket(server->port());
    socket.send("GET /events HTTP/1.1\r\nHost: a\r\n\r\n");
    ASSERT_TRUE(socket.wait_for("event-stream"));
  }
  for (int i = 0; i < 9; ++i) front.counter->count();
  EXPECT_EQ(client->get("/x").status, 200);
}

TEST_F(Http, EndsWhileRequestsAreGoingOn) {
  start();
  Socket waiting(server->port());
  waiting.send("GET /waits HTTP/1.1\r\nHost: a\r\n\r\n");
  Socket listening(server->port());
  listening.send("GET /events HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(listening.wait_for("event-stream"));
  Socket half(server->port());
  half.send("POST /x HTTP/1.1\r\nHost: a\r\nContent-Length: 100\r\n\r\nabc");
  front.waits = false;
  server->stop();
  runner.join();
  server.reset();
  EXPECT_EQ(listening.all().find("\ndata: "), std::string::npos);
}

TEST_F(Http, TwoHundredAtOnce) {
  start();
  std::vector<std::thread> threads;
  std::atomic<int> good{0};
  for (int i = 0; i < 200; ++i) {
    threads.emplace_back([&, i] {
      const std::string body(static_cast<std::size_t>(i), 'e');
      if (client->ask("POST", "/x", body).body == "[" + body + "]") ++good;
    });
  }
  for (std::thread& thread : threads) thread.join();
  EXPECT_EQ(good, 200);
}

TEST(HttpOpen, SaysWhyItCannotListen) {
  Front front;
  HttpOptions options;
  options.address = "not an address";
  EXPECT_EQ(HttpServer::open(options, front).error().where, "--listen");
  options.address = "127.0.0.1";
  const auto first = HttpServer::open(options, front).value();
  EXPECT_TRUE(first->loopback());
  options.port = first->port();
  const auto second = HttpServer::open(options, front);
  ASSERT_FALSE(second.has_value());
  EXPECT_THAT(second.error().message, HasSubstr(std::to_string(options.port)));
}

}  // namespace
}  // namespace cw::server
