#pragma once

#include <optional>
#include <vector>

/// Placing labels along the lines of a drawing so that none covers another. Lengths in the
/// drawing's unit, y downwards; angles in degrees, clockwise as in SVG.
namespace cw::detail {

struct DrawPoint {
  double x = 0.0;
  double y = 0.0;
};
using Polyline = std::vector<DrawPoint>;

struct DrawFrame {
  double left = 0.0, top = 0.0, right = 0.0, bottom = 0.0;
};

/// The rectangle of a text, turned about its centre.
struct LabelBox {
  DrawPoint centre;
  double width = 0.0;
  double height = 0.0;
  double angle = 0.0;  ///< as placed along a line: -102 < angle <= 78, never upside down
};

/// Do two boxes share a point? By separating axes.
bool overlap(const LabelBox& a, const LabelBox& b) noexcept;
/// Are all four corners inside the frame?
bool inside(const LabelBox& box, const DrawFrame& frame) noexcept;
/// Length of the segment's part that lies in the box.
double length_inside(const LabelBox& box, DrawPoint from, DrawPoint to) noexcept;

/// The parts of a line that lie in the frame.
std::vector<Polyline> clipped(const Polyline& line, const DrawFrame& frame);

/// Greedy placement: every label takes the cheapest place that is still free. A place costs what it
/// covers of other lines and how far it is from where the label would like to be.
class LabelPlacer {
 public:
  explicit LabelPlacer(const DrawFrame& frame) : frame_(frame) {}

  /// A drawn line, already clipped; `weight` is the cost of covering it. Returns its number.
  std::size_t add_line(Polyline line, double weight);
  /// Space that is taken: a label placed by hand.
  void block(const LabelBox& box) { taken_.push_back(box); }

  /// The cheapest free place of a list, earlier ones first. It is then taken.
  std::optional<LabelBox> place_at(const std::vector<LabelBox>& places);
  /// A place along line number `line` for a text of this size; `preferred` 0..1 is the wanted
  /// position along it. Empty when nothing is free. The place is then taken.
  std::optional<LabelBox> place_along(std::size_t line, double width, double height,
                                      double preferred);

 private:
  std::optional<LabelBox> candidate(const Polyline& line, const std::vector<double>& length,
                                    double at, double width, double height) const;
  double cost(const LabelBox& box, std::optional<std::size_t> own_line) const;
  bool is_free(const LabelBox& box) const;

  struct Line {
    Polyline points;
    double weight = 1.0;
    DrawFrame bounds;
  };
  DrawFrame frame_;
  std::vector<Line> lines_;
  std::vector<LabelBox> taken_;
};

}  // namespace cw::detail
