#include "server/http.h"

#include <array>
#include <atomic>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/strand.hpp>
#include <boost/asio/thread_pool.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <chrono>
#include <csignal>
#include <exception>
#include <thread>

namespace cw::server {
namespace {

namespace net = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using tcp = net::ip::tcp;
using Seconds = std::chrono::seconds;
using Clock = std::chrono::steady_clock;

constexpr const char* page_policy =
    "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; frame-src 'self' blob:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// What all sessions share.
struct Shared {
  Shared(const HttpOptions& the_options, Front& the_front)
      : options(the_options), front(the_front), workers(the_options.limits.workers) {}

  HttpOptions options;
  Front& front;
  std::atomic<std::size_t> sessions{0};
  // Last, so that they go first: what waits in them are sessions.
  net::io_context io{2};
  net::thread_pool workers;
};

std::string text_of(beast::string_view text) { return {text.data(), text.size()}; }

Method method_of(http::verb verb) {
  switch (verb) {
    case http::verb::get:
      return Method::get;
    case http::verb::head:
      return Method::head;
    case http::verb::post:
      return Method::post;
    case http::verb::put:
      return Method::put;
    case http::verb::delete_:
      return Method::del;
    default:
      return Method::other;
  }
}

Response refusal(int status, const std::string& code, const std::string& message) {
  Response out;
  out.status = status;
  out.body = R"({"error":{"code":")" + code + R"(","message":")" + message +
             R"(","where":"","fix":""}})" + "\n";
  return out;
}

/// One connection: reads a request, has it answered by a worker, writes the answer, and so on. All
/// its handlers run on its strand.
class Session : public std::enable_shared_from_this<Session> {
 public:
  Session(Shared& shared, tcp::socket socket)
      : shared_(shared), stream_(std::move(socket)), heartbeat_(stream_.get_executor()) {
    ++shared_.sessions;
  }
  ~Session() { --shared_.sessions; }
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;

  void start() {
    net::post(stream_.get_executor(), [self = shared_from_this()] { self->read_head(); });
  }

 private:
  using Parser = http::request_parser<http::buffer_body>;
  using Answer = http::response<http::span_body<const char>>;
  using Head = http::response<http::empty_body>;

  const HttpLimits& limits() const { return shared_.options.limits; }

  void read_head() {
    parser_.emplace();
    parser_->header_limit(static_cast<std::uint32_t>(limits().head));
    parser_->body_limit(boost::none);
    stream_.expires_after(Seconds(first_ ? limits().head_s : limits().idle_s));
    first_ = false;
    http::async_read_header(stream_, buffer_, *parser_,
                            [self = shared_from_this()](beast::error_code error, std::size_t) {
                              self->on_head(error);
                            });
  }

  void on_head(beast::error_code error) {
    if (error == http::error::header_limit || error == http::error::buffer_overflow) {
      return refuse(refusal(431, "invalid_argument", "the request's head is too long"));
    }
    if (error && error.category() == http::make_error_code(http::error::bad_version).category() &&
        error != http::error::end_of_stream && error != http::error::partial_message) {
      return refuse(refusal(400, "parse", "this is no HTTP request"));
    }
    if (error) return close();
    take_head();
    // RFC 9112 section 6.3: a body of which nobody can say where it ends.
    if (parser_->get().count(http::field::transfer_encoding) > 0 && !parser_->chunked()) {
      return refuse(refusal(400, "parse", "the body comes in a form that is not read here"));
    }
    Plan plan = plan_of_request();
    if (plan.refuse) {
      unread_ = !parser_->is_done();
      return send(std::move(*plan.refuse));
    }
    request_.sink = std::move(plan.sink);
    most_ = plan.most;
    got_ = 0;
    if (request_.length.value_or(0) > most_) return refuse(too_large());
    if (parser_->is_done()) return answer();
    began_ = Clock::now();
    if (beast::iequals(parser_->get()[http::field::expect], "100-continue")) return go_on();
    read_body();
  }

  Plan plan_of_request() {
    try {
      return shared_.front.plan(request_);
    } catch (const std::exception&) {
      Plan out;
      out.refuse = refusal(500, "inconsistent", "the program failed at this request");
      return out;
    }
  }

  static Response too_large() {
    return refusal(413, "out_of_range", "the body is larger than is taken here");
  }

  void take_head() {
    const auto& head = parser_->get();
    request_ = Request{};
    request_.method = method_of(head.method());
    const std::string target = text_of(head.target());
    const std::size_t mark = target.find('?');
    request_.path = target.substr(0, mark);
    if (mark != std::string::npos) request_.query = target.substr(mark + 1);
    request_.host = text_of(head[http::field::host]);
    request_.origin = text_of(head[http::field::origin]);
    request_.fetch_site = text_of(head["Sec-Fetch-Site"]);
    request_.cookie = text_of(head[http::field::cookie]);
    request_.authorization = text_of(head[http::field::authorization]);
    request_.content_type = text_of(head[http::field::content_type]);
    request_.if_none_match = text_of(head[http::field::if_none_match]);
    request_.accepts_gzip =
        head[http::field::accept_encoding].find("gzip") != beast::string_view::npos;
    if (parser_->content_length()) request_.length = *parser_->content_length();
    keep_alive_ = parser_->keep_alive();
    head_only_ = request_.method == Method::head;
    http_version_ = head.version();
  }

  /// The client waits for a word before it sends the body.
  void go_on() {
    static constexpr std::string_view text = "HTTP/1.1 100 Continue\r\n\r\n";
    stream_.expires_after(Seconds(limits().chunk_s));
    net::async_write(stream_, net::buffer(text.data(), text.size()),
                     [self = shared_from_this()](beast::error_code error, std::size_t) {
                       if (error) return self->close();
                       self->read_body();
                     });
  }

  void read_body() {
    chunk_.resize(65536);
    parser_->get().body().data = chunk_.data();
    parser_->get().body().size = chunk_.size();
    stream_.expires_after(Seconds(limits().chunk_s));
    http::async_read_some(stream_, buffer_, *parser_,
                          [self = shared_from_this()](beast::error_code error, std::size_t) {
                            self->on_body(error);
                          });
  }

  void on_body(beast::error_code error) {
    if (error == http::error::need_buffer) error = {};
    if (error && error.category() == http::make_error_code(http::error::bad_version).category() &&
        error != http::error::end_of_stream && error != http::error::partial_message) {
      return refuse(refusal(400, "parse", "the request's body is broken"));
    }
    if (error) return close();
    const std::size_t here = chunk_.size() - parser_->get().body().size;
    got_ += here;
    if (got_ > most_) return refuse(too_large());
    const std::string_view bytes(chunk_.data(), here);
    if (request_.sink) {
      if (const Status taken = request_.sink->append(bytes); !taken) {
        return refuse(refusal(507, "unreadable", "the upload could not be written to the disk"));
      }
    } else {
      request_.body.append(bytes);
    }
    if (parser_->is_done()) return answer();
    const double seconds = std::chrono::duration<double>(Clock::now() - began_).count();
    if (seconds > limits().grace_s && static_cast<double>(got_) < seconds * limits().slowest_Bps) {
      return refuse(refusal(408, "invalid_argument", "the upload is too slow"));
    }
    read_body();
  }

  void answer() {
    stream_.expires_never();
    net::post(shared_.workers, [self = shared_from_this()] {
      Response response;
      try {
        response = self->shared_.front.answer(self->request_);
      } catch (const std::exception&) {
        response = refusal(500, "inconsistent", "the program failed at this request");
      }
      net::post(self->stream_.get_executor(), [self, response = std::move(response)]() mutable {
        self->request_ = Request{};
        self->send(std::move(response));
      });
    });
  }

  /// Answers without reading what the client still sends.
  void refuse(Response response) {
    unread_ = true;
    request_ = Request{};
    send(std::move(response));
  }

  template <class Message>
  void set_head(Message& message) {
    message.version(http_version_ == 10 ? 10 : 11);
    message.result(static_cast<unsigned>(response_.status));
    message.set(http::field::content_type, response_.content_type);
    message.set("Content-Security-Policy",
                response_.policy.empty() ? page_policy : response_.policy.c_str());
    message.set("X-Content-Type-Options", "nosniff");
    message.set("Referrer-Policy", "no-referrer");
    message.set("Cross-Origin-Opener-Policy", "same-origin");
    message.set("Cross-Origin-Resource-Policy", "same-origin");
    message.set("Permissions-Policy", "camera=(), geolocation=(), microphone=()");
    bool cached = false;
    for (const auto& [name, value] : response_.headers) {
      message.set(name, value);
      cached = cached || name == "Cache-Control";
    }
    if (!cached) message.set(http::field::cache_control, "no-store");
  }

  void send(Response response) {
    response_ = std::move(response);
    keep_alive_ = keep_alive_ && !unread_ && !response_.events;
    stream_.expires_after(Seconds(limits().write_s));
    if (response_.events) return send_events();
    const std::string_view body =
        response_.lasting.empty() ? std::string_view(response_.body) : response_.lasting;
    const auto done = [self = shared_from_this()](beast::error_code error, std::size_t) {
      self->on_sent(error);
    };
    if (head_only_ || response_.status == 204 || response_.status == 304) {
      head_.emplace();
      set_head(*head_);
      if (response_.status != 204 && response_.status != 304) head_->content_length(body.size());
      head_->keep_alive(keep_alive_);
      http::async_write(stream_, *head_, done);
      return;
    }
    answer_.emplace();
    set_head(*answer_);
    answer_->body() = {body.data(), body.size()};
    answer_->content_length(body.size());
    answer_->keep_alive(keep_alive_);
    http::async_write(stream_, *answer_, done);
  }

  void on_sent(beast::error_code error) {
    answer_.reset();
    head_.reset();
    response_ = Response{};
    if (error) return close();
    if (unread_) return linger();
    if (!keep_alive_) return close();
    read_head();
  }

  /// Lets the client read the answer before the connection is gone: what it still sends is thrown
  /// away for a moment, else its system would drop the answer.
  void linger() {
    beast::error_code ignored;
    stream_.socket().shutdown(tcp::socket::shutdown_send, ignored);
    stream_.expires_after(Seconds(2));
    linger_more();
  }
  void linger_more() {
    chunk_.resize(65536);
    stream_.async_read_some(net::buffer(chunk_),
                            [self = shared_from_this()](beast::error_code error, std::size_t) {
                              if (error) return self->close();
                              self->linger_more();
                            });
  }

  void send_events() {
    events_ = response_.events;
    response_.content_type = "text/event-stream";
    head_.emplace();
    set_head(*head_);
    head_->keep_alive(false);
    http::async_write(stream_, *head_,
                      [self = shared_from_this()](beast::error_code error, std::size_t) {
                        if (error) return self->close();
                        self->listen();
                      });
  }

  void listen() {
    std::weak_ptr<Session> weak = weak_from_this();
    events_->listen([weak] {
      const auto self = weak.lock();
      if (self == nullptr) return false;
      net::post(self->stream_.get_executor(), [self] { self->pass_events(); });
      return true;
    });
    beat();
    pass_events();
    notice_end();
  }

  /// A client that goes away is noticed at once: it has nothing more to say.
  void notice_end() {
    stream_.socket().async_read_some(
        net::buffer(heard_), [self = shared_from_this()](beast::error_code error, std::size_t) {
          if (error) return self->close();
          self->notice_end();
        });
  }

  /// A line now and then keeps the connection and shows whether the client is still there; its
  /// handler also keeps this session alive.
  void beat() {
    heartbeat_.expires_after(Seconds(15));
    heartbeat_.async_wait([self = shared_from_this()](beast::error_code error) {
      if (error || !self->stream_.socket().is_open()) return;
      if (!self->writing_) self->write_events(":\n\n");
      self->beat();
    });
  }

  void pass_events() {
    if (writing_ || events_ == nullptr) return;
    EventSource::Take take = events_->take(cursor_);
    ended_ = take.ended;
    if (!take.text.empty()) return write_events(std::move(take.text));
    if (ended_) close();
  }

  void write_events(std::string text) {
    writing_ = true;
    event_text_ = std::move(text);
    stream_.expires_after(Seconds(limits().write_s));
    net::async_write(stream_, net::buffer(event_text_),
                     [self = shared_from_this()](beast::error_code error, std::size_t) {
                       self->writing_ = false;
                       if (error || self->ended_) return self->close();
                       self->stream_.expires_never();
                       self->pass_events();
                     });
  }

  void close() {
    heartbeat_.cancel();
    events_.reset();
    beast::error_code ignored;
    stream_.socket().shutdown(tcp::socket::shutdown_both, ignored);
    stream_.socket().close(ignored);
  }

  Shared& shared_;
  beast::tcp_stream stream_;
  net::steady_timer heartbeat_;
  beast::flat_buffer buffer_{262144};
  std::optional<Parser> parser_;
  Request request_;
  Response response_;
  std::optional<Answer> answer_;
  std::optional<Head> head_;
  std::string chunk_;
  std::array<char, 64> heard_{};
  std::shared_ptr<EventSource> events_;
  std::string event_text_;
  std::uint64_t cursor_ = 0;
  std::uint64_t most_ = 0, got_ = 0;
  Clock::time_point began_;
  unsigned http_version_ = 11;
  bool first_ = true, keep_alive_ = false, head_only_ = false, unread_ = false;
  bool writing_ = false, ended_ = false;
};

class Listener : public HttpServer {
 public:
  Listener(const HttpOptions& options, Front& front)
      : shared_(std::make_unique<Shared>(options, front)),
        acceptor_(shared_->io),
        pause_(shared_->io),
        signals_(shared_->io) {}

  ~Listener() override {
    stop();
    shared_->workers.stop();
    shared_->workers.join();
  }

  Status listen() {
    beast::error_code error;
    const net::ip::address address = net::ip::make_address(shared_->options.address, error);
    if (error) {
      return Error{ErrorCode::invalid_argument,
                   "\"" + shared_->options.address + "\" is no IP address", "--listen",
                   "Give an address of this machine, for example 192.168.1.20"};
    }
    const tcp::endpoint endpoint{address, shared_->options.port};
    acceptor_.open(endpoint.protocol(), error);
    if (!error) acceptor_.set_option(net::socket_base::reuse_address(true), error);
    if (!error) acceptor_.bind(endpoint, error);
    if (!error) acceptor_.listen(net::socket_base::max_listen_connections, error);
    if (error) {
      return Error{ErrorCode::unreadable,
                   "cannot listen on " + shared_->options.address + " port " +
                       std::to_string(shared_->options.port) + ": " + error.message(),
                   "serve", "Choose another --port, or end the program that has this one"};
    }
    // From here on, for whoever reads the address may end the program before run() waits: the
    // signal is kept until then.
    if (shared_->options.end_on_signals) {
      signals_.add(SIGINT);
      signals_.add(SIGTERM);
    }
    loopback_ = address.is_loopback();
    port_ = acceptor_.local_endpoint(error).port();
    return Done{};
  }

  std::uint16_t port() const override { return port_; }
  bool loopback() const override { return loopback_; }

  void run() override {
    if (shared_->options.end_on_signals) {
      signals_.async_wait([this](beast::error_code error, int) {
        if (!error) stop();
      });
    }
    accept();
    std::thread second([this] { shared_->io.run(); });
    shared_->io.run();
    second.join();
    shared_->workers.stop();
    shared_->workers.join();
  }

  void stop() override { shared_->io.stop(); }

 private:
  void accept() {
    acceptor_.async_accept(net::make_strand(shared_->io),
                           [this](beast::error_code error, tcp::socket socket) {
                             on_accept(error, std::move(socket));
                           });
  }

  void on_accept(beast::error_code error, tcp::socket socket) {
    if (error == net::error::operation_aborted) return;
    if (error) {
      // Out of descriptors, for example: wait until some are free again.
      pause_.expires_after(std::chrono::milliseconds(100));
      pause_.async_wait([this](beast::error_code) { accept(); });
      return;
    }
    if (shared_->sessions < shared_->options.limits.sessions) {
      beast::error_code ignored;
      socket.set_option(tcp::no_delay(true), ignored);
      std::make_shared<Session>(*shared_, std::move(socket))->start();
    } else {
      static constexpr std::string_view full =
          "HTTP/1.1 503 Service Unavailable\r\nContent-Length: 0\r\nRetry-After: 1\r\n"
          "Connection: close\r\n\r\n";
      beast::error_code ignored;
      socket.non_blocking(true, ignored);
      socket.send(net::buffer(full.data(), full.size()), 0, ignored);
    }
    accept();
  }

  std::unique_ptr<Shared> shared_;  // outlives what follows
  tcp::acceptor acceptor_;
  net::steady_timer pause_;
  net::signal_set signals_;
  std::uint16_t port_ = 0;
  bool loopback_ = false;
};

}  // namespace

Result<std::unique_ptr<HttpServer>> HttpServer::open(const HttpOptions& options, Front& front) {
  auto out = std::make_unique<Listener>(options, front);
  if (Status s = out->listen(); !s) return s.error();
  return std::unique_ptr<HttpServer>(std::move(out));
}

}  // namespace cw::server
