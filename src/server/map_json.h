#pragma once

#include <string>
#include <string_view>

#include "base/result.h"

namespace cw::server {

/// A map's TOML as the JSON object of the same keys and values, so that the page can go on with a
/// map that it did not write itself; "{}" where there is none. @error parse
Result<std::string> map_json(std::string_view toml);

}  // namespace cw::server
