#pragma once

#include <functional>
#include <string_view>

#include "base/result.h"
#include "ingest/channel_map.h"
#include "ingest/counters.h"
#include "ingest/source_table.h"

namespace cw {

/// What a format's reader is given beside the bytes.
struct ReadContext {
  std::string file;  ///< name for messages
  const ChannelMap* map = nullptr;
  double barometric_pressure = 101325.0;            ///< [Pa], for gauge readings
  ImportLog* log = nullptr;                         ///< never null
  std::function<void(std::size_t bytes)> progress;  ///< may be empty
};

/// Reads delimited text with one header line: comma, semicolon, tab or bar; quoted cells; UTF-8.
/// @error unreadable  no header, no time column, no known channel (see import_recordings)
Result<SourceTable> read_delimited(std::string_view bytes, const ReadContext& context);

/// The header cells of delimited text, without reading further; empty when there is no line.
std::vector<std::string> header_cells(std::string_view bytes);

}  // namespace cw
