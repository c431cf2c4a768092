#pragma once

#include <string>
#include <string_view>

namespace cw {

/// A header's German, French or Japanese words of the trade put into English; anything else stays.
/// Plain words only, as a dictionary of the trade has them.
std::string in_english(std::string_view header);

/// What a word in a cell means, of those that maps know: "on", "off", "heating", "cooling",
/// "defrost", "standby", "fan". A word that is none of them comes back in lower case.
std::string meaning_of_word(std::string_view cell);

}  // namespace cw
