#include "server/gate.h"

#include <algorithm>
#include <random>

#include "base/text.h"
#include "server/answers.h"

namespace cw::server {
namespace {

constexpr std::string_view cookie_name = "coilwright=";

/// Takes as long whatever the difference.
bool same_secret(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  unsigned char difference = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    difference |= static_cast<unsigned char>(a[i] ^ b[i]);
  }
  return difference == 0;
}

/// "192.168.1.20" or "[fe80::1]": letters, digits and signs of addresses only.
bool is_address(std::string_view host) {
  if (host.starts_with('[') && host.ends_with(']')) return true;
  return !host.empty() && host.find_first_not_of("0123456789.") == std::string_view::npos;
}

}  // namespace

bool Gate::is_own(std::string_view authority) const {
  std::string host = to_lower(authority);
  const std::string ending = ":" + std::to_string(port);
  if (host.ends_with(ending)) {
    host.resize(host.size() - ending.size());
  } else if (port != 80) {
    return false;
  }
  if (std::find(names.begin(), names.end(), host) != names.end()) return true;
  return any_address && is_address(host);
}

bool Gate::has_token(const Request& request) const {
  constexpr std::string_view bearer = "Bearer ";
  const std::string_view given = request.authorization;
  if (given.starts_with(bearer) && same_secret(given.substr(bearer.size()), token)) return true;
  std::string_view rest = request.cookie;
  while (!rest.empty()) {
    const std::size_t end = std::min(rest.find(';'), rest.size());
    const std::string_view one = trim(rest.substr(0, end));
    if (one.starts_with(cookie_name) && same_secret(one.substr(cookie_name.size()), token)) {
      return true;
    }
    rest.remove_prefix(std::min(end + 1, rest.size()));
  }
  return false;
}

bool Gate::brings_token(const Request& request) const {
  constexpr std::string_view key = "token=";
  const std::string_view query = request.query;
  return !token.empty() && request.method == Method::get && request.path == "/" &&
         query.starts_with(key) && same_secret(query.substr(key.size()), token);
}

Response Gate::welcome() const {
  Response out;
  out.status = 303;
  out.headers = {{"Location", "/"},
                 {"Set-Cookie", std::string(cookie_name) + token +
                                    "; HttpOnly; SameSite=Strict; Path=/; Max-Age=2592000"}};
  return out;
}

std::optional<Response> Gate::refusal(const Request& request) const {
  if (!is_own(request.host)) {
    return error_response(403, {ErrorCode::invalid_argument, "this host name is not served", "Host",
                                "Use the address that the program printed"});
  }
  const bool foreign_origin = !request.origin.empty() && !(request.origin.starts_with("http://") &&
                                                           is_own(request.origin.substr(7)));
  const bool foreign_site = !request.fetch_site.empty() && request.fetch_site != "same-origin" &&
                            request.fetch_site != "none";
  // A link from elsewhere may open the page itself, and nothing else.
  const bool opens_page = request.method == Method::get && request.path == "/";
  if (foreign_origin || (foreign_site && !opens_page)) {
    return error_response(403,
                          {ErrorCode::invalid_argument, "asked by a page of another site", "Origin",
                           "Open the workbench by the address that the program "
                           "printed"});
  }
  if (token.empty() || has_token(request) || brings_token(request)) return std::nullopt;
  return error_response(401, {ErrorCode::invalid_argument, "the token is missing or wrong", "token",
                              "Open the whole address that the program printed, with ?token="});
}

std::string random_name(std::size_t length) {
  constexpr std::string_view letters = "abcdefghijklmnopqrstuvwxyz0123456789";
  std::random_device source;
  std::uniform_int_distribution<std::size_t> pick(0, letters.size() - 1);
  std::string out;
  for (std::size_t i = 0; i < length; ++i) out += letters[pick(source)];
  return out;
}

}  // namespace cw::server
