#pragma once

#include <nlohmann/json.hpp>
#include <string>

namespace cw::detail {

/// A number of so many significant digits, the same text on every machine; null where it is not
/// finite, and no "-0".
nlohmann::ordered_json json_number(double value, int digits);

/// On one line with its line end; what is not UTF-8 becomes U+FFFD.
std::string json_line(const nlohmann::ordered_json& json);

}  // namespace cw::detail
