#pragma once

#include <map>
#include <nlohmann/json.hpp>
#include <string>

#include "ingest/cell_text.h"

namespace cw {

/// A scalar of JSON, or a reading of Haystack's JSON with its unit, as a cell.
/// @param haystack  texts carry their kind in front (version 3)
UnitGrid::Cell json_cell(const nlohmann::ordered_json& value, bool haystack);

/// Puts JSON objects into a grid, one a row; keys inside keys and places in lists are joined with
/// dots.
class GridBuilder {
 public:
  /// @param line  of the file; 0: not known
  void row(std::size_t line = 0) {
    grid_.rows.emplace_back();
    if (line > 0) grid_.lines.push_back(static_cast<std::uint32_t>(line));
  }
  void object(const nlohmann::ordered_json& object) { put(object, "", 0); }
  const UnitGrid& grid() const { return grid_; }

 private:
  static constexpr std::size_t most_columns = 20000;

  void put(const nlohmann::ordered_json& value, const std::string& name, int depth);
  void cell(const nlohmann::ordered_json& value, const std::string& name);

  UnitGrid grid_;
  std::map<std::string, std::size_t> index_;
};

}  // namespace cw
