#pragma once

#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cstring>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

/// A client of our own on a bare socket: sends exactly the bytes that a test wants, good or bad.
namespace cw::test {

inline constexpr int patience_ms = 120000;  // a guard against hanging, no measurement

class Socket {
 public:
  explicit Socket(std::uint16_t port) {
    descriptor_ = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(port);
    ::inet_pton(AF_INET, "127.0.0.1", &address.sin_addr);
    connected_ =
        ::connect(descriptor_, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0;
  }
  ~Socket() { ::close(descriptor_); }
  Socket(const Socket&) = delete;
  Socket& operator=(const Socket&) = delete;

  bool connected() const { return connected_; }

  bool send(std::string_view text) {
    while (!text.empty()) {
      const ssize_t sent = ::send(descriptor_, text.data(), text.size(), MSG_NOSIGNAL);
      if (sent <= 0) return false;
      text.remove_prefix(static_cast<std::size_t>(sent));
    }
    return true;
  }
  void end_sending() { ::shutdown(descriptor_, SHUT_WR); }

  /// More bytes into `got`; false at the end, or when nothing comes for too long.
  bool more() {
    pollfd waiting{descriptor_, POLLIN, 0};
    if (::poll(&waiting, 1, patience_ms) <= 0) {
      ADD_FAILURE() << "the server said nothing for two minutes";
      return false;
    }
    char chunk[65536];
    const ssize_t read = ::recv(descriptor_, chunk, sizeof chunk, 0);
    if (read <= 0) return false;
    got.append(chunk, static_cast<std::size_t>(read));
    return true;
  }
  std::string all() {
    while (more()) {
    }
    return got;
  }
  /// Reads until the text has come; false when the connection ends before.
  bool wait_for(std::string_view text) {
    while (got.find(text) == std::string::npos) {
      if (!more()) return false;
    }
    return true;
  }

  std::string got;

 private:
  int descriptor_ = -1;
  bool connected_ = false;
};

struct Answer {
  int status = 0;  ///< 0: there was none
  std::map<std::string, std::string> headers;
  std::string body;

  std::string header(std::string name) const {
    for (char& c : name) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    const auto found = headers.find(name);
    return found == headers.end() ? "" : found->second;
  }
};

/// The first answer in some bytes; consumes it. Empty when it is not complete.
inline std::optional<Answer> take_answer(std::string& bytes, bool head_only = false) {
  const std::size_t end = bytes.find("\r\n\r\n");
  if (end == std::string::npos) return std::nullopt;
  Answer out;
  out.status = std::atoi(bytes.c_str() + std::min<std::size_t>(9, end));
  std::size_t at = bytes.find("\r\n") + 2;
  while (at < end) {
    const std::size_t line_end = bytes.find("\r\n", at);
    const std::string line = bytes.substr(at, line_end - at);
    const std::size_t colon = line.find(':');
    std::string name = line.substr(0, colon);
    for (char& c : name) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    out.headers[name] = line.substr(std::min(colon + 2, line.size()));
    at = line_end + 2;
  }
  std::size_t length = 0;
  const bool no_body = head_only || out.status == 204 || out.status == 304 || out.status == 100;
  if (!no_body && !out.header("content-length").empty()) {
    length = std::stoul(out.header("content-length"));
  }
  if (bytes.size() < end + 4 + length) return std::nullopt;
  out.body = bytes.substr(end + 4, length);
  bytes.erase(0, end + 4 + length);
  return out;
}

/// A server on this machine, asked over one connection for each request.
struct Client {
  std::uint16_t port = 0;
  std::string host = "127.0.0.1:" + std::to_string(port);
  std::vector<std::string> headers;  ///< further ones, "Name: value"

  explicit Client(std::uint16_t the_port) : port(the_port) {}

  std::string request(const std::string& method, const std::string& path,
                      const std::string& body = {}) const {
    std::string out = method + " " + path + " HTTP/1.1\r\nHost: " + host + "\r\n";
    for (const std::string& header : headers) out += header + "\r\n";
    if (!body.empty() || method == "PUT" || method == "POST") {
      out += "Content-Length: " + std::to_string(body.size()) + "\r\n";
    }
    return out + "Connection: close\r\n\r\n" + body;
  }
  Answer ask(const std::string& method, const std::string& path,
             const std::string& body = {}) const {
    return raw(request(method, path, body), method == "HEAD");
  }
  Answer get(const std::string& path) const { return ask("GET", path); }
  /// Whatever bytes; the first answer to them, of status 0 when there was none.
  Answer raw(const std::string& bytes, bool head_only = false) const {
    Socket socket(port);
    if (!socket.connected()) return {};
    socket.send(bytes);
    for (;;) {
      if (std::optional<Answer> answer = take_answer(socket.got, head_only)) return *answer;
      if (!socket.more()) return {};
    }
  }
  /// The events of a job until its stream ends.
  std::string events(const std::string& job) const {
    Socket socket(port);
    socket.send(request("GET", "/api/jobs/" + job + "/events"));
    return socket.all();
  }
};

}  // namespace cw::test
