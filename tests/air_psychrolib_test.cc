// src/air against the npm package psychrolib, which implements the same chapter of the ASHRAE
// Handbook. Skips, and says so, where node, npm or the package cannot be had.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "air/moist_air.h"
#include "base/text.h"

namespace cw::air {
namespace {

struct Output {
  int status = -1;
  std::string text;
};

Output run(const std::string& command) {
  Output out;
  std::FILE* pipe = ::popen(command.c_str(), "r");
  if (pipe == nullptr) return out;
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; (n = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
    out.text.append(buffer.data(), n);
  }
  out.status = ::pclose(pipe);
  return out;
}

struct Row {
  double altitude, p, t, rh, pws, w, wet_bulb, dew_point, h, v, rho;
};

std::vector<Row> rows_of(const std::string& text) {
  std::vector<Row> rows;
  for (const std::string_view line : split(text, '\n')) {
    Row row{};
    const std::array cells = {&row.altitude, &row.p,         &row.t, &row.rh, &row.pws, &row.w,
                              &row.wet_bulb, &row.dew_point, &row.h, &row.v,  &row.rho};
    const auto words = split(line, ',');
    if (words.size() != cells.size()) continue;
    bool numbers = true;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      numbers = read_number(words[i], *cells[i]) && numbers;
    }
    if (numbers) rows.push_back(row);
  }
  return rows;
}

void compare(const Row& row) {
  SCOPED_TRACE("t " + number_text(row.t) + " degC, rh " + number_text(row.rh) + ", altitude " +
               number_text(row.altitude) + " m");
  // Both sides evaluate the same formulas: only the order of operations differs.
  constexpr double same = 1e-12;
  EXPECT_NEAR(standard_pressure_at({row.altitude}).value, row.p, same * row.p);
  const Kelvin t = from_celsius(row.t);
  const auto air = moist_air(t, {row.p}, Humidity::relative, row.rh);
  ASSERT_TRUE(air) << air.error().text();
  const auto pws = saturation_pressure(t);
  ASSERT_TRUE(pws);
  EXPECT_NEAR(pws->value, row.pws, same * row.pws);
  EXPECT_NEAR(air->humidity_ratio.value, row.w, same + same * row.w);
  EXPECT_NEAR(air->enthalpy.value, row.h, 1e-6);  // J/kg
  EXPECT_NEAR(air->volume, row.v, same * row.v);
  EXPECT_NEAR(air->density, row.rho, same * row.rho);
  // psychrolib ends its iterations when the bracket or step is 0.001 K. Near freezing it returns
  // one or the other of the wet bulbs over water and over ice.
  if (std::abs(to_celsius(air->wet_bulb) - row.wet_bulb) > 1e-3) {
    EXPECT_LT(std::abs(row.wet_bulb), 0.6);
    EXPECT_NEAR(humidity_ratio_at_wet_bulb(t, from_celsius(row.wet_bulb), {row.p}).value, row.w,
                1e-6);  // 0.001 K
  }
  ASSERT_TRUE(air->dew_point);
  EXPECT_NEAR(to_celsius(*air->dew_point), row.dew_point, 1e-3);
}

TEST(AirPsychrolib, agrees_on_a_grid_of_altitude_temperature_and_humidity) {
  const std::string node = std::string(CW_SOURCE_ROOT) + "/tests/node/";
  const std::string to = std::string(CW_BINARY_ROOT) + "/node_tests";
  const Output installed = run("\"" + node + "install.sh\" \"" + to + "\" 2>/dev/null");
  if (installed.status != 0) {
    GTEST_SKIP() << "psychrolib: " << trim(installed.text);
  }
  const Output grid = run("node \"" + node + "psychrolib_grid.js\" \"" + to + "\"");
  ASSERT_EQ(grid.status, 0) << grid.text;
  const std::vector<Row> rows = rows_of(grid.text);
  ASSERT_EQ(rows.size(), 4u * 17u * 6u) << grid.text.substr(0, 400);
  for (const Row& row : rows) {
    // Below 1e-7 psychrolib replaces the humidity ratio by 1e-7.
    if (row.w > 1e-7) compare(row);
  }
}

}  // namespace
}  // namespace cw::air
