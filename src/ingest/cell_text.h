#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace cw {

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
  std::vector<Column> columns;
  std::vector<std::vector<Cell>> rows;

  void put(std::size_t column, Cell cell) {
    std::vector<Cell>& row = rows.back();
    if (row.size() < columns.size()) row.resize(columns.size());
    Column& c = columns[column];
    if (!cell.unit.empty()) {
      if (c.unit.empty()) c.unit = cell.unit;
      c.mixed = c.mixed || c.unit != cell.unit;
    }
    row[column] = std::move(cell);
  }

  std::string text() const {
    CellText out;
    for (const Column& column : columns) {
      const bool named = !column.unit.empty() && !column.mixed;
      out.cell(named ? column.header + " [" + column.unit + "]" : column.header);
    }
    out.end_row();
    for (const std::vector<Cell>& row : rows) {
      for (std::size_t i = 0; i < columns.size(); ++i) {
        if (i >= row.size()) {
          out.cell("");
        } else {
          out.cell(columns[i].mixed && !row[i].unit.empty() ? row[i].text + " " + row[i].unit
                                                            : row[i].text);
        }
      }
      out.end_row();
    }
    return out.take();
  }
};

}  // namespace cw
