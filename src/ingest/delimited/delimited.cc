#include "ingest/delimited/delimited.h"

#include <algorithm>
#include <array>
#include <cstring>

#include "base/text.h"
#include "ingest/decimal.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/column_plan.h"
#include "ingest/delimited/row_block.h"
#include "ingest/delimited/stamp_column.h"
#include "series/recording.h"

namespace cw {
namespace {

/// Hands out lines and counts them. A line end is \n, \r\n or, in a file without any \n, \r.
class LineCutter {
 public:
  explicit LineCutter(std::string_view bytes) : bytes_(bytes) {
    if (bytes_.starts_with("\xEF\xBB\xBF")) at_ = 3;
    end_of_line_ = bytes_.find('\n') == std::string_view::npos ? '\r' : '\n';
  }

  bool next(std::string_view& line) {
    if (at_ >= bytes_.size()) return false;
    const char* const begin = bytes_.data() + at_;
    const std::size_t left = bytes_.size() - at_;
    const void* const found = std::memchr(begin, end_of_line_, left);
    const std::size_t length =
        found == nullptr ? left : static_cast<std::size_t>(static_cast<const char*>(found) - begin);
    line = {begin, length};
    at_ += length + 1;
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    ++number_;
    return true;
  }

  std::size_t number() const { return number_; }  ///< of the last line, 1-based
  std::size_t position() const { return std::min(at_, bytes_.size()); }
  bool ended_without_newline() const { return at_ > bytes_.size(); }

 private:
  std::string_view bytes_;
  std::size_t at_ = 0;
  std::size_t number_ = 0;
  char end_of_line_ = '\n';
};

bool is_blank_or_comment(std::string_view line) {
  const std::string_view text = trim(line);
  return text.empty() || text.front() == '#';
}

bool next_content(LineCutter& lines, std::string_view& line) {
  while (lines.next(line)) {
    if (!is_blank_or_comment(line)) return true;
  }
  return false;
}

bool is_missing_mark(std::string_view cell) {
  constexpr std::array marks = {"nan", "null", "na",  "n/a", "#n/a", "none",
                                "-",   "--",   "---", "?",   "nil"};
  return std::any_of(marks.begin(), marks.end(),
                     [&](const char* mark) { return equal_ignoring_case(cell, mark); });
}

/// Turns cells of one file into rows of SI floats.
class TableScanner {
 public:
  TableScanner(const TablePlan& plan, std::size_t header_cells, char delimiter,
               const ReadContext& context)
      : plan_(plan),
        cell_count_(header_cells),
        delimiter_(delimiter),
        context_(context),
        stamps_(context.map),
        block_(plan.columns.size()) {
    column_at_.assign(header_cells, nullptr);
    slot_at_.assign(header_cells, 0);
    for (std::size_t i = 0; i < plan.columns.size(); ++i) {
      column_at_[plan.columns[i].index] = &plan.columns[i];
      slot_at_[plan.columns[i].index] = i;
    }
  }

  void scan_line(std::string_view line, std::size_t number) {
    line_number_ = number;
    float* const row = block_.row();
    CellCutter cells(line, delimiter_, scratch_);
    std::string_view cell;
    std::size_t index = 0;
    bool stamped = false;
    while (cells.next(cell)) {
      if (index >= cell_count_) {
        if (trim(cell).empty()) continue;  // a trailing delimiter
        return refuse_row(Counter::bad_row_long, line,
                          "more cells than the header's " + std::to_string(cell_count_));
      }
      if (index == plan_.time_index) {
        stamp_text_.assign(cell);
        stamped = true;
      } else if (const ColumnPlan* column = column_at_[index]) {
        row[slot_at_[index]] = read_cell(cell, *column);
      }
      ++index;
    }
    if (index + 1 < cell_count_ || !stamped || (index < cell_count_ && !last_may_lack_)) {
      return refuse_row(
          Counter::bad_row_short, line,
          std::to_string(index) + " cells where the header has " + std::to_string(cell_count_));
    }
    take_row(line);
  }

  /// The header ends with an empty cell (a trailing delimiter), which rows may leave out.
  void allow_missing_last_cell() { last_may_lack_ = true; }

  SourceTable finish() {
    block_.flush();
    SourceTable table;
    table.file = context_.file;
    table.clock = stamps_.clock();
    table.time = std::move(time_);
    table.line = std::move(line_);
    for (std::size_t i = 0; i < plan_.columns.size(); ++i) {
      const ColumnPlan& plan = plan_.columns[i];
      std::string origin =
          context_.file + ", column " + std::to_string(plan.index + 1) + " \"" + plan.header + "\"";
      if (!plan.unit_text.empty() && plan.header.find('[') == std::string::npos) {
        origin += " in " + plan.unit_text;
      }
      table.columns.push_back({plan.place, plan.quantity, std::move(origin), block_.take(i)});
      table.understood.push_back(plan.header + " -> " + plan.place.text + "." +
                                 plan.quantity->name);
    }
    table.not_understood = plan_.not_understood;
    return table;
  }

  void reserve(std::size_t rows) {
    time_.reserve(rows);
    line_.reserve(rows);
    block_.reserve(rows);
  }

 private:
  void take_row(std::string_view line) {
    const StampColumn::Answer stamp = stamps_.read(stamp_text_);
    if (!stamp.instant) return refuse_row(stamp.reason, stamp_text_, stamp.message);
    (void)line;
    time_.push_back(*stamp.instant);
    line_.push_back(static_cast<std::uint32_t>(line_number_));
    block_.next_row();
  }

  void refuse_row(Counter counter, std::string_view text, std::string reason) {
    context_.log->add(
        {counter, context_.file, line_number_, "", std::string(text), std::move(reason)});
  }

  float refuse_cell(Counter counter, std::string_view cell, const ColumnPlan& column,
                    std::string reason) {
    context_.log->add({counter, context_.file, line_number_, column.header, std::string(cell),
                       std::move(reason)});
    return missing;
  }

  float read_cell(std::string_view cell, const ColumnPlan& column) {
    double raw = 0.0;
    if (!read_decimal(cell, raw)) {
      cell = trim(cell);
      if (cell.empty()) return missing;
      if (!read_decimal(cell, raw)) return read_word(cell, column);
    }
    for (const double sentinel : column.sentinels) {
      if (raw == sentinel) {
        context_.log->count(Counter::sentinel_value);
        return missing;
      }
    }
    const double si = column.scale * raw + column.offset;
    if (column.quantity->dimension == Dimension::flag) return raw != 0.0 ? 1.0F : 0.0F;
    if (column.quantity->dimension == Dimension::state) return read_word(cell, column);
    // The negated form also refuses what no comparison holds for.
    if (!(si >= column.lowest && si <= column.highest)) {
      return refuse_cell(
          Counter::implausible_value, cell, column,
          "outside " + format_si(column.lowest, column.quantity->dimension, UnitSystem::si) +
              " to " + format_si(column.highest, column.quantity->dimension, UnitSystem::si));
    }
    return static_cast<float>(si);
  }

  float read_word(std::string_view cell, const ColumnPlan& column) {
    const std::string word = to_lower(cell);
    for (const auto& [text, value] : column.words) {
      if (text == word) return static_cast<float>(value);
    }
    if (is_missing_mark(cell)) {
      context_.log->count(Counter::missing_mark);
      return missing;
    }
    return refuse_cell(Counter::bad_cell, cell, column,
                       column.words.empty() ? "not a number" : "no known word of this column");
  }

  const TablePlan& plan_;
  std::size_t cell_count_;
  char delimiter_;
  const ReadContext& context_;
  StampColumn stamps_;
  RowBlock block_;
  std::vector<const ColumnPlan*> column_at_;  // by cell index; null for cells that are not read
  std::vector<std::size_t> slot_at_;          // by cell index: position in a row of the block
  std::vector<Instant> time_;
  std::vector<std::uint32_t> line_;
  std::string scratch_;
  std::string stamp_text_;
  std::size_t line_number_ = 0;
  bool last_may_lack_ = false;
};

}  // namespace

std::vector<std::string> cells_of(std::string_view line, char delimiter) {
  std::vector<std::string> out;
  std::string scratch;
  CellCutter cells(line, delimiter, scratch);
  std::string_view cell;
  while (cells.next(cell)) out.emplace_back(trim(cell));
  return out;
}

char delimiter_of(std::string_view header_line) {
  char best = ',';
  std::size_t most = 0;
  for (const char delimiter : {',', ';', '\t', '|'}) {
    const std::size_t cells = cells_of(header_line, delimiter).size();
    if (cells > most) {
      most = cells;
      best = delimiter;
    }
  }
  return best;
}

std::vector<std::string> header_cells(std::string_view bytes) {
  LineCutter lines(bytes);
  std::string_view line;
  if (!next_content(lines, line)) return {};
  return cells_of(line, delimiter_of(line));
}

Result<SourceTable> read_delimited(std::string_view bytes, const ReadContext& context) {
  LineCutter lines(bytes);
  std::string_view header;
  if (!next_content(lines, header)) {
    return Error{ErrorCode::unreadable, "the file has no lines", context.file,
                 "Export the recording again"};
  }
  const char delimiter = delimiter_of(header);
  const std::vector<std::string> headers = cells_of(header, delimiter);

  LineCutter ahead = lines;
  std::string_view line;
  std::vector<std::string> first_row;
  if (next_content(ahead, line)) first_row = cells_of(line, delimiter);
  const Result<TablePlan> plan = plan_table(headers, first_row, context);
  if (!plan) return plan.error();

  TableScanner scanner(*plan, headers.size(), delimiter, context);
  if (headers.back().empty()) scanner.allow_missing_last_cell();
  scanner.reserve(line.empty() ? 0 : bytes.size() / (line.size() + 1) + 16);
  constexpr std::size_t report_every = 4U << 20U;
  std::size_t next_report = report_every;
  while (lines.next(line)) {
    if (is_blank_or_comment(line)) continue;
    if (line == header) {
      context.log->add(
          {Counter::repeated_header, context.file, lines.number(), "", "", "as line 1"});
      continue;
    }
    scanner.scan_line(line, lines.number());
    if (context.progress && lines.position() >= next_report) {
      context.progress(lines.position());
      next_report += report_every;
    }
  }
  return scanner.finish();
}

}  // namespace cw
