#pragma once

#include <optional>
#include <string_view>

namespace cw {

/// The line (from 1) of the first table header without a name ("[[[", "[ = ]", "[é]"), or nothing.
///
/// toml++ 3.3 takes for granted that a key follows the brackets of a header (parse_key in
/// parser.inl): other text stops a build with assertions and is undefined in one without. Files
/// are written by people, so such lines are found before it sees them. Strings over several lines
/// and lists are passed over.
std::optional<int> nameless_header(std::string_view text);

/// The line of the first closing brace that stands in a list ("x = [}"), or nothing. The same
/// parser takes for granted that a list's element begins with something else.
std::optional<int> misplaced_brace(std::string_view text);

/// The line of the first byte outside ASCII that stands outside quotes and comments ("température
/// = 3"), or within quotes behind a backslash, or nothing. TOML 1.0 has such letters only inside
/// quotes and comments; what the same parser does with some of them ("x = \u01ff") is undefined.
std::optional<int> unquoted_letter(std::string_view text);

}  // namespace cw
