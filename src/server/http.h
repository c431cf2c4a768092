#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"

/// HTTP/1.1 behind an interface of our own; the library that speaks it is in http_server.cc alone.
namespace cw::server {

enum class Method : std::uint8_t { get, head, post, put, del, other };

/// Where the bytes of an upload go while they arrive.
class BodySink {
 public:
  virtual ~BodySink() = default;
  /// @error unreadable  with the system's reason; the upload ends
  virtual Status append(std::string_view bytes) = 0;
};

/// What a client asks. Texts are as sent, not decoded, unless it says so.
struct Request {
  Method method = Method::other;
  std::string path;  ///< before the question mark
  std::string query;
  std::string host, origin, fetch_site, cookie, authorization, content_type, if_none_match;
  bool accepts_gzip = false;
  std::optional<std::uint64_t> length;  ///< Content-Length
  std::string body;                     ///< empty where a sink took it
  std::unique_ptr<BodySink> sink;       ///< holds the whole body when the handler is called
};

/// A source of server-sent events. All functions are called from several threads.
class EventSource {
 public:
  virtual ~EventSource() = default;
  struct Take {
    std::string text;    ///< what is new since the cursor, as event-stream text; may be empty
    bool ended = false;  ///< nothing will follow
  };
  /// What is new; moves the cursor, which begins at 0.
  virtual Take take(std::uint64_t& cursor) = 0;
  /// `wake` is called after each change, from any thread, until it returns false.
  virtual void listen(std::function<bool()> wake) = 0;
};

/// What goes back. The common headers are added by the server.
struct Response {
  int status = 200;
  std::string content_type = "application/json";
  std::string body;
  std::string_view lasting;  ///< instead of `body`: bytes that live as long as the program
  std::vector<std::pair<std::string, std::string>> headers;
  std::string policy;                   ///< Content-Security-Policy; empty: the page's
  std::shared_ptr<EventSource> events;  ///< instead of a body
};

/// What to do with a request whose head is read and whose body is not.
struct Plan {
  std::optional<Response> refuse;  ///< the body is not read at all
  std::uint64_t most = 0;          ///< largest body [bytes]; a larger one is refused with 413
  std::unique_ptr<BodySink> sink;  ///< null: into Request::body
};

/// The program behind the server. Called from several threads at once; what it throws becomes a
/// status of 500.
class Front {
 public:
  virtual ~Front() = default;
  /// Must be quick: reading and writing of other clients waits for it.
  virtual Plan plan(const Request& request) = 0;
  /// May take its time.
  virtual Response answer(Request& request) = 0;
};

/// Bounds of what clients can ask of this machine. Own choices for a handful of people.
struct HttpLimits {
  int head_s = 15;             ///< a request's head must have come by then
  int idle_s = 75;             ///< a connection between two requests, and the next head
  int chunk_s = 20;            ///< longest pause within a body
  int grace_s = 30;            ///< after this a body must have come at ...
  double slowest_Bps = 2e3;    ///< ... at least this rate [B/s]
  int write_s = 120;           ///< an answer must be taken by then
  std::size_t head = 16384;    ///< largest head [bytes]
  std::size_t sessions = 400;  ///< connections at once
  unsigned workers = 8;        ///< requests that are answered at once; others wait
};

struct HttpOptions {
  std::string address = "127.0.0.1";  ///< an IP address
  std::uint16_t port = 0;             ///< 0: any free one
  HttpLimits limits;
  bool end_on_signals = false;  ///< SIGINT and SIGTERM end run()
};

/// Listens from open() on; serves while run() runs.
class HttpServer {
 public:
  /// @error invalid_argument  no IP address
  /// @error unreadable        the address or port cannot be had, with the system's reason
  static Result<std::unique_ptr<HttpServer>> open(const HttpOptions& options, Front& front);
  virtual ~HttpServer() = default;

  virtual std::uint16_t port() const = 0;
  virtual bool loopback() const = 0;
  /// Serves until stop() or a signal; returns when no handler runs any more.
  virtual void run() = 0;
  /// From any thread, also before run().
  virtual void stop() = 0;
};

}  // namespace cw::server
