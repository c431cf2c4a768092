#pragma once

#include <string_view>

namespace cw {

/// The program's version, "0.1.0".
std::string_view version() noexcept;

}  // namespace cw
