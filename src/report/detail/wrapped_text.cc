#include "report/detail/wrapped_text.h"

#include <algorithm>

#include "base/text.h"

namespace cw::detail {

std::size_t columns_of(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  }));
}

void append_wrapped(std::string& out, std::string_view lead, std::string_view text,
                    std::size_t width) {
  const std::size_t indent = columns_of(lead);
  out += lead;
  std::size_t column = indent;
  bool first = true;
  for (const std::string_view word : split(text, ' ')) {
    const std::size_t size = columns_of(word);
    if (!first && column + 1 + size > width) {
      out += "\n" + std::string(indent, ' ');
      column = indent;
      first = true;
    }
    if (!first) {
      out += ' ';
      ++column;
    }
    out += word;
    column += size;
    first = false;
  }
  out += '\n';
}

}  // namespace cw::detail
