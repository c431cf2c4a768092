#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "base/result.h"

namespace cw::server {

struct ServeOptions {
  std::filesystem::path folder;       ///< of taken-in recordings; made when needed
  std::string address = "127.0.0.1";  ///< an IP address of this machine
  std::uint16_t port = 0;             ///< 0: any free one
  bool port_stated = false;           ///< else another port is taken where this one is not free
  std::vector<std::string> names;     ///< further host names that it is reached by
  std::uint64_t upload_limit = std::uint64_t{8} << 30U;  ///< of one file [bytes]
  bool end_on_signals = true;                            ///< SIGINT and SIGTERM end it
};

/// The folder for what a person gave the program to keep: $XDG_DATA_HOME/coilwright, else
/// ~/.local/share/coilwright. Empty where neither is set.
std::filesystem::path usual_folder();

/// Serves the workbench until it is told to stop.
/// @param listening  told once, with the address to open in a browser (token included)
/// @error as Store::open, HttpServer::open
Status serve(const ServeOptions& options, const std::function<void(const std::string&)>& listening);

}  // namespace cw::server
