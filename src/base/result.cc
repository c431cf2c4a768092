#include "base/result.h"

namespace cw {

const char* name_of(ErrorCode code) noexcept {
  switch (code) {
    case ErrorCode::invalid_argument:
      return "invalid_argument";
    case ErrorCode::parse:
      return "parse";
    case ErrorCode::unit:
      return "unit";
    case ErrorCode::out_of_range:
      return "out_of_range";
    case ErrorCode::not_found:
      return "not_found";
    case ErrorCode::unreadable:
      return "unreadable";
    case ErrorCode::unsupported:
      return "unsupported";
    case ErrorCode::no_convergence:
      return "no_convergence";
    case ErrorCode::inconsistent:
      return "inconsistent";
  }
  return "unknown";
}

std::string Error::text() const {
  std::string out = where.empty() ? message : where + ": " + message;
  if (!fix.empty()) {
    if (!out.empty() && out.back() != '.' && out.back() != '?') out += '.';
    out += ' ';
    out += fix;
  }
  return out;
}

}  // namespace cw
