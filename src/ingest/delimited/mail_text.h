#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace cw {

/// Is the text a mail as it is sent, with its own head lines, whose parts are written in a code?
bool is_mail(std::string_view text);

/// A table that stands in an answer to a mail, whose lines begin with "> ", without these marks;
/// line for line. Empty for any other text.
std::optional<std::string> without_reply_marks(std::string_view text);

}  // namespace cw
