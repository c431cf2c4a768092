#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ingest/delimited/dialect.h"

namespace cw {

/// A line of the sample, cut.
struct SampleRow {
  std::string_view line;
  std::size_t number = 0;
  std::vector<std::string> cells;
  bool comment = false;
};

/// "degC, kPa, -": most filled cells are units, in brackets or bare, and none is a number.
bool is_unit_row(const std::vector<std::string>& cells, const Dialect& dialect);

/// Between blanks a cell that is left out leaves no trace: the units of a row as they stand below
/// `count` names; in all other cases as they are.
std::vector<std::string> below_names(const SampleRow& units, const SampleRow& names,
                                     std::size_t count, char delimiter);

/// Addresses of registers below names: numbers that name nothing. "1, 2, 3" below one name for all
/// columns tell them apart, and are none.
/// @param above  the row above
bool is_address_row(const std::vector<std::string>& cells, const std::vector<std::string>& above,
                    const Dialect& dialect);

}  // namespace cw
