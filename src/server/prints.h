#pragma once

#include <list>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "server/library.h"
#include "server/router.h"

namespace cw::server {

/// `paper=a4|letter`, else that of the units. @error invalid_argument
Result<Paper> paper_of(const Call& call, UnitSystem units);

/// Reports printed to PDF, kept until they are fetched, the last few of them. Thread-safe.
class Prints {
 public:
  /// Prints a page for a recording; one at a time, since each print is a whole browser.
  /// @returns the id to fetch it by
  /// @error as print::print_pdf
  Result<std::string> make(const std::string& recording, std::string_view page, Watch watch);
  /// Nothing where it was never made, or long ago.
  std::optional<std::string> find(const std::string& recording, const std::string& id) const;

 private:
  struct Print {
    std::string recording, id, pdf;
  };
  mutable std::mutex mutex_;
  std::timed_mutex printing_;
  std::list<Print> made_;  // latest first
};

}  // namespace cw::server
