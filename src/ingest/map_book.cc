#include "ingest/map_book.h"

#include <algorithm>

namespace cw {

Result<std::vector<ChannelMap>> read_map_book(const std::filesystem::path& folder) {
  namespace fs = std::filesystem;
  std::error_code error;
  std::vector<fs::path> files;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    if (it->path().extension() == ".toml") files.push_back(it->path());
  }
  if (error || files.empty()) {
    return Error{ErrorCode::not_found, error ? error.message() : "the folder holds no maps",
                 folder.string(), "A book of maps is a folder with .toml files"};
  }
  std::sort(files.begin(), files.end());
  std::vector<ChannelMap> out;
  for (const fs::path& file : files) {
    Result<ChannelMap> map = read_channel_map(file);
    if (!map) return map.error();
    out.push_back(std::move(*map));
  }
  return out;
}

}  // namespace cw
