#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "ingest/counters.h"
#include "ingest/source_table.h"

namespace cw {

/// Where the lines of a text that was made from a file stand in that file, so that what is set
/// aside can be found.
struct SourceLines {
  bool same = true;  ///< each line is that of the file
  std::vector<std::uint32_t> of_line;
  /// Of columns that were lines of the file, by header.
  std::map<std::string, std::uint32_t, std::less<>> of_column;

  /// The line of the file; 0 where it is not known.
  std::uint32_t find(std::size_t line, std::string_view column) const;
};

/// Puts the file's lines into a log and tables of the text. Where a line is not known the reason
/// names the row of the table instead.
void put_source_lines(const SourceLines& source, ImportLog& log, std::vector<SourceTable>& tables);

}  // namespace cw
