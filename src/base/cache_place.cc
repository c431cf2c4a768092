#include "base/cache_place.h"

#include <cstdlib>

namespace cw {

std::optional<std::filesystem::path> cache_place(std::string_view kind) {
  const auto absolute = [](const char* variable) -> std::optional<std::filesystem::path> {
    const char* const text = std::getenv(variable);
    if (text == nullptr) return std::nullopt;
    std::filesystem::path path(text);
    if (!path.is_absolute()) return std::nullopt;
    return path;
  };
  const char* const own_text = std::getenv("COILWRIGHT_CACHE");
  if (own_text != nullptr && *own_text == '\0') return std::nullopt;
  if (const auto own = absolute("COILWRIGHT_CACHE")) return *own / kind;
  if (const auto shared = absolute("XDG_CACHE_HOME")) return *shared / "coilwright" / kind;
  if (const auto home = absolute("HOME")) return *home / ".cache" / "coilwright" / kind;
  return std::nullopt;
}

}  // namespace cw
