#pragma once

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

namespace cw::test {

/// The invented recordings, one for every trap of a logger's export.
inline const std::filesystem::path& import_data() {
  static const std::filesystem::path out =
      std::filesystem::path(CW_SOURCE_ROOT) / "tests" / "data" / "import";
  return out;
}

/// Files and folders in it, by name.
inline std::vector<std::string> import_names() {
  std::vector<std::string> out;
  for (const auto& entry : std::filesystem::directory_iterator(import_data())) {
    out.push_back(entry.path().filename().string());
  }
  std::sort(out.begin(), out.end());
  return out;
}

}  // namespace cw::test
