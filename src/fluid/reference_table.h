#pragma once

#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace cw::fluid::test {

/// A comma-separated table with '#' comments and one line of column names, as the tests/fluid
/// tables are written. A word that is no number ("nan", a region's name) reads as nan.
struct Table {
  std::vector<std::string> columns;
  std::vector<std::vector<double>> rows;

  double at(std::size_t row, const std::string& column) const {
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (columns[i] == column) return rows[row][i];
    }
    ADD_FAILURE() << "no column " << column;
    return 0.0;
  }
  bool has(const std::string& column) const {
    for (const std::string& name : columns) {
      if (name == column) return true;
    }
    return false;
  }
};

/// Empty when the file does not exist.
inline Table read_table(const std::string& path) {
  Table table;
  std::ifstream in(path);
  std::string line;
  while (std::getline(in, line)) {
    if (line.empty() || line.front() == '#') continue;
    std::vector<std::string> words;
    std::istringstream cells(line);
    for (std::string word; std::getline(cells, word, ',');) words.push_back(word);
    if (table.columns.empty()) {
      table.columns = words;
      continue;
    }
    std::vector<double> row;
    for (const std::string& word : words) {
      char* end = nullptr;
      const double value = std::strtod(word.c_str(), &end);
      row.push_back(end != word.c_str() && *end == '\0' ? value
                                                        : std::numeric_limits<double>::quiet_NaN());
    }
    table.rows.push_back(row);
  }
  return table;
}

inline std::string test_data(const std::string& name) {
  return std::string(CW_SOURCE_ROOT) + "/tests/fluid/" + name;
}

}  // namespace cw::fluid::test
