#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "ingest/channel_map.h"
#include "ingest/delimited/dialect.h"

namespace cw {

/// Where titles, header, units and data stand in a delimited text, with what decided it.
struct Layout {
  Dialect dialect;
  std::vector<Observation> findings;     ///< delimiter, numbers, header: in this order
  std::vector<std::string> assumptions;  ///< sentences: what was taken as read
  std::vector<std::string> titles;       ///< lines above the header, shortened
  bool has_header = true;
  std::vector<std::string> headers;  ///< tidied; "column 3" where the file has no header
  std::vector<std::string> units;    ///< of a unit row; as many as headers, or none
  std::string header_text;      ///< the header line as it stands, to know it when it comes again
  std::size_t header_line = 0;  ///< 1-based; 0: none
  std::size_t data_begin = 0;   ///< byte at which the first row begins
  std::size_t data_line = 1;    ///< its line number
  /// Lines above the data and lines that stand again and again below it, folded (page_lines.h): in
  /// a paged report they come again.
  std::vector<std::string> page_lines;
  bool last_may_lack = false;  ///< the header ends with an empty cell, which rows may leave out
  bool ragged = false;         ///< many rows leave out empty cells at their end
  std::vector<std::vector<std::string>> rows;  ///< sampled rows in file order, cells tidied
};

/// Stage 3: titles, header rows, the unit row and the first row of data.
///
/// A first line that holds a channel header in our own form, or that the map knows, is the header
/// whatever the rest looks like.
/// @error unreadable  the text has no lines
Result<Layout> find_layout(std::string_view text, const ChannelMap* map);

/// All cells of a line, tidied.
std::vector<std::string> tidy_cells(std::string_view line, char delimiter);

}  // namespace cw
