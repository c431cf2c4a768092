#include "ingest/delimited/scan.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <limits>
#include <thread>

#include "base/text.h"
#include "ingest/delimited/cell_marks.h"
#include "ingest/delimited/cell_reader.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/lines.h"
#include "ingest/delimited/row_block.h"
#include "ingest/delimited/short_number.h"
#include "series/recording.h"

namespace cw {
namespace {

/// Bytes that one thread reads between reports of progress.
constexpr std::size_t chunk_size = 4U << 20U;
/// Below this a second thread costs more than it brings.
constexpr std::size_t smallest_share = 4U << 20U;

/// What a scan of any range needs to know; shared by all threads, constant.
struct ScanTask {
  const Layout& layout;
  const ClockPlan& clock;
  const TablePlan& plan;
  const ReadContext& context;
  const char* text_end = nullptr;
  char end_of_line = '\n';
};

/// What stands at one position of a row.
struct Position {
  enum class Kind : std::uint8_t { nothing, number, careful, clock };
  Kind kind = Kind::nothing;
  std::uint8_t others = 0;  ///< cells lately that had not the expected decimals
  std::uint32_t slot = 0;   ///< in the plan's columns, or in the clock's
  double scale = 1.0, offset = 0.0;
  ShortNumber::Fixed fixed;
  /// Numbers without their decimal sign, from here on and so many more, are surely plausible.
  std::int32_t first_count = 0;
  std::uint32_t more_counts = 0;

  void expect(unsigned places, double lowest, double highest) {
    others = 0;
    fixed = ShortNumber::fixed(places);
    const auto count_at = [&](double si) {
      return std::clamp((si - offset) / scale * fixed.power, -1e7, 1e7);
    };
    const double a = std::ceil(std::min(count_at(lowest), count_at(highest))) + 1.0;
    const double b = std::floor(std::max(count_at(lowest), count_at(highest))) - 1.0;
    first_count = a <= b ? static_cast<std::int32_t>(a) : std::numeric_limits<std::int32_t>::max();
    more_counts = a <= b ? static_cast<std::uint32_t>(b - a) : 0;
  }
};

/// Turns the lines of one range into rows of SI floats.
class RangeScanner {
 public:
  explicit RangeScanner(const ScanTask& task)
      : task_(task),
        cells_(task.plan, task.layout.dialect, task.context.file),
        stamps_(task.clock),
        marks_(task.layout.dialect.delimiter),
        short_number_(task.layout.dialect.decimal),
        block_(task.plan.columns.size()),
        positions_(task.layout.headers.size()),
        clock_cells_(task.clock.columns.size()) {
    for (std::size_t i = 0; i < task.plan.columns.size(); ++i) {
      const ColumnPlan& column = task.plan.columns[i];
      Position& position = positions_[column.index];
      position.kind = cells_.is_plain(i) ? Position::Kind::number : Position::Kind::careful;
      position.slot = static_cast<std::uint32_t>(i);
      position.scale = column.scale;
      position.offset = column.offset;
      position.expect(1, column.lowest, column.highest);
    }
    for (std::size_t i = 0; i < task.clock.columns.size(); ++i) {
      Position& position = positions_[task.clock.columns[i]];
      position.kind = Position::Kind::clock;
      position.slot = static_cast<std::uint32_t>(i);
    }
    by_blanks_ = task.layout.dialect.by_blanks();
  }

  /// @param lines_before  number of the last line before the range; kept relative by the caller
  void scan(std::string_view range, std::size_t lines_before, std::atomic<std::size_t>& done,
            const std::function<void()>& tick) {
    LineCutter lines(range, task_.end_of_line);
    std::string_view line;
    std::size_t reported = 0;
    while (lines.next(line)) {
      line_number_ = lines_before + lines.number();
      if (line.empty() || line.front() <= '#') {
        if (is_blank_or_comment(line)) continue;
      }
      if (line == task_.layout.header_text) {
        refuse_row(Counter::repeated_header, "",
                   "as line " + std::to_string(task_.layout.header_line));
        continue;
      }
      scan_line(line, lines);
      if (lines.position() - reported >= chunk_size) {
        const std::size_t now = lines.position();
        done += now - reported;
        if (task_.context.done_with)
          task_.context.done_with(range.substr(reported, now - reported));
        reported = now;
        if (tick) tick();
        // The caller gives an error; what has been read so far is thrown away.
        if (task_.context.stop && task_.context.stop()) break;
      }
    }
    line_count_ = lines_before + lines.number();
    done += range.size() - reported;
    if (task_.context.done_with) task_.context.done_with(range.substr(reported));
    block_.flush();
  }

  void reserve(std::size_t rows) {
    block_.reserve(rows);
    raw_.reserve(rows);
    line_.reserve(rows);
  }

  /// Puts the rows of the range behind this one after its own.
  void append(RangeScanner&& next) {
    raw_.insert(raw_.end(), next.raw_.begin(), next.raw_.end());
    for (const std::uint32_t line : next.line_) {
      line_.push_back(line + static_cast<std::uint32_t>(line_count_));
    }
    for (std::size_t i = 0; i < task_.plan.columns.size(); ++i) {
      block_.append(i, next.block_.take(i));
      for (const auto& [word, times] : next.cells_.words(i)) more_words_[i][word] += times;
    }
    cells_.log().merge(next.cells_.log(), line_count_);
    line_count_ += next.line_count_;
  }

  SourceTable finish();

 private:
  void scan_line(std::string_view line, LineCutter& lines) {
    if (by_blanks_ || !marks_.find(line, task_.text_end)) {
      scan_careful(line, lines);
    } else {
      scan_plain(line);
    }
  }

  void scan_plain(std::string_view line) {
    float* const row = block_.row();
    const std::uint32_t* const ends = marks_.ends();
    const std::size_t cells = std::min(marks_.cells(), positions_.size());
    // Of the short way's eight bytes all must be in the text.
    const bool safe = task_.text_end - (line.data() + line.size()) >= 8;
    std::size_t begin = 0;
    for (std::size_t k = 0; k < cells; ++k) {
      const Position& position = positions_[k];
      const char* const at = line.data() + begin;
      const std::size_t length = ends[k] - begin;
      begin = ends[k] + std::size_t{1};
      if (position.kind == Position::Kind::number && length - 1 < 7 && safe) {
        std::int32_t count = 0;
        const std::uint64_t word = ShortNumber::load(at);
        if (short_number_.read_fixed(word, static_cast<unsigned>(length), position.fixed, count) &&
            static_cast<std::uint32_t>(count - position.first_count) <= position.more_counts) {
          const double raw = static_cast<double>(count) / position.fixed.power;
          row[position.slot] = static_cast<float>(position.scale * raw + position.offset);
          continue;
        }
        take_short(word, {at, length}, k, row);
        continue;
      }
      take_cell({at, length}, k, row);
    }
    if (marks_.cells() > cells) {
      const std::string_view over = line.substr(begin);
      // Delimiters with nothing between them may follow.
      if (std::any_of(over.begin(), over.end(), [&](char c) {
            return c != task_.layout.dialect.delimiter && !trim({&c, 1}).empty();
          })) {
        return refuse_long(line);
      }
    }
    end_row(line, cells, row);
  }

  /// A short cell that is not as its column's cells usually are.
  void take_short(std::uint64_t word, std::string_view cell, std::size_t index, float* row) {
    constexpr std::uint8_t enough = 8;
    Position& position = positions_[index];
    double raw = 0.0;
    unsigned places = 0;
    if (!short_number_.read(word, static_cast<unsigned>(cell.size()), raw, places)) {
      return take_cell(cell, index, row);
    }
    const ColumnPlan& plan = task_.plan.columns[position.slot];
    if (++position.others >= enough) position.expect(places, plan.lowest, plan.highest);
    const double si = position.scale * raw + position.offset;
    row[position.slot] = si >= plan.lowest && si <= plan.highest
                             ? static_cast<float>(si)
                             : cells_.convert(raw, cell, position.slot, line_number_);
  }

  /// Lines with quotes, and cells between blanks.
  void scan_careful(std::string_view line, LineCutter& lines) {
    for (int more = 0;; ++more) {
      float* const row = block_.row();
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
      // A quoted cell that goes over the line end takes the next line in.
      if (open && more < 8 && index < positions_.size() && lines.extend(line)) continue;
      if (too_long) return refuse_long(line);
      return end_row(line, index, row);
    }
  }

  void take_cell(std::string_view cell, std::size_t index, float* row) {
    const Position& position = positions_[index];
    switch (position.kind) {
      case Position::Kind::nothing:
        break;
      case Position::Kind::clock:
        clock_cells_[position.slot].assign(cell);
        break;
      case Position::Kind::number:
      case Position::Kind::careful:
        row[position.slot] = cells_.read(cell, position.slot, line_number_);
        break;
    }
  }

  void end_row(std::string_view line, std::size_t cells, float* row) {
    const std::size_t wanted = positions_.size();
    if (cells < wanted) {
      const bool may = task_.layout.ragged || (cells + 1 == wanted && task_.layout.last_may_lack);
      const bool stamped = std::all_of(task_.clock.columns.begin(), task_.clock.columns.end(),
                                       [&](std::size_t i) { return i < cells; });
      if (!may || !stamped) {
        return refuse_row(
            Counter::bad_row_short, line,
            std::to_string(cells) + " cells where the header has " + std::to_string(wanted));
      }
      for (std::size_t i = cells; i < wanted; ++i) {
        const Position& position = positions_[i];
        if (position.kind == Position::Kind::number || position.kind == Position::Kind::careful) {
          row[position.slot] = missing;
        }
      }
    }
    RawStamp stamp{static_cast<std::int64_t>(line_number_) * 1000, 0, false};
    if (!clock_cells_.empty()) {
      const std::optional<RawStamp> read = stamps_.read(clock_cells_);
      if (!read) {
        return refuse_row(Counter::bad_time_stamp, clock_cells_.front(),
                          "is no time stamp of this column's form");
      }
      stamp = *read;
    }
    raw_.push_back(stamp);
    line_.push_back(static_cast<std::uint32_t>(line_number_));
    block_.next_row();
  }

  void refuse_long(std::string_view line) {
    refuse_row(Counter::bad_row_long, line,
               "more cells than the header's " + std::to_string(positions_.size()));
  }

  void refuse_row(Counter counter, std::string_view text, std::string reason) {
    cells_.log().add({counter, task_.context.file, line_number_, "",
                      std::string(text.substr(0, 200)), std::move(reason)});
  }

  const ScanTask& task_;
  CellReader cells_;
  StampReader stamps_;
  CellMarks marks_;
  ShortNumber short_number_;
  RowBlock block_;
  std::vector<Position> positions_;  // by position in the row
  std::vector<std::string> clock_cells_;
  std::vector<RawStamp> raw_;
  std::vector<std::uint32_t> line_;
  std::map<std::size_t, std::map<std::string, std::size_t>> more_words_;
  std::string scratch_;
  std::size_t line_number_ = 0;
  std::size_t line_count_ = 0;
  bool by_blanks_ = false;
};

SourceColumn column_of(const ColumnPlan& plan, const std::string& file) {
  SourceColumn column;
  column.place = plan.place;
  column.quantity = plan.quantity;
  column.header = plan.header;
  column.unit_text = plan.unit_text;
  column.index = plan.index;
  column.gauge_with = plan.gauge_with;
  column.origin = file + ", column " + std::to_string(plan.index + 1) + " \"" + plan.header + "\"";
  if (!plan.unit_text.empty() && plan.header.find('[') == std::string::npos) {
    column.origin += " in " + plan.unit_text;
  }
  return column;
}

/// A typical year is put together from months of different years: with one year for all, its rows
/// follow each other. Moves the stamps to the first row's year; returns what to say, or nothing.
std::string unify_typical_year(std::vector<RawStamp>& stamps) {
  constexpr std::int64_t month_ms = 28 * std::int64_t{86400000};
  if (stamps.size() < 100) return {};
  const int year = civil_of({stamps.front().ms}).year;
  std::vector<std::int64_t> moved;
  moved.reserve(stamps.size());
  std::size_t jumps = 0;
  std::int64_t last_raw = stamps.front().ms;
  std::int64_t shift = 0;
  int shifted_year = year;
  for (const RawStamp& stamp : stamps) {
    if (stamp.has_offset) return {};
    const std::int64_t step = stamp.ms - last_raw;
    last_raw = stamp.ms;
    if (step < -month_ms || step > 12 * month_ms) {
      ++jumps;
      CivilTime civil = civil_of({stamp.ms});
      shifted_year = civil.year;
      civil.year = year;
      const auto same = instant_of(civil);
      if (!same) return {};
      shift = same->ms - stamp.ms;
    }
    moved.push_back(stamp.ms + shift);
    if (moved.size() > 1 && moved[moved.size() - 1] <= moved[moved.size() - 2]) return {};
  }
  if (jumps < 2 || jumps > 40) return {};
  for (std::size_t i = 0; i < stamps.size(); ++i) stamps[i].ms = moved[i];
  return "The rows come from different years (" + std::to_string(year) + " to " +
         std::to_string(shifted_year) + " among them), as in a typical year: all are shown as " +
         std::to_string(year) + ".";
}

SourceTable RangeScanner::finish() {
  SourceTable table;
  table.file = task_.context.file;
  ClockResolver clock(task_.clock);
  const bool dated =
      task_.clock.form == ClockForm::parts ||
      (task_.clock.form == ClockForm::stamps && task_.clock.order <= DateOrder::month_day_year);
  if (dated) {
    std::string typical = unify_typical_year(raw_);
    if (!typical.empty()) table.assumptions.push_back(std::move(typical));
  }
  std::vector<std::size_t> refused;
  table.time.reserve(raw_.size());
  for (std::size_t i = 0; i < raw_.size(); ++i) {
    const ClockResolver::Answer answer = clock.resolve(raw_[i]);
    if (!answer.instant) {
      refused.push_back(i);
      line_number_ = line_[i];
      refuse_row(answer.reason, iso_text({raw_[i].ms}, {}), answer.message);
      continue;
    }
    table.time.push_back(*answer.instant);
    line_[table.time.size() - 1] = line_[i];
  }
  std::vector<RawStamp>().swap(raw_);
  line_.resize(table.time.size());
  table.line = std::move(line_);
  table.clock = clock.clock();
  for (std::size_t i = 0; i < task_.plan.columns.size(); ++i) {
    const ColumnPlan& plan = task_.plan.columns[i];
    SourceColumn column = column_of(plan, task_.context.file);
    column.values = block_.take(i);
    if (!refused.empty()) {
      std::size_t next = 0;
      std::size_t kept = 0;
      for (std::size_t r = 0; r < column.values.size(); ++r) {
        if (next < refused.size() && refused[next] == r) {
          ++next;
        } else {
          column.values[kept++] = column.values[r];
        }
      }
      column.values.resize(kept);
    }
    for (const auto& [word, times] : cells_.words(i)) more_words_[i][word] += times;
    column.words.assign(more_words_[i].begin(), more_words_[i].end());
    if (plan.quantity != nullptr) {
      table.understood.push_back(plan.header + " -> " + plan.place.text + "." +
                                 plan.quantity->name);
    }
    table.columns.push_back(std::move(column));
  }
  table.not_understood = task_.plan.not_understood;
  task_.context.log->merge(cells_.log());
  return table;
}

/// Cuts the text at line ends into about equal ranges.
std::vector<std::string_view> ranges_of(std::string_view text, std::size_t count,
                                        char end_of_line) {
  std::vector<std::string_view> out;
  std::size_t from = 0;
  for (std::size_t k = 1; k <= count && from < text.size(); ++k) {
    std::size_t to = k == count ? text.size() : std::max(from, text.size() / count * k);
    if (to < text.size()) {
      to = text.find(end_of_line, to);
      to = to == std::string_view::npos ? text.size() : to + 1;
    }
    out.push_back(text.substr(from, to - from));
    from = to;
  }
  if (out.empty()) out.push_back(text);
  return out;
}

/// Mean length of the lines at the beginning, in the middle and at the end.
double usual_line_size(std::string_view text, char end_of_line) {
  constexpr std::size_t look = 1U << 18U;
  std::size_t bytes = 0;
  std::size_t lines = 0;
  for (const std::size_t at : {std::size_t{0}, text.size() / 2, text.size() - text.size() / 64}) {
    const std::string_view part = text.substr(at, look);
    bytes += part.size();
    lines += static_cast<std::size_t>(std::count(part.begin(), part.end(), end_of_line));
  }
  return static_cast<double>(std::max<std::size_t>(bytes, 1)) /
         static_cast<double>(std::max<std::size_t>(lines, 1));
}

/// Quotes may hide line ends: such a text is read in one piece.
std::size_t thread_count(std::string_view text, const Layout& layout, const ReadContext& context) {
  std::size_t count = std::min(context.threads, text.size() / smallest_share);
  const std::string_view head = text.substr(0, 1U << 20U);
  if (head.find('"') != std::string_view::npos || layout.dialect.by_blanks()) count = 1;
  return std::max<std::size_t>(count, 1);
}

}  // namespace

SourceTable scan_rows(std::string_view text, const Layout& layout, const ClockPlan& clock,
                      const TablePlan& plan, const ReadContext& context) {
  ScanTask task{layout,
                clock,
                plan,
                context,
                text.data() + text.size(),
                LineCutter::end_of_line_in(text.substr(0, 1U << 20U))};
  const std::string_view body = text.substr(std::min(layout.data_begin, text.size()));
  const std::vector<std::string_view> ranges =
      ranges_of(body, thread_count(body, layout, context), task.end_of_line);
  std::vector<RangeScanner> scanners;
  scanners.reserve(ranges.size());
  const double line_size = usual_line_size(body, task.end_of_line);
  for (const std::string_view range : ranges) {
    scanners.emplace_back(task);
    // The first one takes the others' rows in at the end.
    const std::string_view takes = scanners.size() == 1 ? body : range;
    scanners.back().reserve(
        static_cast<std::size_t>(1.02 * static_cast<double>(takes.size()) / line_size) + 64);
  }
  std::atomic<std::size_t> done{layout.data_begin};
  const auto tick = [&] {
    if (context.progress) context.progress(done.load());
  };
  std::vector<std::thread> threads;
  std::atomic<std::size_t> running{ranges.size() - 1};
  for (std::size_t i = 1; i < ranges.size(); ++i) {
    threads.emplace_back([&, i] {
      scanners[i].scan(ranges[i], 0, done, {});
      --running;
    });
  }
  scanners.front().scan(ranges.front(), layout.data_line - 1, done, tick);
  while (running.load() > 0 && context.progress) {
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
    tick();
  }
  for (std::thread& thread : threads) thread.join();
  for (std::size_t i = 1; i < scanners.size(); ++i) {
    scanners.front().append(std::move(scanners[i]));
  }
  return scanners.front().finish();
}

}  // namespace cw
