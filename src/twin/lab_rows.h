#pragma once

#include <fstream>
#include <map>
#include <string>
#include <vector>

#include "base/text.h"

/// Steady laboratory tests of a real variable-speed split heat pump in heating, R-410A
/// (../shared/data/lab-split-heating), for tests that skip, and say so, where the data is absent.
namespace cw::twin::test {

struct LabRow : std::map<std::string, double> {
  std::string name;  ///< "H1-low-clean_B0"
};

inline std::string lab_path() {
  return std::string(CW_SOURCE_ROOT) + "/../shared/data/lab-split-heating/steady_tests.csv";
}

/// Numbers by column name. One row of the file lacks a cell and is shifted to the left: its speed
/// makes no sense, and it is left out.
inline std::vector<LabRow> lab_rows() {
  std::ifstream in(lab_path());
  std::string line;
  std::getline(in, line);
  const auto names = [&] {
    std::vector<std::string> list;
    for (const auto name : split(trim(line), ',')) list.emplace_back(name);
    return list;
  }();
  std::vector<LabRow> list;
  while (std::getline(in, line)) {
    const auto cells = split(trim(line), ',');
    LabRow row;
    for (std::size_t i = 0; i < names.size() && i < cells.size(); ++i) {
      if (names[i] == "Testcode") row.name = std::string(trim(cells[i]));
    }
    for (std::size_t i = 0; i < names.size() && i < cells.size(); ++i) {
      double number = 0.0;
      if (read_number(trim(cells[i]), number) && number != -999.0) row[names[i]] = number;
    }
    if (row.contains("m_dot_r") && row["Speed"] > 20.0 && row["Speed"] < 120.0 &&
        row["m_dot_r"] > 10.0) {
      list.push_back(row);
    }
  }
  return list;
}

}  // namespace cw::twin::test
