#include "base/toml_mistakes.h"

#include <algorithm>

namespace cw {

int toml_line(const toml::node& node) noexcept {
  return static_cast<int>(node.source().begin.line);
}

void TomlMistakes::add(const toml::node& at, ErrorCode code, std::string message, std::string fix) {
  add_at_line(toml_line(at), code, std::move(message), std::move(fix));
}

void TomlMistakes::add_at_line(int line, ErrorCode code, std::string message, std::string fix) {
  errors_.push_back({line, Error{code, std::move(message), where(line), std::move(fix)}});
}

void TomlMistakes::add_foreign(const toml::node& at, Error error) {
  errors_.push_back({toml_line(at), std::move(error)});
}

std::vector<Error> TomlMistakes::sorted() const {
  std::vector<Entry> entries = errors_;
  std::stable_sort(entries.begin(), entries.end(),
                   [](const Entry& a, const Entry& b) { return a.line < b.line; });
  std::vector<Error> out;
  out.reserve(entries.size());
  for (Entry& entry : entries) out.push_back(std::move(entry.error));
  return out;
}

std::string short_text(std::string_view text, std::size_t most) {
  if (text.size() <= most) return std::string(text);
  const auto is_tail = [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; };
  while (most > 0 && is_tail(text[most])) --most;
  return std::string(text.substr(0, most)) + "...";
}

}  // namespace cw
