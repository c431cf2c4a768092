#pragma once

#include <optional>
#include <string>
#include <vector>

#include "server/http.h"

namespace cw::server {

/// Who may ask: keeps pages of other sites from using the server through the person's browser, by
/// Host (an address that was made to point here), Origin and Sec-Fetch-Site; and beyond loopback
/// everybody who has not the token.
struct Gate {
  std::uint16_t port = 0;
  std::vector<std::string> names;  ///< host names and addresses it is reached by, lower case
  bool any_address = false;        ///< any IP address as a host, for a listener on all of them
  std::string token;               ///< empty: none is asked

  /// The refusal, or nothing. Does not look at the token of a request that brings one to `/`.
  std::optional<Response> refusal(const Request& request) const;
  /// Is this the first visit, `/?token=...` with the right one?
  bool brings_token(const Request& request) const;
  /// Sets the cookie and forwards to `/`.
  Response welcome() const;

 private:
  bool is_own(std::string_view authority) const;
  bool has_token(const Request& request) const;
};

/// 32 letters and digits from the system's random numbers; `length` for others.
std::string random_name(std::size_t length = 32);

}  // namespace cw::server
