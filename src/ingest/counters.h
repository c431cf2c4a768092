#pragma once

#include <array>
#include <cstddef>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace cw {

/// Everything that an import sets aside or has doubts about. Nothing is dropped without one of
/// these.
enum class Counter {
  unknown_column,
  ignored_column,
  column_unit_missing,
  duplicate_column,
  bad_row_short,
  bad_row_long,
  bad_time_stamp,
  duplicate_time_stamp,
  backward_time_stamp,
  nonexistent_local_time,
  repeated_header,
  page_title,
  table_foot,
  another_table,
  bad_cell,
  cut_value,
  sentinel_value,
  bad_quality,
  implausible_value,
  missing_mark,
  conflicting_value,
  skipped_file,
  same_file_again,
  mapped_column_absent,
  count_,
};

enum class Severity {
  info,       ///< worth knowing, nothing lost
  suspect,    ///< a value or row that was doubted and set aside
  data_loss,  ///< something that should have been a reading could not be read
};

struct CounterInfo {
  std::string_view name;  ///< as JSON carries it
  Severity severity;
  std::string_view meaning;  ///< one sentence for people
};

const CounterInfo& info_of(Counter counter) noexcept;
std::string_view name_of(Severity severity) noexcept;

/// One thing that was set aside, findable in the file.
struct Reject {
  Counter counter = Counter::bad_cell;
  std::string file;
  std::size_t line = 0;  ///< 1-based; 0 for a whole file
  std::string column;    ///< header text; empty for a whole row
  std::string text;      ///< what stood there, shortened
  std::string reason;
};

/// Counts everything, keeps the first `kept_per_counter` rejects of each kind.
class ImportLog {
 public:
  static constexpr std::size_t kept_per_counter = 200;

  void add(Reject reject);
  void count(Counter counter, std::size_t times = 1) {
    counts_[static_cast<std::size_t>(counter)] += times;
    if (tracking_) since_.insert(since_.end(), times, counter);
  }
  /// From here on what is added can be taken back by undo_row, until the next begin_row.
  void begin_row() {
    tracking_ = true;
    since_.clear();
    kept_before_ = rejects_.size();
  }
  /// Takes back what was added since begin_row: the cells of a row that is none.
  void undo_row();
  std::size_t count_of(Counter counter) const { return counts_[static_cast<std::size_t>(counter)]; }
  const std::vector<Reject>& rejects() const { return rejects_; }
  /// Lets each kept reject be changed: line numbers of a text that was made from the file.
  void renumber(const std::function<void(Reject&)>& change);
  /// Adds another log's counts and rejects; `lines` is added to the latter's line numbers.
  void merge(const ImportLog& other, std::size_t lines = 0);

 private:
  std::array<std::size_t, static_cast<std::size_t>(Counter::count_)> counts_{};
  std::array<std::size_t, static_cast<std::size_t>(Counter::count_)> kept_{};
  std::vector<Reject> rejects_;
  bool tracking_ = false;
  std::vector<Counter> since_;
  std::size_t kept_before_ = 0;
};

}  // namespace cw
