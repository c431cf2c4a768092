#pragma once

#include <span>
#include <string_view>

namespace cw::server {

/// A file of the workbench's page, compiled into the program (cmake/EmbedPage.cmake).
struct PageFile {
  std::string_view path;  ///< "/index.html", "/assets/index-3f2a.js"
  std::string_view type;  ///< content type
  std::string_view tag;   ///< changes with its bytes
  std::string_view gzip;  ///< its bytes, packed
};

std::span<const PageFile> page_files();

}  // namespace cw::server
