#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "ingest/clock/clock_plan.h"
#include "ingest/counters.h"
#include "ingest/delimited/cell_marks.h"
#include "ingest/delimited/cell_quads.h"
#include "ingest/delimited/cell_reader.h"
#include "ingest/delimited/column_plan.h"
#include "ingest/delimited/layout.h"
#include "ingest/delimited/lines.h"
#include "ingest/delimited/quality_columns.h"
#include "ingest/delimited/short_number.h"
#include "ingest/delimited/unit_columns.h"

namespace cw {

/// What a scan of any part of a text needs to know; shared by all threads, constant.
struct ScanTask {
  const Layout& layout;
  const ClockPlan& clock;
  const TablePlan& plan;
  const ReadContext& context;
  char end_of_line = '\n';
  std::vector<QualityColumn> qualities = {};  ///< that are applied
  std::vector<std::size_t> watched = {};      ///< columns of qualities that are not
  std::vector<UnitColumn> units = {};
};

/// The rows of some lines that follow each other, not yet turned into columns.
struct ScannedRows {
  std::vector<float> cells;         ///< [n_row x n_column], SI
  std::vector<RawStamp> stamps;     ///< [n_row]
  std::vector<std::uint32_t> line;  ///< [n_row], counted from the first of these lines
  ImportLog log;                    ///< its lines counted likewise
  std::size_t lines = 0;            ///< of all that was looked at
  bool table_ends = false;          ///< a header of another table was met; no row behind it is here
  /// Refused lines behind the last row that look like remarks below a table; they are no loss where
  /// no row follows at all. In no log yet.
  std::vector<Reject> trailing;
  /// Of the last refused row behind the last row, where dates are written once a day.
  std::optional<DateAbove> refused_date;

  void clear();
};

/// Turns lines into rows of SI floats. One per thread.
class RowScanner {
 public:
  explicit RowScanner(const ScanTask& task);

  /// Reads lines until the text ends or more than `bytes` are read.
  /// @param readable_end  bytes up to there may be looked at, beyond the lines
  /// @param out           emptied and filled
  /// @returns false when the last line has a quote that is still open where the text ends
  bool scan(LineCutter& lines, std::size_t bytes, const char* readable_end, ScannedRows& out);

  const CellReader& cells() const { return cells_; }
  /// Columns of qualities that are not applied and have words such as "bad".
  const std::set<std::size_t>& warnings() const { return warnings_; }

 private:
  /// What stands at one position of a row.
  struct Position {
    enum class Kind : std::uint8_t { nothing, number, careful, clock, words };
    Kind kind = Kind::nothing;
    std::uint32_t slot = 0;                 ///< in the plan's columns, or in the clock's
    std::optional<std::uint32_t> tells_of;  ///< slot of readings of which this says the quality
    std::optional<std::uint32_t> unit_of;   ///< slot of the readings right in front of their unit
    bool unit_follows = false;
    bool watched = false;  ///< does it hold qualities that are not applied?
  };

  void find_quads();
  float* new_row();
  void scan_line(std::string_view line, LineCutter& lines);
  bool scan_plain(std::string_view line);
  void take_rest(std::string_view line, std::size_t cells, std::size_t quads, std::size_t others,
                 float* row);
  void take_short(std::string_view cell, std::size_t index, float* row);
  void scan_careful(std::string_view line, LineCutter& lines);
  void take_cell(std::string_view cell, std::size_t index, float* row);
  void find_qualities();
  static void look_at_words(Position& position);
  void find_units();
  void take_unit(std::string_view cell, std::uint32_t slot, float* row);
  void take_quality(std::string_view cell, std::uint32_t slot, float* row);
  void end_row(std::string_view line, std::size_t cells, float* row);
  bool is_header_cell(std::string_view cell) const;
  bool is_between_rows(std::string_view line, const float* row) const;
  bool is_cut_row(std::string_view line);
  bool is_row(std::string_view line);
  bool has_stamp(const std::vector<std::string>& cells);
  bool refuse_foot_or_page(std::string_view line);
  void meet_header(std::string_view line);
  void refuse_long(std::string_view line);
  void refuse_row(Counter counter, std::string_view text, std::string reason);
  void refuse_line(Counter counter, std::string_view line, std::string_view text,
                   std::string reason);
  void keep_place();
  void note_refused_date(std::string_view line);

  const ScanTask& task_;
  CellReader cells_;
  StampReader stamps_;
  CellMarks marks_;
  ShortNumber short_number_;
  std::vector<Position> positions_;  // by position in the row
  QuadReader quad_reader_;
  std::vector<CellQuad> quads_;
  std::vector<std::uint32_t> alone_;   // positions in no quad that hold something
  std::vector<std::uint32_t> others_;  // room for the cells that a quad's way does not take
  std::vector<std::string> clock_cells_;
  std::string unit_reading_;  // a reading whose unit stands in the next cell
  std::set<std::size_t> warnings_;
  std::vector<bool> numeric_;  // without a clock: does a position hold numbers in the sample?
  std::string scratch_;
  ScannedRows* out_ = nullptr;
  const char* readable_end_ = nullptr;
  std::size_t width_ = 0;
  std::size_t line_number_ = 0;
  bool by_blanks_ = false;
  bool cut_in_quotes_ = false;
};

}  // namespace cw
