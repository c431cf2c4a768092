#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ingest/delimited/column_plan.h"
#include "ingest/delimited/layout.h"

namespace cw {

/// A column that says the unit of the reading right in front of it, row by row.
struct UnitColumn {
  std::size_t column = 0;
  std::size_t of = 0;  ///< position of the readings
  std::string unit;    ///< the first that stands there
};

/// Is a header "Unit", in one of several languages, or "HP unit" behind "HP"? "Indoor unit" is not.
/// @param of  header of the readings; may be empty
bool is_called_unit(std::string_view header, std::string_view of = {});

/// What stands as unit beside signals that have none; it says nothing for or against units.
bool is_no_unit(std::string_view cell);

/// What the cells of a column called "Unit" are. Such a column may as well number machines or name
/// zones (A, B, C) and rooms (Bar, Kitchen).
class UnitTally {
 public:
  void add(std::string_view cell, const Dialect& dialect);
  /// Nine of ten are units, or most are that are longer than a letter and none is a number.
  bool holds_units() const;
  bool holds_some() const { return units_ > 0; }
  std::size_t filled() const { return filled_; }
  std::size_t units() const { return units_; }
  /// Texts that are no known unit, in quotes; a few.
  std::string unknown_text() const;

 private:
  enum class Kind { number, unknown, letter, unit };
  std::map<std::string, Kind, std::less<>> kinds_;
  std::vector<std::string> unknown_;
  std::size_t filled_ = 0;
  std::size_t units_ = 0;
  std::size_t letters_ = 0;  // of the units, those that any letter could be
  std::size_t numbers_ = 0;
};

/// Columns of units right behind columns of numbers, by the sampled rows.
std::vector<UnitColumn> find_unit_columns(const Layout& layout);

/// What is said where the header or the map gives readings another unit than their column of units
/// does; nothing where they agree.
/// @param unit  the first that the column of units says
std::optional<std::string> units_disagree(const ColumnPlan& plan, std::string_view unit,
                                          const std::string& unit_header);

}  // namespace cw
