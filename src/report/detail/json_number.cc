#include "report/detail/json_number.h"

#include <charconv>
#include <cmath>

#include "base/text.h"

namespace cw::detail {

nlohmann::ordered_json json_number(double value, int digits) {
  if (!std::isfinite(value)) return nullptr;
  double rounded = value;
  const std::string text = number_text(value, digits);
  std::from_chars(text.data(), text.data() + text.size(), rounded);
  return rounded == 0.0 ? 0.0 : rounded;
}

std::string json_line(const nlohmann::ordered_json& json) {
  return json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace cw::detail
