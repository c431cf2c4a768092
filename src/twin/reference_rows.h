#pragma once

#include <gtest/gtest.h>

#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace cw::twin::test {

/// A line of tests/twin/fluids_reference.csv.
struct ReferenceRow {
  std::string what;
  double rho_l, rho_g, mu_l, mu_g, sigma, x, bore, mass_flux, value;
};

inline std::string reference_path() {
  return std::string(CW_SOURCE_ROOT) + "/tests/twin/fluids_reference.csv";
}

inline std::vector<ReferenceRow> reference_rows() {
  std::vector<ReferenceRow> rows;
  std::ifstream in(reference_path());
  EXPECT_TRUE(in) << reference_path();
  std::string line;
  while (std::getline(in, line)) {
    if (line.empty() || line[0] == '#' || line.starts_with("what,")) continue;
    for (char& c : line) {
      if (c == ',') c = ' ';
    }
    std::istringstream words(line);
    ReferenceRow row;
    words >> row.what >> row.rho_l >> row.rho_g >> row.mu_l >> row.mu_g >> row.sigma >> row.x >>
        row.bore >> row.mass_flux >> row.value;
    EXPECT_FALSE(words.fail()) << line;
    rows.push_back(row);
  }
  return rows;
}

}  // namespace cw::twin::test
