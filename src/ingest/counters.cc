#include "ingest/counters.h"

#include "ingest/encoding.h"

namespace cw {
namespace {

using C = Counter;
using S = Severity;

struct Row {
  Counter counter;
  CounterInfo info;
};

constexpr std::array rows = {
    Row{C::unknown_column,
        {"unknown_column", S::info, "columns that are no known channel and were not read"}},
    Row{C::ignored_column, {"ignored_column", S::info, "columns that the map says to ignore"}},
    Row{C::column_unit_missing,
        {"column_unit_missing", S::data_loss,
         "columns of a known quantity whose unit is missing, unknown or of another kind"}},
    Row{C::duplicate_column,
        {"duplicate_column", S::suspect, "columns whose channel another column gave already"}},
    Row{C::bad_row_short,
        {"bad_row_short", S::data_loss, "rows with fewer cells than the header, set aside whole"}},
    Row{C::bad_row_long,
        {"bad_row_long", S::data_loss, "rows with more cells than the header, set aside whole"}},
    Row{C::bad_time_stamp,
        {"bad_time_stamp", S::data_loss, "rows whose time stamp could not be read, set aside"}},
    Row{C::duplicate_time_stamp,
        {"duplicate_time_stamp", S::suspect,
         "rows with the time stamp of an earlier row; the first one counts"}},
    Row{C::backward_time_stamp,
        {"backward_time_stamp", S::suspect, "rows whose time stamp breaks the order, set aside"}},
    Row{C::nonexistent_local_time,
        {"nonexistent_local_time", S::suspect,
         "rows with a wall-clock time that the spring clock change skips, set aside"}},
    Row{C::repeated_header, {"repeated_header", S::info, "header lines in the middle of a file"}},
    Row{C::page_title,
        {"page_title", S::info, "lines of titles and page numbers that stand again on every page"}},
    Row{C::table_foot,
        {"table_foot", S::info,
         "lines of sums, averages, rules and remarks in or below the table; no readings"}},
    Row{C::another_table,
        {"another_table", S::data_loss,
         "rows of another table below the first, with a header of its own; give it as a file of "
         "its own"}},
    Row{C::bad_cell,
        {"bad_cell", S::data_loss, "cells that are no number of the column; read as missing"}},
    Row{C::cut_value,
        {"cut_value", S::suspect,
         "the last cell of a file that ends within a line, shorter than those above it; read as "
         "missing"}},
    Row{C::sentinel_value,
        {"sentinel_value", S::info, "cells with a value that the map says means no reading"}},
    Row{C::bad_quality,
        {"bad_quality", S::suspect,
         "readings that the file itself marks as not good; read as missing"}},
    Row{C::implausible_value,
        {"implausible_value", S::suspect,
         "readings outside the plausible range of their quantity; read as missing"}},
    Row{C::missing_mark,
        {"missing_mark", S::info, "cells with a word that means no reading (nan, null, n/a, --)"}},
    Row{C::conflicting_value,
        {"conflicting_value", S::suspect,
         "readings of one channel and time that differ between files; the first file counts"}},
    Row{C::skipped_file,
        {"skipped_file", S::data_loss, "files of a directory that could not be read"}},
    Row{C::same_file_again,
        {"same_file_again", S::info, "files with the same bytes as an earlier one; read once"}},
    Row{C::mapped_column_absent,
        {"mapped_column_absent", S::suspect, "columns that the map names and the file has not"}},
};
static_assert(rows.size() == static_cast<std::size_t>(Counter::count_));

}  // namespace

const CounterInfo& info_of(Counter counter) noexcept {
  for (const Row& row : rows) {
    if (row.counter == counter) return row.info;
  }
  return rows.front().info;
}

std::string_view name_of(Severity severity) noexcept {
  switch (severity) {
    case Severity::info:
      return "info";
    case Severity::suspect:
      return "suspect";
    case Severity::data_loss:
      return "data_loss";
  }
  return "info";
}

void ImportLog::add(Reject reject) {
  const auto index = static_cast<std::size_t>(reject.counter);
  count(reject.counter);
  if (kept_[index] >= kept_per_counter) return;
  ++kept_[index];
  constexpr std::size_t longest = 120;
  if (reject.text.size() > longest) {
    reject.text.resize(longest);
    reject.text += "...";
  }
  reject.text = as_utf8(reject.text);
  reject.column = as_utf8(reject.column);
  rejects_.push_back(std::move(reject));
}

void ImportLog::undo_row() {
  for (const Counter counter : since_) --counts_[static_cast<std::size_t>(counter)];
  since_.clear();
  while (rejects_.size() > kept_before_) {
    --kept_[static_cast<std::size_t>(rejects_.back().counter)];
    rejects_.pop_back();
  }
}

void ImportLog::renumber(const std::function<void(Reject&)>& change) {
  for (Reject& reject : rejects_) change(reject);
}

void ImportLog::merge(const ImportLog& other, std::size_t lines) {
  for (const Reject& reject : other.rejects_) {
    auto& kept = kept_[static_cast<std::size_t>(reject.counter)];
    if (kept >= kept_per_counter) continue;
    ++kept;
    rejects_.push_back(reject);
    rejects_.back().line += lines;
  }
  for (std::size_t i = 0; i < counts_.size(); ++i) counts_[i] += other.counts_[i];
}

}  // namespace cw
