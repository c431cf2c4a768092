#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace cw {

/// Where the reader of a sentence stands: a sentence that says what can be done names what is there
/// to do it with, options on the command line, fields and buttons on the workbench's page.
enum class Reader : std::uint8_t { command_line, page };

/// Of the two ways to say it, the reader's.
inline std::string told(Reader reader, std::string_view on_command_line, std::string_view on_page) {
  return std::string(reader == Reader::page ? on_page : on_command_line);
}

}  // namespace cw
