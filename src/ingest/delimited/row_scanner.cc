#include "ingest/delimited/row_scanner.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <utility>

#include "base/text.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/page_lines.h"
#include "ingest/encoding.h"
#include "ingest/header.h"
#include "series/recording.h"

namespace cw {
namespace {

/// Are all cells empty or marks of a missing reading?
bool holds_nothing(std::string_view line, char delimiter) {
  const std::vector<std::string> cells = cells_of(line, delimiter);
  return std::all_of(cells.begin(), cells.end(),
                     [](const std::string& cell) { return cell.empty() || is_missing_mark(cell); });
}

}  // namespace

void ScannedRows::clear() {
  // The cells stay: they are overwritten, and making room for them anew costs time.
  stamps.clear();
  line.clear();
  log = ImportLog();
  lines = 0;
  table_ends = false;
  trailing.clear();
  refused_date.reset();
}

RowScanner::RowScanner(const ScanTask& task)
    : task_(task),
      cells_(task.plan, task.layout.dialect, task.context.file),
      stamps_(task.clock),
      marks_(task.layout.dialect.delimiter),
      short_number_(task.layout.dialect.decimal),
      positions_(task.layout.headers.size()),
      quad_reader_(task.layout.dialect.decimal),
      clock_cells_(task.clock.columns.size()),
      width_(task.plan.columns.size()),
      by_blanks_(task.layout.dialect.by_blanks()) {
  for (std::size_t i = 0; i < task.plan.columns.size(); ++i) {
    const ColumnPlan& column = task.plan.columns[i];
    Position& position = positions_[column.index];
    position.kind = cells_.is_plain(i) ? Position::Kind::number : Position::Kind::careful;
    position.slot = static_cast<std::uint32_t>(i);
  }
  for (std::size_t i = 0; i < task.clock.columns.size(); ++i) {
    Position& position = positions_[task.clock.columns[i]];
    position.kind = Position::Kind::clock;
    position.slot = static_cast<std::uint32_t>(i);
  }
  find_qualities();
  find_units();
  find_quads();
  if (!clock_cells_.empty()) return;
  numeric_.resize(positions_.size());
  for (const std::vector<std::string>& row : task.layout.rows) {
    for (std::size_t i = 0; i < row.size() && i < numeric_.size(); ++i) {
      numeric_[i] = numeric_[i] || is_number(row[i], task.layout.dialect);
    }
  }
}

/// A column that says whether readings are good is looked at for each of them; those to its right
/// are not read yet when it is.
void RowScanner::find_qualities() {
  for (const QualityColumn& quality : task_.qualities) {
    const Position& readings = positions_[quality.of];
    Position& words = positions_[quality.column];
    const bool read =
        readings.kind == Position::Kind::number || readings.kind == Position::Kind::careful;
    if (!read || quality.of > quality.column) continue;
    look_at_words(words);
    words.tells_of = readings.slot;
  }
  for (const std::size_t column : task_.watched) {
    if (positions_[column].kind == Position::Kind::clock) continue;
    look_at_words(positions_[column]);
    positions_[column].watched = true;
  }
}

/// A position whose text is asked for beside what it holds.
void RowScanner::look_at_words(Position& position) {
  if (position.kind == Position::Kind::nothing) position.kind = Position::Kind::words;
  if (position.kind == Position::Kind::number) position.kind = Position::Kind::careful;
}

/// A reading with its unit in the next cell is read when that is met.
void RowScanner::find_units() {
  for (const UnitColumn& column : task_.units) {
    Position& readings = positions_[column.of];
    const bool read =
        readings.kind == Position::Kind::number || readings.kind == Position::Kind::careful;
    if (!read || positions_[column.column].kind == Position::Kind::clock) continue;
    readings.kind = Position::Kind::careful;
    readings.unit_follows = true;
    look_at_words(positions_[column.column]);
    positions_[column.column].unit_of = readings.slot;
  }
}

/// Four numbers beside each other in the row and in the table are read at once.
void RowScanner::find_quads() {
  const auto is_number = [&](std::size_t k) {
    return positions_[k].kind == Position::Kind::number;
  };
  for (std::size_t k = 0; k < positions_.size();) {
    bool four = QuadReader::is_available() && k + 4 <= positions_.size() && is_number(k);
    for (std::size_t i = 1; four && i < 4; ++i) {
      four = is_number(k + i) && positions_[k + i].slot == positions_[k].slot + i;
    }
    if (!four) {
      if (positions_[k].kind != Position::Kind::nothing) {
        alone_.push_back(static_cast<std::uint32_t>(k));
      }
      ++k;
      continue;
    }
    CellQuad quad;
    quad.first = static_cast<std::uint32_t>(k);
    quad.slot = positions_[k].slot;
    for (std::size_t i = 0; i < 4; ++i) {
      const ColumnPlan& column = task_.plan.columns[quad.slot + i];
      quad.scale[i] = column.scale;
      quad.offset[i] = column.offset;
      quad.lowest[i] = column.lowest;
      quad.highest[i] = column.highest;
    }
    quads_.push_back(quad);
    k += 4;
  }
  others_.resize(4 * quads_.size());
}

bool RowScanner::scan(LineCutter& lines, std::size_t bytes, const char* readable_end,
                      ScannedRows& out) {
  out.clear();
  out_ = &out;
  readable_end_ = readable_end;
  const std::size_t begin = lines.position();
  const std::size_t lines_before = lines.number();
  cut_in_quotes_ = false;
  std::string_view line;
  while (lines.position() - begin < bytes && lines.next(line)) {
    line_number_ = lines.number() - lines_before;
    if (line.empty() || line.front() <= '#') {
      if (is_blank_or_comment(line)) continue;
    }
    if (line == task_.layout.header_text) {
      refuse_row(Counter::repeated_header, "",
                 "as line " + std::to_string(task_.layout.header_line));
      continue;
    }
    if (out.table_ends) {
      refuse_row(Counter::another_table, line, "it stands below the header of another table");
      continue;
    }
    scan_line(line, lines);
  }
  out.lines = lines.number() - lines_before;
  out.log = std::exchange(cells_.log(), ImportLog());
  return !cut_in_quotes_;
}

/// Room for one more row behind those that are complete: [n_column].
float* RowScanner::new_row() {
  cells_.begin_row();
  constexpr std::size_t more_rows = 64;
  const std::size_t at = out_->stamps.size() * width_;
  if (out_->cells.size() < at + width_) out_->cells.resize(at + more_rows * width_);
  return out_->cells.data() + at;
}

void RowScanner::scan_line(std::string_view line, LineCutter& lines) {
  if (by_blanks_ || !scan_plain(line)) scan_careful(line, lines);
}

/// @returns false, with nothing done, when there are quotes in the line
bool RowScanner::scan_plain(std::string_view line) {
  if (!marks_.find(line, readable_end_)) return false;
  float* const row = new_row();
  const std::size_t cells = std::min(marks_.cells(), positions_.size());
  std::size_t quads = 0;
  std::size_t others = 0;
  // Of the short ways' eight bytes all must be in the text.
  if (readable_end_ - (line.data() + line.size()) >= 8) {
    quads = quads_.size();
    while (quads > 0 && quads_[quads - 1].first + std::size_t{4} > cells) --quads;
    others =
        quad_reader_.read(line.data(), marks_.ends(), {quads_.data(), quads}, row, others_.data());
  }
  take_rest(line, cells, quads, others, row);
  if (marks_.cells() > cells) {
    const std::string_view over = line.substr(marks_.begin(cells));
    // Delimiters with nothing between them may follow.
    if (std::any_of(over.begin(), over.end(), [&](char c) {
          return c != task_.layout.dialect.delimiter && !trim({&c, 1}).empty();
        })) {
      refuse_long(line);
      return true;
    }
  }
  end_row(line, cells, row);
  return true;
}

/// The cells that no quad has read, in order.
/// @param quads   so many have been read
/// @param others  so many of their cells are left
void RowScanner::take_rest(std::string_view line, std::size_t cells, std::size_t quads,
                           std::size_t others, float* row) {
  const bool safe = readable_end_ - (line.data() + line.size()) >= 8;
  const auto take = [&](std::size_t k) {
    const std::string_view cell(line.data() + marks_.begin(k), marks_.ends()[k] - marks_.begin(k));
    if (positions_[k].kind == Position::Kind::number && cell.size() - 1 < 8 && safe) {
      take_short(cell, k, row);
    } else {
      take_cell(cell, k, row);
    }
  };
  const std::size_t read =
      std::min<std::size_t>(cells, quads < quads_.size() ? quads_[quads].first : positions_.size());
  std::size_t other = 0;
  for (const std::uint32_t k : alone_) {
    if (k >= read) break;
    while (other < others && others_[other] < k) take(others_[other++]);
    take(k);
  }
  while (other < others) take(others_[other++]);
  for (std::size_t k = read; k < cells; ++k) take(k);
}

/// A cell of one to eight characters in a column of plain numbers.
void RowScanner::take_short(std::string_view cell, std::size_t index, float* row) {
  double raw = 0.0;
  if (!short_number_.read(ShortNumber::load(cell.data()), static_cast<unsigned>(cell.size()),
                          raw)) {
    return take_cell(cell, index, row);
  }
  const std::uint32_t slot = positions_[index].slot;
  const ColumnPlan& plan = task_.plan.columns[slot];
  const double si = plan.scale * raw + plan.offset;
  row[slot] = si >= plan.lowest && si <= plan.highest
                  ? static_cast<float>(si)
                  : cells_.convert(raw, cell, slot, line_number_);
}

/// Lines with quotes, and cells between blanks.
void RowScanner::scan_careful(std::string_view line, LineCutter& lines) {
  const LineCutter before = lines;
  const std::string_view alone = line;
  bool given_up = false;
  for (int more = 0;; ++more) {
    float* const row = new_row();
    CellCutter cutter(line, task_.layout.dialect.delimiter, scratch_);
    std::string_view cell;
    std::size_t index = 0;
    bool open = false;
    bool too_long = false;
    while (cutter.next(cell)) {
      open = open || cutter.open_quote();
      if (index < positions_.size()) {
        take_cell(cell, index++, row);
      } else {
        too_long = too_long || !trim(cell).empty();
      }
    }
    // A quoted cell that goes over the line end takes the next line in, unless that is a row.
    if (open && !given_up && index <= positions_.size() && !too_long) {
      cells_.undo_row();
      LineCutter ahead = lines;
      std::string_view next;
      const bool row_follows = ahead.next(next) && is_row(next);
      if (!row_follows && more < 8 && lines.extend(line)) continue;
      cut_in_quotes_ = cut_in_quotes_ || (!row_follows && more < 8);
      // A lone quote: the lines behind it are rows of their own.
      given_up = true;
      lines = before;
      line = alone;
      continue;
    }
    if (too_long) return refuse_long(line);
    return end_row(line, index, row);
  }
}

void RowScanner::take_cell(std::string_view cell, std::size_t index, float* row) {
  const Position& position = positions_[index];
  switch (position.kind) {
    case Position::Kind::nothing:
    case Position::Kind::words:
      break;
    case Position::Kind::clock:
      clock_cells_[position.slot].assign(cell);
      break;
    case Position::Kind::number:
    case Position::Kind::careful:
      if (position.unit_follows) {
        unit_reading_.assign(cell);
      } else {
        row[position.slot] = cells_.read(cell, position.slot, line_number_);
      }
      break;
  }
  if (position.kind == Position::Kind::number) return;
  if (position.unit_of) take_unit(trim(cell), *position.unit_of, row);
  if (position.tells_of) take_quality(trim(cell), *position.tells_of, row);
  if (position.watched && warns_of_reading(trim(cell))) warnings_.insert(index);
}

/// Reads the number of the cell before in the unit that this one says.
void RowScanner::take_unit(std::string_view cell, std::uint32_t slot, float* row) {
  // Its own unit needs no turning, and a number is none.
  const bool own = cell == task_.plan.columns[slot].unit_text || is_no_unit(cell) ||
                   is_number(cell, task_.layout.dialect);
  row[slot] =
      cells_.read_in_unit(unit_reading_, own ? std::string_view() : cell, slot, line_number_);
}

void RowScanner::take_quality(std::string_view cell, std::uint32_t slot, float* row) {
  if (cell.empty() || is_good_word(cell) || is_missing(row[slot])) return;
  row[slot] = missing;
  cells_.log().add({Counter::bad_quality, task_.context.file, line_number_,
                    task_.plan.columns[slot].header, std::string(cell),
                    "the column beside it marks the reading as not good"});
}

void RowScanner::end_row(std::string_view line, std::size_t cells, float* row) {
  const std::size_t wanted = positions_.size();
  if (cells < wanted) {
    const bool may = task_.layout.ragged || (cells + 1 == wanted && task_.layout.last_may_lack);
    const bool stamped = std::all_of(task_.clock.columns.begin(), task_.clock.columns.end(),
                                     [&](std::size_t i) { return i < cells; });
    if (!may || !stamped) {
      return refuse_line(
          Counter::bad_row_short, line, line,
          std::to_string(cells) + " cells where the header has " + std::to_string(wanted));
    }
    for (std::size_t i = cells; i < wanted; ++i) {
      const Position& position = positions_[i];
      if (position.kind == Position::Kind::number || position.kind == Position::Kind::careful) {
        row[position.slot] = missing;
      }
      if (position.unit_of && i == cells) take_unit({}, *position.unit_of, row);
    }
  }
  RawStamp stamp{static_cast<std::int64_t>(line_number_) * 1000, 0, false};
  if (!clock_cells_.empty()) {
    const std::optional<RawStamp> read = stamps_.read(clock_cells_);
    if (!read && is_header_cell(clock_cells_.front())) return meet_header(line);
    if (!read) {
      return refuse_line(Counter::bad_time_stamp, line, clock_cells_.front(),
                         "is no time stamp of this column's form");
    }
    stamp = *read;
  } else if (is_between_rows(line, row)) {
    cells_.undo_row();
    refuse_foot_or_page(line);
    return;
  }
  if (!out_->trailing.empty()) {  // a row behind them: they were in the table
    for (Reject& reject : out_->trailing) cells_.log().add(std::move(reject));
    out_->trailing.clear();
  }
  if (out_->refused_date) take_date_above(*out_->refused_date, stamp);
  out_->refused_date.reset();
  out_->stamps.push_back(stamp);
  out_->line.push_back(static_cast<std::uint32_t>(line_number_));
}

/// Is a line that could be read as a row without a clock a sum, or a title of a page? Such a line
/// takes no time, and those below it would be shifted.
bool RowScanner::is_between_rows(std::string_view line, const float* row) const {
  const std::vector<std::string>& pages = task_.layout.page_lines;
  const bool foot = is_foot_line(line);
  if (!foot && pages.empty()) return false;
  if (holds_nothing(line, task_.layout.dialect.delimiter)) return false;
  if (!foot) {
    // Rows may look like a line above the data, where a map says which is the first.
    const bool reading =
        std::any_of(row, row + width_, [](float value) { return !is_missing(value); });
    return !reading && std::find(pages.begin(), pages.end(), folded_line(line)) != pages.end();
  }
  // In a column of words "min" and "max" may be states.
  const std::vector<std::string> cells = cells_of(line, task_.layout.dialect.delimiter);
  const auto filled = std::find_if(cells.begin(), cells.end(),
                                   [](const std::string& cell) { return !cell.empty(); });
  const auto at = static_cast<std::size_t>(filled - cells.begin());
  return at >= numeric_.size() || numeric_[at];
}

/// Is a short line the beginning of a row? Its stamp stands in it.
bool RowScanner::is_cut_row(std::string_view line) {
  const char delimiter = task_.layout.dialect.delimiter;
  // Between blanks every word is a cell, and a remark may say a date.
  if (delimiter != ' ' && holds_stamp(line, delimiter)) return true;
  return has_stamp(cells_of(line, delimiter));
}

/// Does a line read as a row by itself? Ditto marks (") as remarks of every row are open quotes.
bool RowScanner::is_row(std::string_view line) {
  const std::vector<std::string> cells = cells_of(line, task_.layout.dialect.delimiter);
  if (task_.clock.columns.empty()) return cells.size() > 1 && cells.size() == positions_.size();
  return has_stamp(cells);
}

/// Does a stamp stand where the clock is?
bool RowScanner::has_stamp(const std::vector<std::string>& cells) {
  std::vector<std::string> clock;
  for (const std::size_t column : task_.clock.columns) {
    if (column >= cells.size()) return false;
    clock.push_back(cells[column]);
  }
  return stamps_.read(clock).has_value();
}

/// Does the clock's cell hold the clock's own header?
bool RowScanner::is_header_cell(std::string_view cell) const {
  return task_.layout.has_header && !cell.empty() &&
         tidy_label(cell) == task_.layout.headers[task_.clock.columns.front()];
}

/// A header in the middle: the table's own, written a little differently, or that of another table,
/// whose numbers must not be taken for the first one's.
void RowScanner::meet_header(std::string_view line) {
  cells_.undo_row();
  const std::vector<std::string>& headers = task_.layout.headers;
  const std::vector<std::string> cells = tidy_cells(line, task_.layout.dialect.delimiter);
  bool same = true;
  for (std::size_t i = 0; i < cells.size() && i < headers.size(); ++i) {
    same = same &&
           (cells[i].empty() || cells[i] == headers[i] || cells[i] == without_twin(headers[i]));
  }
  if (same) {
    return refuse_row(Counter::repeated_header, "",
                      "as line " + std::to_string(task_.layout.header_line));
  }
  out_->table_ends = true;
  refuse_row(Counter::another_table, line, "another table begins here");
}

void RowScanner::refuse_long(std::string_view line) {
  refuse_line(Counter::bad_row_long, line, line,
              "more cells than the header's " + std::to_string(positions_.size()));
}

/// A line that is no row, or a row that cannot be read.
void RowScanner::refuse_line(Counter counter, std::string_view line, std::string_view text,
                             std::string reason) {
  cells_.undo_row();
  // "--" alone is a row that the logger could not fill.
  const bool empty_row =
      task_.clock.form == ClockForm::rows && holds_nothing(line, task_.layout.dialect.delimiter);
  if (!empty_row && refuse_foot_or_page(line)) return;
  note_refused_date(line);
  constexpr std::size_t longest_foot = 500;  // lines
  const bool remark = !empty_row && (!has_number(line) || (counter == Counter::bad_row_short &&
                                                           is_remark(line) && !is_cut_row(line)));
  if (remark && out_->trailing.size() < longest_foot) {
    out_->trailing.push_back({counter, task_.context.file, line_number_, "",
                              std::string(text.substr(0, 200)), std::move(reason)});
    return;
  }
  refuse_row(counter, text, std::move(reason));
  if (task_.clock.form == ClockForm::rows) keep_place();
}

/// Where the date stands in a column of its own it may be written once a day: rows below one that
/// was refused must not go on with the date above it.
void RowScanner::note_refused_date(std::string_view line) {
  if (task_.clock.form != ClockForm::stamps || task_.clock.columns.size() != 2) return;
  const std::vector<std::string> cells = cells_of(line, task_.layout.dialect.delimiter);
  const std::size_t at_date = task_.clock.columns[0];
  const std::size_t at_time = task_.clock.columns[1];
  if (at_date >= cells.size() || cells[at_date].empty() || is_missing_mark(cells[at_date])) return;
  const std::string& date = cells[at_date];
  std::optional<RawStamp> stamp;
  if (at_time < cells.size() && !cells[at_time].empty()) {
    const std::array both = {date, cells[at_time]};
    stamp = stamps_.read(both);
  }
  if (!stamp) stamp = stamps_.read_date(date);
  if (stamp && !stamp->has_offset) {
    out_->refused_date = DateAbove{stamp->ms};
    return;
  }
  // "logger restarted" is no date that cannot be read.
  const auto digits =
      std::count_if(date.begin(), date.end(), [](char c) { return c >= '0' && c <= '9'; });
  if (digits >= 4 || !is_remark(date)) out_->refused_date = DateAbove{};
}

/// @returns false, with nothing done, for any other line
bool RowScanner::refuse_foot_or_page(std::string_view line) {
  if (is_foot_line(line)) {
    refuse_row(Counter::table_foot, line, "a sum, a rule or an end, as below a table");
    return true;
  }
  const std::vector<std::string>& pages = task_.layout.page_lines;
  const std::string folded = pages.empty() ? std::string() : folded_line(line);
  if (folded.empty() || std::find(pages.begin(), pages.end(), folded) == pages.end()) return false;
  refuse_row(Counter::page_title, line, "as on the pages before");
  return true;
}

/// Where each row is one interval a row that cannot be read still takes its time.
void RowScanner::keep_place() {
  float* const row = new_row();
  std::fill(row, row + width_, missing);
  out_->stamps.push_back({});
  out_->line.push_back(static_cast<std::uint32_t>(line_number_));
}

void RowScanner::refuse_row(Counter counter, std::string_view text, std::string reason) {
  cells_.log().add({counter, task_.context.file, line_number_, "", std::string(text.substr(0, 200)),
                    std::move(reason)});
}

}  // namespace cw
