#pragma once

#include <string_view>

#include "checks/check.h"

namespace cw::detail {

/// The catalogue's entry of a finding's check.
const Check& check_named(std::string_view id);

}  // namespace cw::detail
