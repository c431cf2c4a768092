#include "report/ph_chart.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "report/detail/label_placer.h"

namespace cw {
namespace {

using detail::DrawFrame;
using detail::LabelBox;
using detail::LabelPlacer;
using detail::Polyline;

TEST(LabelPlacer, boxes_overlap_by_their_turned_rectangles) {
  const LabelBox flat{{0, 0}, 10, 2, 0};
  EXPECT_TRUE(overlap(flat, flat));
  EXPECT_TRUE(overlap(flat, {{9, 0}, 10, 2, 0}));
  EXPECT_FALSE(overlap(flat, {{11, 0}, 10, 2, 0}));
  EXPECT_FALSE(overlap(flat, {{0, 2.5}, 10, 2, 0}));
  // A turned box whose upright bounds overlap, but not the box itself.
  EXPECT_FALSE(overlap(flat, {{8.5, 5.5}, 10, 2, 45}));
  EXPECT_TRUE(overlap(flat, {{4, 0}, 10, 2, 90}));
}

TEST(LabelPlacer, a_segment_is_measured_inside_a_turned_box) {
  const LabelBox upright{{5, 5}, 4, 2, 90};
  EXPECT_NEAR(length_inside(upright, {5, 0}, {5, 10}), 4.0, 1e-12);
  EXPECT_NEAR(length_inside(upright, {0, 5}, {10, 5}), 2.0, 1e-12);
  EXPECT_EQ(length_inside(upright, {0, 8}, {10, 8}), 0.0);
}

TEST(LabelPlacer, lines_are_cut_at_the_frame) {
  const DrawFrame frame{0, 0, 10, 10};
  const auto parts = clipped({{-5, 5}, {5, 5}, {5, 15}, {8, 15}, {8, 5}}, frame);
  ASSERT_EQ(parts.size(), 2u);
  EXPECT_NEAR(parts[0].front().x, 0.0, 1e-12);
  EXPECT_NEAR(parts[0].back().y, 10.0, 1e-12);
  EXPECT_NEAR(parts[1].front().y, 10.0, 1e-12);
  EXPECT_TRUE(clipped({{-5, -5}, {20, -5}}, frame).empty());
}

TEST(LabelPlacer, the_second_label_keeps_clear_of_the_first) {
  LabelPlacer placer({0, 0, 100, 100});
  const std::size_t line = placer.add_line({{0, 50}, {100, 50}}, 1.0);
  const auto first = placer.place_along(line, 20, 3, 0.5);
  const auto second = placer.place_along(line, 20, 3, 0.5);
  ASSERT_TRUE(first && second);
  EXPECT_NEAR(first->centre.x, 50.0, 2.0);
  EXPECT_FALSE(overlap(*first, *second));
  EXPECT_TRUE(placer.place_along(line, 20, 3, 0.5));
  EXPECT_FALSE(placer.place_along(line, 120, 3, 0.5)) << "longer than the line";
}

TEST(LabelPlacer, never_upside_down) {
  for (int degrees = 0; degrees < 360; degrees += 15) {
    const double a = degrees * std::numbers::pi / 180.0;
    Polyline line = {{50, 50}, {50 + 45 * std::cos(a), 50 + 45 * std::sin(a)}};
    LabelPlacer placer({0, 0, 100, 100});
    const std::size_t number = placer.add_line(line, 1.0);
    const auto placed = placer.place_along(number, 10, 2, 0.5);
    ASSERT_TRUE(placed);
    EXPECT_LE(placed->angle, 78.0);
    EXPECT_GT(placed->angle, -102.0);
  }
}

struct ChartCase {
  const char* refrigerant;
  UnitSystem units;
};

/// A chart takes some seconds of a slow machine: each is drawn once.
const Result<PhChart>& chart_of(const ChartCase& wanted) {
  static std::map<std::pair<std::string, UnitSystem>, Result<PhChart>> drawn;
  const std::pair key{std::string(wanted.refrigerant), wanted.units};
  const auto found = drawn.find(key);
  if (found != drawn.end()) return found->second;
  const auto refrigerant = fluid::find_refrigerant(wanted.refrigerant);
  EXPECT_TRUE(refrigerant);
  return drawn.emplace(key, ph_chart(**refrigerant, fluid::ReferenceState::usual, wanted.units))
      .first->second;
}

class PhChartOf : public testing::TestWithParam<ChartCase> {};

TEST_P(PhChartOf, labels_do_not_collide_and_stay_in_the_frame) {
  const Result<PhChart>& chart = chart_of(GetParam());
  ASSERT_TRUE(chart) << chart.error().text();
  const DrawFrame frame{chart->left, chart->top, chart->right, chart->bottom};
  ASSERT_GT(chart->labels.size(), 50u);
  std::vector<LabelBox> boxes;
  for (const ChartLabel& label : chart->labels) {
    boxes.push_back({{label.x, label.y}, label.width, label.height, label.angle});
    EXPECT_TRUE(inside(boxes.back(), frame)) << label.text;
    // At least the width of its digits in the widest of the fonts asked for.
    EXPECT_GE(label.width, 0.5 * label.height * static_cast<double>(label.text.size() - 3));
  }
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    for (std::size_t j = i + 1; j < boxes.size(); ++j) {
      EXPECT_FALSE(overlap(boxes[i], boxes[j]))
          << chart->labels[i].text << " and " << chart->labels[j].text;
    }
  }
}

TEST_P(PhChartOf, every_kind_of_line_is_there_and_named) {
  const Result<PhChart>& chart = chart_of(GetParam());
  ASSERT_TRUE(chart);
  const std::string& svg = chart->svg;
  for (const char* css :
       {"dome", "isotherm", "isotherm thin", "isentrope", "isochore", "quality"}) {
    EXPECT_NE(svg.find("<path class=\"" + std::string(css) + "\" d=\"M"), std::string::npos) << css;
  }
  const bool si = GetParam().units == UnitSystem::si;
  for (const char* text :
       {si ? "[MPa]" : "[psi]", si ? "[kJ/kg]" : "[Btu/lb]", si ? "20 °C" : "40 °F",
        "Reference state IIR", "Equation of state", "x = 0.5", "critical point"}) {
    EXPECT_NE(svg.find(text), std::string::npos) << text;
  }
  EXPECT_EQ(svg.find("nan"), std::string::npos);
  EXPECT_EQ(svg.find("inf"), std::string::npos);
  EXPECT_LT(svg.size(), 150000u);
  std::set<std::string> shown;
  for (const ChartLabel& label : chart->labels) shown.insert(label.text);
  EXPECT_GT(shown.size(), 40u);
}

std::string case_name(const testing::TestParamInfo<ChartCase>& info) {
  std::string out = info.param.refrigerant;
  std::erase(out, '-');
  return out + (info.param.units == UnitSystem::si ? "_si" : "_ip");
}

INSTANTIATE_TEST_SUITE_P(
    refrigerants, PhChartOf,
    testing::Values(ChartCase{"R-410A", UnitSystem::si}, ChartCase{"R-410A", UnitSystem::ip},
                    ChartCase{"R-32", UnitSystem::si}, ChartCase{"R-454B", UnitSystem::si},
                    ChartCase{"R-454B", UnitSystem::ip}, ChartCase{"R-407C", UnitSystem::si},
                    ChartCase{"R-134a", UnitSystem::ip}, ChartCase{"R-22", UnitSystem::si},
                    ChartCase{"R-1234yf", UnitSystem::si}, ChartCase{"R-125", UnitSystem::si}),
    case_name);

}  // namespace
}  // namespace cw
