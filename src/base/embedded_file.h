#pragma once

#include <string_view>

namespace cw {

/// A data file compiled into the program (see cw_embed in cmake/Module.cmake).
struct EmbeddedFile {
  std::string_view name;  ///< path relative to data/, for example "checks/set-point.toml"
  std::string_view text;  ///< the whole file, UTF-8
};

}  // namespace cw
