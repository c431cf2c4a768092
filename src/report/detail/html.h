#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "report/svg_plot.h"

/// Small pieces of HTML that reports are made of; texts are escaped.
namespace cw::detail {

inline std::string element(const std::string& tag, std::string_view text) {
  return "<" + tag + ">" + html_text(text) + "</" + tag + ">";
}

inline std::string list_element(const std::vector<std::string>& items, const std::string& none) {
  if (items.empty()) return "<p>" + html_text(none) + "</p>";
  std::string out = "<ul>";
  for (const std::string& item : items) out += element("li", item);
  return out + "</ul>";
}

}  // namespace cw::detail
