#include "ingest/delimited/scan.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <condition_variable>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <set>
#include <thread>

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

#include "base/pages.h"
#include "ingest/clock/first_hour.h"
#include "ingest/delimited/cells.h"
#include "ingest/delimited/cut_off.h"
#include "ingest/delimited/row_scanner.h"
#include "series/recording.h"

namespace cw {
namespace {

/// Bytes whose rows are read before they are turned into columns: their floats still lie in the
/// processor's own cache then.
constexpr std::size_t chunk_size = 192U << 10U;
/// Bytes between reports of progress.
constexpr std::size_t report_size = 4U << 20U;
/// Below this a second thread costs more than it brings.
constexpr std::size_t smallest_share = 4U << 20U;

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

/// Puts rows behind each other as columns.
class TableBuilder {
 public:
  TableBuilder(const ScanTask& task, std::size_t rows)
      : task_(task),
        columns_(task.plan.columns.size()),
        lines_(task.layout.data_line - 1),
        reserved_(rows) {
    for (std::vector<float>& column : columns_) column.reserve(rows);
    stamps_.reserve(rows);
    line_.reserve(rows);
  }

  void append(const ScannedRows& rows) {
    if (table_ended_) {
      for (const std::uint32_t line : rows.line) {
        log_.add({Counter::another_table, task_.context.file, line + lines_, "", "",
                  "it stands below the header of another table"});
      }
      lines_ += rows.lines;
      return;
    }
    table_ended_ = rows.table_ends;
    if (!rows.stamps.empty()) settle_trailing(false);
    for (const Reject& reject : rows.trailing) {
      trailing_.push_back(reject);
      trailing_.back().line += lines_;
    }
    constexpr std::size_t longest_foot = 500;  // lines
    if (trailing_.size() > longest_foot) settle_trailing(false);
    // Without a clock the stamps are line numbers.
    const std::int64_t shift =
        task_.clock.columns.empty() ? static_cast<std::int64_t>(lines_) * 1000 : 0;
    const std::size_t before = stamps_.size();
    for (RawStamp stamp : rows.stamps) {
      stamp.ms += shift;
      stamps_.push_back(stamp);
    }
    if (refused_date_ && stamps_.size() > before) {
      take_date_above(*refused_date_, stamps_[before]);
      refused_date_.reset();
    }
    if (rows.refused_date) refused_date_ = rows.refused_date;
    for (const std::uint32_t line : rows.line) {
      line_.push_back(line + static_cast<std::uint32_t>(lines_));
    }
    log_.merge(rows.log, lines_);
    lines_ += rows.lines;
    turn_over(rows);
  }

  SourceTable finish(const std::vector<std::unique_ptr<RowScanner>>& scanners);

 private:
  /// Remarks below the table are no loss; the same lines within it are.
  void settle_trailing(bool at_end) {
    const auto stands_within = [&](const Reject& reject) {
      const std::vector<Reject>& all = log_.rejects();
      return std::any_of(all.begin(), all.end(), [&](const Reject& other) {
        return other.counter == reject.counter && other.text == reject.text;
      });
    };
    for (Reject& reject : trailing_) {
      if (at_end && !stands_within(reject)) {
        reject.counter = Counter::table_foot;
        reject.reason = "no row of readings follows: " + reject.reason;
      }
      log_.add(std::move(reject));
    }
    trailing_.clear();
  }

  /// Writing each cell straight into its own column touches as many cache lines as there are
  /// columns; a block of rows that fits the cache, turned over at once, does not.
  void turn_over(const ScannedRows& rows) {
    const std::size_t width = columns_.size();
    const std::size_t count = rows.stamps.size();
    make_ready(stamps_.size());
    std::array<float, block * together> gathered;
    for (std::size_t from = 0; from < width; from += together) {
      const std::size_t wide = std::min(together, width - from);
      for (std::size_t top = 0; top < count; top += block) {
        const std::size_t high = std::min(block, count - top);
        const float* const first = rows.cells.data() + top * width + from;
        std::size_t r = 0;
        if (wide == together) {
          for (; r + 4 <= high; r += 4) turn_four_rows(first + r * width, width, &gathered[r]);
        }
        for (; r < high; ++r) {
          for (std::size_t c = 0; c < wide; ++c) gathered[c * block + r] = first[r * width + c];
        }
        for (std::size_t c = 0; c < wide; ++c) {
          const float* const begin = gathered.data() + c * block;
          columns_[from + c].insert(columns_[from + c].end(), begin, begin + high);
        }
      }
    }
  }

  /// Has memory for so many rows of every column given at once, and for some more.
  void make_ready(std::size_t rows) {
    constexpr std::size_t more_rows = 32768;
    if (rows <= ready_ || reserved_ < more_rows) return;
    const std::size_t upto = std::min(reserved_, rows + more_rows);
    for (std::vector<float>& column : columns_) {
      if (upto > column.size()) {
        ready_for_writing(column.data() + column.size(), (upto - column.size()) * sizeof(float));
      }
    }
    ready_ = std::max(rows, upto);
  }

  static constexpr std::size_t block = 64;
  static constexpr std::size_t together = 16;  // a cache line of each row at a time

  /// Sixteen columns of four rows that stand `width` apart, to columns that stand a block apart.
  static void turn_four_rows(const float* rows, std::size_t width, float* columns) {
#if defined(__SSE2__)
    for (std::size_t c = 0; c < together; c += 4) {
      __m128 a = _mm_loadu_ps(rows + c);
      __m128 b = _mm_loadu_ps(rows + width + c);
      __m128 d = _mm_loadu_ps(rows + 2 * width + c);
      __m128 e = _mm_loadu_ps(rows + 3 * width + c);
      _MM_TRANSPOSE4_PS(a, b, d, e);
      _mm_storeu_ps(columns + c * block, a);
      _mm_storeu_ps(columns + (c + 1) * block, b);
      _mm_storeu_ps(columns + (c + 2) * block, d);
      _mm_storeu_ps(columns + (c + 3) * block, e);
    }
#else
    for (std::size_t c = 0; c < together; ++c) {
      for (std::size_t r = 0; r < 4; ++r) columns[c * block + r] = rows[r * width + c];
    }
#endif
  }

  const ScanTask& task_;
  std::vector<std::vector<float>> columns_;
  std::vector<RawStamp> stamps_;
  std::vector<std::uint32_t> line_;
  ImportLog log_;
  std::vector<Reject> trailing_;           // behind the last row so far
  std::optional<DateAbove> refused_date_;  // likewise
  std::size_t lines_ = 0;
  std::size_t reserved_ = 0;  // rows that the columns have room for
  std::size_t ready_ = 0;     // of them with memory
  bool table_ended_ = false;
};

/// Takes out the rows whose numbers stand in `refused`, which is in order.
void drop_rows(std::vector<float>& values, const std::vector<std::size_t>& refused) {
  if (refused.empty()) return;
  std::size_t next = 0;
  std::size_t kept = 0;
  for (std::size_t r = 0; r < values.size(); ++r) {
    if (next < refused.size() && refused[next] == r) {
      ++next;
    } else {
      values[kept++] = values[r];
    }
  }
  values.resize(kept);
}

SourceTable TableBuilder::finish(const std::vector<std::unique_ptr<RowScanner>>& scanners) {
  SourceTable table;
  table.file = task_.context.file;
  settle_trailing(!stamps_.empty());
  if (task_.clock.form == ClockForm::rows) {
    for (std::size_t i = 0; i < stamps_.size(); ++i) {
      stamps_[i].ms =
          task_.clock.start.ms + std::llround(task_.clock.unit_ms * static_cast<double>(i));
    }
  }
  const std::size_t undated = static_cast<std::size_t>(
      std::count_if(stamps_.begin(), stamps_.end(), [](const RawStamp& s) { return !s.has_date; }));
  if (undated > 0) {
    fill_dates(stamps_);
    table.assumptions.push_back(std::to_string(undated) +
                                " rows have a time and no date: they are taken as of the day that "
                                "stands above them, or of the next where the time steps back.");
  }
  ClockResolver clock(task_.clock);
  const bool dated =
      task_.clock.form == ClockForm::parts ||
      (task_.clock.form == ClockForm::stamps && task_.clock.order <= DateOrder::month_day_year);
  if (dated) {
    std::string typical = unify_typical_year(stamps_);
    if (!typical.empty()) table.assumptions.push_back(std::move(typical));
  }
  std::vector<std::size_t> refused;
  table.time.reserve(stamps_.size());
  for (std::size_t i = 0; i < stamps_.size(); ++i) {
    const ClockResolver::Answer answer = clock.resolve(stamps_[i]);
    if (!answer.instant) {
      refused.push_back(i);
      log_.add(
          {answer.reason, table.file, line_[i], "", iso_text({stamps_[i].ms}, {}), answer.message});
      continue;
    }
    table.time.push_back(*answer.instant);
    line_[table.time.size() - 1] = line_[i];
  }
  settle_first_hour(task_.clock, table.time);
  std::vector<RawStamp>().swap(stamps_);
  line_.resize(table.time.size());
  table.line = std::move(line_);
  table.clock = clock.clock();
  for (std::size_t i = 0; i < task_.plan.columns.size(); ++i) {
    const ColumnPlan& plan = task_.plan.columns[i];
    SourceColumn column = column_of(plan, task_.context.file);
    column.values = std::move(columns_[i]);
    drop_rows(column.values, refused);
    std::map<std::string, std::size_t> words;
    for (const auto& scanner : scanners) {
      for (const auto& [word, times] : scanner->cells().words(i)) words[word] += times;
    }
    column.words.assign(words.begin(), words.end());
    if (plan.quantity != nullptr) {
      table.understood.push_back(plan.header + " -> " + plan.place.text + "." +
                                 plan.quantity->name);
    }
    table.columns.push_back(std::move(column));
  }
  table.not_understood = task_.plan.not_understood;
  std::set<std::size_t> warnings;
  for (const auto& scanner : scanners) {
    warnings.insert(scanner->warnings().begin(), scanner->warnings().end());
  }
  for (const std::size_t column : warnings) {
    table.assumptions.push_back(marks_not_applied(task_.layout.headers[column]));
  }
  task_.context.log->merge(log_);
  return table;
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
bool may_be_cut(std::string_view text, const Layout& layout) {
  const std::string_view head = text.substr(0, 1U << 20U);
  return head.find('"') == std::string_view::npos && !layout.dialect.by_blanks();
}

/// The lines that begin in a part of a text.
struct PartText {
  std::string_view lines;
  std::string_view copy;  ///< of the part; empty: the lines lie in the text itself
  const char* readable_end = nullptr;
};

/// Parts may be cut anywhere: a line belongs to the one that it begins in.
/// @param buffer  room for a copy, which is made where the context can
PartText lines_of_part(std::string_view body, std::size_t from, std::size_t to,
                       std::size_t line_size, const ScanTask& task, std::vector<char>& buffer) {
  constexpr std::size_t spare = 64;  // bytes behind that may be looked at
  // A line begins at `from` where the character before is a line end.
  const std::size_t begin = from == 0 ? 0 : from - 1;
  for (std::size_t tail = 2 * line_size + spare;; tail *= 4) {
    const bool last = body.size() - to <= tail;
    std::string_view window = body.substr(begin, to + tail - begin);
    PartText out;
    out.readable_end = body.data() + body.size();
    if (task.context.copy) {
      buffer.resize(window.size() + spare);
      if (task.context.copy(window, buffer.data())) {
        window = {buffer.data(), window.size()};
        out.copy = window.substr(from - begin, to - from);
        out.readable_end = buffer.data() + buffer.size();
      }
    }
    const auto first_line_from = [&](std::size_t at) {
      if (at == 0) return std::size_t{0};
      const std::size_t found = window.find(task.end_of_line, at - 1 - begin);
      return found == std::string_view::npos ? found : found + 1;
    };
    const std::size_t first = first_line_from(from);
    std::size_t end = to == body.size() ? window.size() : first_line_from(to);
    if (end == std::string_view::npos && !last) continue;
    end = std::min(end, window.size());
    if (first < end) out.lines = window.substr(first, end - first);
    return out;
  }
}

/// Tells of what has been read, in steps that are worth telling.
class Reporter {
 public:
  Reporter(const ReadContext& context, std::string_view body, std::size_t before)
      : context_(context), body_(body), before_(before) {}

  /// From one thread at a time.
  /// @param copy  of these bytes; empty: they themselves were read
  void read(std::size_t bytes, std::string_view copy) {
    const std::size_t now = done_.load() + bytes;
    done_ = now;
    if (copy.empty() && now - forgotten_ < report_size && now < body_.size()) return;
    if (context_.done_with) context_.done_with(body_.substr(forgotten_, now - forgotten_), copy);
    forgotten_ = now;
  }

  /// From the thread that started the reading.
  void tick() {
    const std::size_t now = done_.load();
    if (!context_.progress || now - told_ < report_size) return;
    told_ = now;
    context_.progress(before_ + now);
  }

 private:
  const ReadContext& context_;
  std::string_view body_;
  std::size_t before_;
  std::atomic<std::size_t> done_{0};
  std::size_t forgotten_ = 0;
  std::size_t told_ = 0;
};

/// The caller gives an error then; what has been read so far is thrown away.
bool is_stopped(const ScanTask& task) { return task.context.stop && task.context.stop(); }

SourceTable scan_in_one(std::string_view body, const ScanTask& task, std::size_t rows) {
  TableBuilder builder(task, rows);
  Reporter reporter(task.context, body, task.layout.data_begin);
  std::vector<std::unique_ptr<RowScanner>> scanners;
  scanners.push_back(std::make_unique<RowScanner>(task));
  LineCutter lines(body, task.end_of_line);
  ScannedRows scanned;
  while (lines.position() < body.size()) {
    const std::size_t from = lines.position();
    scanners.front()->scan(lines, chunk_size, body.data() + body.size(), scanned);
    builder.append(scanned);
    reporter.read(lines.position() - from, {});
    reporter.tick();
    if (is_stopped(task)) break;
  }
  return builder.finish(scanners);
}

/// Threads take chunks in turn. What they read is put together in order by whichever of them has
/// the next chunk, so that nobody waits for a neighbour.
class SharedScan {
 public:
  SharedScan(std::string_view body, const ScanTask& task, std::size_t rows, std::size_t line_size,
             std::size_t threads)
      : body_(body),
        task_(task),
        line_size_(line_size),
        builder_(task, rows),
        reporter_(task.context, body, task.layout.data_begin),
        threads_(threads) {
    for (std::size_t i = 0; i < threads; ++i) {
      scanners_.push_back(std::make_unique<RowScanner>(task));
    }
  }

  /// Nothing when a quote hides a line end where the text was cut.
  std::optional<SourceTable> run() {
    std::vector<std::thread> helpers;
    for (std::size_t i = 1; i < threads_; ++i) {
      helpers.emplace_back([this, i] { work(*scanners_[i], false); });
    }
    work(*scanners_.front(), true);
    for (std::thread& helper : helpers) helper.join();
    if (cut_in_quotes_) return std::nullopt;
    return builder_.finish(scanners_);
  }

 private:
  /// Chunks that are read and wait for their turn; more would be memory for nothing.
  static constexpr std::size_t most_waiting = 16;

  struct Chunk {
    std::size_t number = 0;
    std::size_t from = 0;
    std::size_t to = 0;
    PartText text;
    std::vector<char> buffer;
    ScannedRows rows;
  };

  void work(RowScanner& scanner, bool tells) {
    while (std::unique_ptr<Chunk> chunk = take()) {
      chunk->text = lines_of_part(body_, chunk->from, chunk->to, line_size_, task_, chunk->buffer);
      LineCutter lines(chunk->text.lines, task_.end_of_line);
      if (!scanner.scan(lines, chunk->text.lines.size(), chunk->text.readable_end, chunk->rows)) {
        cut_in_quotes_ = true;
      }
      hand_in(std::move(chunk), tells);
    }
  }

  /// The next chunk; null when there is none.
  std::unique_ptr<Chunk> take() {
    std::unique_lock<std::mutex> lock(mutex_);
    room_.wait(lock, [&] { return taken_ - appended_ < most_waiting; });
    if (at_ >= body_.size() || cut_in_quotes_ || is_stopped(task_)) return nullptr;
    std::unique_ptr<Chunk> chunk;
    if (spare_.empty()) {
      chunk = std::make_unique<Chunk>();
    } else {
      chunk = std::move(spare_.back());
      spare_.pop_back();
    }
    chunk->number = taken_++;
    chunk->from = at_;
    chunk->to = std::min(body_.size(), at_ + chunk_size);
    at_ = chunk->to;
    return chunk;
  }

  void hand_in(std::unique_ptr<Chunk> chunk, bool tells) {
    std::unique_lock<std::mutex> lock(mutex_);
    const std::size_t number = chunk->number;
    waiting_.emplace(number, std::move(chunk));
    if (appending_) return;
    appending_ = true;
    while (!waiting_.empty() && waiting_.begin()->first == appended_) {
      std::unique_ptr<Chunk> next = std::move(waiting_.begin()->second);
      waiting_.erase(waiting_.begin());
      lock.unlock();
      builder_.append(next->rows);
      reporter_.read(next->to - next->from, next->text.copy);
      if (tells) reporter_.tick();
      lock.lock();
      spare_.push_back(std::move(next));
      ++appended_;
      room_.notify_one();
    }
    appending_ = false;
  }

  std::string_view body_;
  const ScanTask& task_;
  std::size_t line_size_;
  TableBuilder builder_;  // of the thread that appends
  Reporter reporter_;
  std::size_t threads_;
  std::vector<std::unique_ptr<RowScanner>> scanners_;
  std::atomic<bool> cut_in_quotes_{false};

  std::mutex mutex_;  // of all below
  std::condition_variable room_;
  std::map<std::size_t, std::unique_ptr<Chunk>> waiting_;
  std::vector<std::unique_ptr<Chunk>> spare_;
  std::size_t at_ = 0;
  std::size_t taken_ = 0;
  std::size_t appended_ = 0;
  bool appending_ = false;
};

/// The cell in which the text was cut off is no reading, and no time.
void drop_cut_off(std::string_view body, const ScanTask& task, SourceTable& table) {
  const auto cut = find_cut_off(body, task.layout, task.end_of_line);
  if (!cut || table.line.empty() || table.line.back() != cut->line) return;
  const std::vector<std::size_t>& clock = task.clock.columns;
  const bool lost = cut->kind == CutOff::Kind::lost;
  if (lost && std::find(clock.begin(), clock.end(), cut->index) != clock.end()) {
    table.time.pop_back();
    table.line.pop_back();
    for (SourceColumn& column : table.columns) column.values.pop_back();
    return note_cut_off(*cut, task.layout, task.context);
  }
  for (SourceColumn& column : table.columns) {
    if (column.index != cut->index || is_missing(column.values.back())) continue;
    if (!lost) {
      table.assumptions.push_back(doubt_of_end(*cut, task.layout));
      continue;
    }
    column.values.back() = missing;
    note_cut_off(*cut, task.layout, task.context);
  }
}

/// Where a column of units denies what the header or the map says.
void note_units(const ScanTask& task, SourceTable& table) {
  for (const UnitColumn& column : task.units) {
    const auto plan =
        std::find_if(task.plan.columns.begin(), task.plan.columns.end(),
                     [&](const ColumnPlan& planned) { return planned.index == column.of; });
    if (plan == task.plan.columns.end()) continue;
    auto said = units_disagree(*plan, column.unit, task.layout.headers[column.column]);
    if (said) table.assumptions.push_back(std::move(*said));
  }
}

}  // namespace

SourceTable scan_rows(std::string_view text, const Layout& layout, const ClockPlan& clock,
                      const TablePlan& plan, const ReadContext& context) {
  ScanTask task{layout, clock, plan, context,
                LineCutter::end_of_line_in(text.substr(0, 1U << 20U))};
  task.qualities = find_quality_columns(layout);
  task.watched = quality_columns_beside(layout, task.qualities);
  task.units = find_unit_columns(layout);
  const std::string_view body = text.substr(std::min(layout.data_begin, text.size()));
  const double line_size = usual_line_size(body, task.end_of_line);
  const auto rows =
      static_cast<std::size_t>(1.02 * static_cast<double>(body.size()) / line_size) + 64;
  std::optional<SourceTable> table;
  if (may_be_cut(body, layout)) {
    const std::size_t threads = std::clamp<std::size_t>(body.size() / smallest_share, 1,
                                                        std::max<std::size_t>(context.threads, 1));
    SharedScan scan(body, task, rows, static_cast<std::size_t>(line_size), threads);
    table = scan.run();
  }
  if (!table) table = scan_in_one(body, task, rows);
  drop_cut_off(body, task, *table);
  note_units(task, *table);
  return std::move(*table);
}

}  // namespace cw
