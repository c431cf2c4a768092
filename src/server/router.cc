#include "server/router.h"

#include <cmath>

#include "base/text.h"

namespace cw::server {
namespace {

int digit_of(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

std::string_view name_of(Method method) {
  switch (method) {
    case Method::get:
      return "GET, HEAD";
    case Method::post:
      return "POST";
    case Method::put:
      return "PUT";
    case Method::del:
      return "DELETE";
    default:
      return "";
  }
}

/// Does the path have the pattern's pieces? Fills what stands for {}.
bool fits(const std::vector<std::string_view>& pattern, const std::vector<std::string_view>& path,
          std::vector<std::string>& parts, bool& broken) {
  if (pattern.size() != path.size()) return false;
  parts.clear();
  for (std::size_t i = 0; i < pattern.size(); ++i) {
    if (pattern[i] != "{}") {
      if (pattern[i] != path[i]) return false;
      continue;
    }
    std::optional<std::string> part = percent_decoded(path[i]);
    if (!part || part->empty()) {
      broken = true;
      return false;
    }
    parts.push_back(std::move(*part));
  }
  return true;
}

}  // namespace

std::optional<std::string> percent_decoded(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '%') {
      out += text[i];
      continue;
    }
    const int high = i + 2 < text.size() ? digit_of(text[i + 1]) : -1;
    const int low = i + 2 < text.size() ? digit_of(text[i + 2]) : -1;
    if (high < 0 || low < 0 || (high == 0 && low == 0)) return std::nullopt;
    out += static_cast<char>(high * 16 + low);
    i += 2;
  }
  return out;
}

Routing find_route(std::span<const Route> routes, Method method, std::string_view path,
                   std::vector<std::string>& parts) {
  Routing out;
  out.refusal = 404;
  const Method asked = method == Method::head ? Method::get : method;
  const std::vector<std::string_view> pieces = split(path, '/');
  for (const Route& route : routes) {
    bool broken = false;
    std::vector<std::string> found;
    if (!fits(split(route.path, '/'), pieces, found, broken)) {
      if (broken && out.refusal == 404) out.refusal = 400;
      continue;
    }
    if (route.method == asked) {
      parts = std::move(found);
      out.route = &route;
      out.refusal = 0;
      return out;
    }
    out.refusal = 405;
    out.allowed += (out.allowed.empty() ? "" : ", ") + std::string(name_of(route.method));
  }
  return out;
}

bool read_query(std::string_view text, std::multimap<std::string, std::string, std::less<>>& out) {
  if (text.empty()) return true;
  for (const std::string_view one : split(text, '&')) {
    if (one.empty()) continue;
    const std::size_t equals = one.find('=');
    std::string value(equals == std::string_view::npos ? "" : one.substr(equals + 1));
    for (char& c : value) c = c == '+' ? ' ' : c;
    const auto key = percent_decoded(one.substr(0, equals));
    const auto decoded = percent_decoded(value);
    if (!key || !decoded) return false;
    out.emplace(*key, *decoded);
  }
  return true;
}

std::optional<std::string> Call::value(std::string_view key) const {
  const auto found = query.find(key);
  if (found == query.end()) return std::nullopt;
  return found->second;
}

std::vector<std::string> Call::all(std::string_view key) const {
  std::vector<std::string> out;
  const auto [from, to] = query.equal_range(key);
  for (auto it = from; it != to; ++it) out.push_back(it->second);
  return out;
}

Result<UnitSystem> Call::units() const {
  const std::string text = value("units").value_or("si");
  if (text == "si") return UnitSystem::si;
  if (text == "ip") return UnitSystem::ip;
  return Error{ErrorCode::invalid_argument, "\"" + text + "\" is no unit system", "units",
               "Use si or ip (inch-pound)"};
}

Result<std::int64_t> Call::whole(std::string_view key, std::int64_t fallback, std::int64_t lowest,
                                 std::int64_t highest) const {
  const auto text = value(key);
  if (!text) return fallback;
  double number = 0.0;
  // 2^53: beyond, a page's numbers are not whole either.
  if (!read_number(*text, number) || std::abs(number) > 9007199254740992.0) {
    return Error{ErrorCode::parse, "\"" + *text + "\" is no number", std::string(key),
                 "Give a whole number"};
  }
  const auto out = static_cast<std::int64_t>(number);
  if (out < lowest || out > highest) {
    return Error{ErrorCode::out_of_range, *text + " is out of range", std::string(key),
                 "Give " + std::to_string(lowest) + " to " + std::to_string(highest)};
  }
  return out;
}

}  // namespace cw::server
