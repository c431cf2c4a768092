#pragma once

#include <string>
#include <string_view>

namespace cw {

/// A header's German, French or Japanese words of the trade put into English; anything else stays.
/// Plain words only, as a dictionary of the trade has them.
std::string in_english(std::string_view header);

}  // namespace cw
