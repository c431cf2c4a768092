#pragma once

#include <filesystem>
#include <optional>
#include <string_view>

namespace cw {

/// The folder for what the program can make again and keeps to be faster: $COILWRIGHT_CACHE, else
/// $XDG_CACHE_HOME/coilwright, else ~/.cache/coilwright; `kind` is a folder inside it
/// ("recordings"). Nothing is created. A relative path in a variable is passed over, as the XDG
/// base directory specification asks. Empty where none of them is set, and where COILWRIGHT_CACHE
/// is set to nothing: then nothing is kept.
std::optional<std::filesystem::path> cache_place(std::string_view kind);

}  // namespace cw
