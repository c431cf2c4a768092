#include "series/place.h"

#include <array>
#include <charconv>

#include "base/text.h"

namespace cw {
namespace {

struct Kind {
  std::string_view word;
  PlaceKind kind;
  std::string_view label;
};
constexpr std::array kinds = {
    Kind{"outdoor", PlaceKind::outdoor, "outdoor module"},
    Kind{"branch", PlaceKind::branch, "branch box"},
    Kind{"indoor", PlaceKind::indoor, "indoor unit"},
};

bool is_id(std::string_view id) {
  if (id.empty()) return false;
  for (const char c : id) {
    const bool plain = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || c == '-' || c == '_';
    if (!plain && static_cast<unsigned char>(c) < 0x80) return false;
  }
  return true;
}

/// "outdoor.1", "outdoor_1", "outdoor 1" or "outdoor1": the id behind the word.
std::optional<std::string_view> id_behind(std::string_view text, std::string_view word) {
  if (!text.starts_with(word)) return std::nullopt;
  std::string_view id = text.substr(word.size());
  if (id.starts_with("_unit")) id.remove_prefix(5);
  if (id.starts_with("_module")) id.remove_prefix(7);
  const bool separated = !id.empty() && (id.front() == '.' || id.front() == '_' ||
                                         id.front() == ' ' || id.front() == '-');
  if (separated) id.remove_prefix(1);
  // Without a separator only a number may follow: "outdoor1", but not "outdoors".
  if (!separated && (id.empty() || id.front() < '0' || id.front() > '9')) return std::nullopt;
  if (!is_id(id)) return std::nullopt;
  return id;
}

}  // namespace

std::optional<Place> parse_place(std::string_view raw) {
  const std::string text = to_lower(trim(raw));
  if (text == "site") return Place{PlaceKind::site, "site"};
  if (text == "system") return Place{PlaceKind::system, "system"};
  // A compressor of a module: outdoor.1.compressor.2.
  if (const std::size_t at = text.find("compressor"); at != std::string::npos && at > 1) {
    const std::optional<Place> module = parse_place(std::string_view(text).substr(0, at - 1));
    const auto id = id_behind(std::string_view(text).substr(at), "compressor");
    if (!module || module->kind != PlaceKind::outdoor || !id) return std::nullopt;
    return Place{PlaceKind::compressor, module->text + ".compressor." + std::string(*id)};
  }
  for (const Kind& kind : kinds) {
    if (const auto id = id_behind(text, kind.word)) {
      return Place{kind.kind, std::string(kind.word) + "." + std::string(*id)};
    }
  }
  return std::nullopt;
}

std::string Place::module() const {
  if (kind != PlaceKind::compressor) return text;
  return text.substr(0, text.find(".compressor."));
}

std::string Place::label() const {
  if (kind == PlaceKind::compressor) {
    const std::size_t at = text.find(".compressor.");
    return Place{PlaceKind::outdoor, text.substr(0, at)}.label() + ", compressor " +
           text.substr(at + 12);
  }
  for (const Kind& row : kinds) {
    if (row.kind == kind) return std::string(row.label) + " " + text.substr(row.word.size() + 1);
  }
  return text;
}

bool place_before(const Place& a, const Place& b) {
  if (a.kind != b.kind) return a.kind < b.kind;
  const auto number = [](const std::string& text) {
    const std::string id = text.substr(text.rfind('.') + 1);
    long value = -1;
    const auto [end, status] = std::from_chars(id.data(), id.data() + id.size(), value);
    return status == std::errc{} && end == id.data() + id.size() ? value : -1;
  };
  if (a.module() == b.module() || a.kind != PlaceKind::compressor) {
    const long na = number(a.text);
    const long nb = number(b.text);
    if (na >= 0 && nb >= 0 && na != nb) return na < nb;
  }
  return a.text < b.text;
}

}  // namespace cw
