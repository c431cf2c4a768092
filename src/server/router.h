#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/unit_text.h"
#include "server/http.h"

namespace cw::server {

class Workbench;

/// A request on its way to a handler.
struct Call {
  Request& request;
  std::vector<std::string> parts;  ///< decoded pieces of the path that stand for {}
  std::multimap<std::string, std::string, std::less<>> query;  ///< decoded

  std::optional<std::string> value(std::string_view key) const;
  std::vector<std::string> all(std::string_view key) const;
  /// `units=si|ip`, default si. @error invalid_argument
  Result<UnitSystem> units() const;
  /// A whole number. @error parse, out_of_range
  Result<std::int64_t> whole(std::string_view key, std::int64_t fallback, std::int64_t lowest,
                             std::int64_t highest) const;
};

using Handler = Response (*)(Workbench&, Call&);
/// Where the body goes, before it is read; or why it is not taken.
using Opener = Result<std::unique_ptr<BodySink>> (*)(Workbench&, const Call&);

/// A row of the table of routes.
struct Route {
  Method method = Method::get;
  std::string_view path;  ///< "/api/recordings/{}/verdict"
  Handler handler = nullptr;
  std::uint64_t most = 0;   ///< largest body [bytes]
  Opener opener = nullptr;  ///< null: the body goes into the request
};

/// "%41+b" -> "A+b"; empty where a percent sign has no two digits behind it or a zero byte comes.
std::optional<std::string> percent_decoded(std::string_view text);

/// The route for a path and method, filling `call`; else the refusal.
struct Routing {
  const Route* route = nullptr;
  int refusal = 0;      ///< 400, 404 or 405 without a route
  std::string allowed;  ///< with 405: the methods that there are
};
Routing find_route(std::span<const Route> routes, Method method, std::string_view path,
                   std::vector<std::string>& parts);
/// False where it is badly written.
bool read_query(std::string_view text, std::multimap<std::string, std::string, std::less<>>& out);

// The routes, by subject (docs/design/workbench.md).
std::span<const Route> page_routes();
std::span<const Route> recording_routes();
std::span<const Route> view_routes();
std::span<const Route> print_routes();
std::span<const Route> intake_routes();
std::span<const Route> twin_routes();
std::span<const Route> field_routes();

inline constexpr std::uint64_t most_json = std::uint64_t{4} << 20U;  ///< of a JSON body [bytes]

}  // namespace cw::server
