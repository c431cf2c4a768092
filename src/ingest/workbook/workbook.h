#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "ingest/packed/unpack.h"

namespace cw {

/// One sheet of an Office Open XML workbook as text (see CellText); a row of the sheet is a line.
struct SheetText {
  std::string name;
  std::string text;
  std::size_t numbers = 0;          ///< numbers and dates in it
  bool seen = false;                ///< has numbers and is not hidden
  std::vector<std::string> others;  ///< "name (numbers)" of the sheets that were not taken
};

/// Is this archive a workbook?
bool is_workbook(const ZipArchive& archive);

/// Reads the sheet of that name, or with an empty name the one with most numbers
/// (a hidden one only where no other has any). Cells with a date
/// format become ISO stamps, whatever the spreadsheet shows; formulas give their stored result.
/// @error unreadable, not_found (no such sheet), out_of_range (as ZipArchive)
Result<SheetText> read_workbook(ZipArchive& archive, const std::string& sheet);

}  // namespace cw
