#pragma once

#include <map>
#include <string>
#include <vector>

#include "ingest/counters.h"
#include "ingest/delimited/column_plan.h"

namespace cw {

/// Turns one cell of a planned column into an SI float. One per thread.
class CellReader {
 public:
  CellReader(const TablePlan& plan, const Dialect& dialect, std::string file);

  /// @param slot  position in plan.columns
  float read(std::string_view cell, std::size_t slot, std::size_t line);

  /// A cell whose unit stands in another one of its row: it is turned into its column's, or
  /// refused. Words, flags, states and counts have none that would change them.
  /// @param unit_text  empty: the column's
  float read_in_unit(std::string_view cell, std::string_view unit_text, std::size_t slot,
                     std::size_t line);

  /// A number of the cell, already read: sentinels, flags, states, scale and plausible range.
  float convert(double raw, std::string_view cell, std::size_t slot, std::size_t line);

  /// May numbers of this column take the short way, where nothing but scale and range is asked?
  bool is_plain(std::size_t slot) const;

  /// What the cells read since begin_row have added to log and words can be taken back.
  void begin_row() {
    log_.begin_row();
    by_rows_ = true;
    row_words_.clear();
  }
  void undo_row();

  ImportLog& log() { return log_; }
  /// Texts among the cells of a column that is read as it stands, with counts.
  const std::map<std::string, std::size_t, std::less<>>& words(std::size_t slot) const {
    return words_[slot];
  }

 private:
  float read_flag(double raw, std::string_view cell, std::size_t slot, std::size_t line);
  float read_word(std::string_view cell, std::size_t slot, std::size_t line);
  float refuse(Counter counter, std::string_view cell, std::size_t slot, std::size_t line,
               std::string reason);
  bool read_with_unit(std::string_view cell, std::size_t slot, double& raw) const;
  bool turn(const Unit& stated, std::size_t slot, double& raw) const;

  const TablePlan& plan_;
  Dialect dialect_;
  std::string file_;
  ImportLog log_;
  bool by_rows_ = false;  // begin_row is called
  using Words = std::map<std::string, std::size_t, std::less<>>;
  std::vector<Words> words_;
  std::vector<std::pair<std::size_t, Words::iterator>> row_words_;  // of the row: slot and word
};

/// "5.2 °C {ok}" without the status that says that the reading is good. Another status ("{fault}")
/// stays: such a cell is no reading.
std::string_view without_good_status(std::string_view cell);

/// Words that mean "no reading" in any column: nan, null, n/a, --, #VALUE! and their like.
bool is_missing_mark(std::string_view cell);

}  // namespace cw
