#pragma once

#include <vector>

#include "system/system.h"

/// Where the parts of a pipe tree stand in its picture.
namespace cw::detail {

inline constexpr double picture_width = 1123.0;  ///< A4 landscape at 96 dots an inch

/// A node: a joint is the point (x, y); a box reaches from x to x + width, from y - up to y + down.
struct Spot {
  double x = 0.0;
  double y = 0.0;  ///< where the pipe from the outdoor side comes in
  double width = 0.0;
  double up = 0.0;
  double down = 0.0;
};

/// A pipe: first up or down from (x1, y1) to y2, then sideways to x2.
struct Run {
  double x1 = 0.0;
  double y1 = 0.0;
  double x2 = 0.0;
  double y2 = 0.0;
  double label_x = 0.0;
  double label_y = 0.0;
  bool label_ends = true;  ///< the label ends at label_x, or starts there
};

struct TreeLayout {
  double height = 0.0;
  double label_size = 0.0;
  double text_size = 0.0;   ///< in boxes
  std::vector<Spot> spots;  ///< by node
  std::vector<Run> runs;    ///< by segment
};

/// Units in one column at the right, each with a row of its own; trunks run down; what branches off
/// stands one column further right. The modules are laid out the same way, mirrored, at the left.
TreeLayout lay_out(const System& system);

}  // namespace cw::detail
