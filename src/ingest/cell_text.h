#pragma once

#include <algorithm>
#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"

namespace cw {

/// The most text that a table of `source` bytes may become: sheets and grids leave empty cells out,
/// and a few bytes can name the last of many columns.
inline std::size_t most_text(std::size_t source) {
  return std::max<std::size_t>(64U << 20U, source * 100);
}

inline Error too_wide() {
  return {ErrorCode::out_of_range,
          "a few bytes name so many rows and columns that they would fill the memory, which no "
          "recording does",
          "", "If it is one, export it as CSV text"};
}

/// A text that was made from a file in another form, with where its lines come from.
struct ConvertedText {
  std::string text;
  std::vector<std::uint32_t> line;  ///< of the file, for each line of the text; none: not known
  /// Of columns that were lines of the file, by header.
  std::map<std::string, std::uint32_t, std::less<>> column_line;
  std::string finding;  ///< for people, where the form needs a word; empty: none
};

/// Writes rows of other formats as delimited text that the stages of delimited/ read: cells between
/// unit separators (U+001F), which no text holds.
class CellText {
 public:
  void cell(std::string_view text) {
    if (!first_) out_ += '\x1f';
    first_ = false;
    const bool quote = text.find('"') != std::string_view::npos;
    if (quote) out_ += '"';
    for (const char c : text) {
      if (c == '"') out_ += '"';
      out_ += c == '\n' || c == '\r' || c == '\x1f' || c == '\0' ? ' ' : c;
    }
    if (quote) out_ += '"';
  }
  void end_row() {
    out_ += '\n';
    first_ = true;
  }
  std::size_t size() const { return out_.size(); }
  std::string take() { return std::move(out_); }

 private:
  std::string out_;
  bool first_ = true;
};

/// A grid whose numbers may carry units, before it becomes text: a unit that all numbers of a
/// column share goes into its header.
struct UnitGrid {
  struct Cell {
    std::string text;
    std::string unit;
  };
  struct Column {
    std::string key;
    std::string header;
    std::string unit;
    bool mixed = false;
  };
  /// Cells that are there, with their columns: a row that names one of ten thousand columns costs
  /// one.
  struct Entry {
    std::size_t column = 0;
    Cell cell;
  };
  std::vector<Column> columns;
  std::vector<std::vector<Entry>> rows;
  std::uint32_t header_line = 1;     ///< of the file
  std::vector<std::uint32_t> lines;  ///< of the file, for each row; none: not known

  void put(std::size_t column, Cell cell) {
    Column& c = columns[column];
    if (!cell.unit.empty()) {
      if (c.unit.empty()) c.unit = cell.unit;
      c.mixed = c.mixed || c.unit != cell.unit;
    }
    rows.back().push_back({column, std::move(cell)});
  }

  /// @param source  size of what the grid was made from [bytes]
  /// @error out_of_range  a few bytes that would become a text of many
  Result<ConvertedText> text(std::size_t source) const {
    if (columns.size() * rows.size() > most_text(source)) return too_wide();
    CellText out;
    for (const Column& column : columns) {
      const bool named = !column.unit.empty() && !column.mixed;
      out.cell(named ? column.header + " [" + column.unit + "]" : column.header);
    }
    out.end_row();
    std::vector<const Cell*> wide(columns.size());
    for (const std::vector<Entry>& row : rows) {
      std::fill(wide.begin(), wide.end(), nullptr);
      for (const Entry& entry : row) wide[entry.column] = &entry.cell;
      for (std::size_t i = 0; i < columns.size(); ++i) {
        if (wide[i] == nullptr) {
          out.cell("");
        } else {
          out.cell(columns[i].mixed && !wide[i]->unit.empty() ? wide[i]->text + " " + wide[i]->unit
                                                              : wide[i]->text);
        }
      }
      out.end_row();
    }
    ConvertedText made;
    made.text = out.take();
    if (lines.size() == rows.size()) {
      made.line = {header_line};
      made.line.insert(made.line.end(), lines.begin(), lines.end());
    }
    return made;
  }
};

}  // namespace cw
