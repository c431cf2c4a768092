#include "report/detail/label_placer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

namespace cw::detail {
namespace {

constexpr double clearance = 0.5;        // around a label, drawing units
constexpr double bend_allowed = 0.22;    // of the text height, between line and base of the text
constexpr double distance_weight = 6.0;  // cost of the whole length away from the wanted place
constexpr double dearest = 20.0;         // a label that would cover more is left out
constexpr double order_weight = 0.5;     // cost of the next place of a list
constexpr double steepest = 78.0;        // degrees
constexpr int candidates = 48;

struct Axis {
  double x, y;
};
Axis along(const LabelBox& box) {
  const double a = box.angle * std::numbers::pi / 180.0;
  return {std::cos(a), std::sin(a)};
}

std::array<DrawPoint, 4> corners(const LabelBox& box) {
  const Axis u = along(box);
  const double w = 0.5 * box.width;
  const double h = 0.5 * box.height;
  const auto corner = [&](double du, double dv) {
    return DrawPoint{box.centre.x + du * u.x - dv * u.y, box.centre.y + du * u.y + dv * u.x};
  };
  return {corner(-w, -h), corner(w, -h), corner(w, h), corner(-w, h)};
}

bool separated(const std::array<DrawPoint, 4>& a, const std::array<DrawPoint, 4>& b, Axis axis) {
  constexpr double far = std::numeric_limits<double>::infinity();
  double a_low = far, a_high = -far, b_low = far, b_high = -far;
  for (const DrawPoint& p : a) {
    const double s = p.x * axis.x + p.y * axis.y;
    a_low = std::min(a_low, s);
    a_high = std::max(a_high, s);
  }
  for (const DrawPoint& p : b) {
    const double s = p.x * axis.x + p.y * axis.y;
    b_low = std::min(b_low, s);
    b_high = std::max(b_high, s);
  }
  return a_high < b_low || b_high < a_low;
}

/// Part of a segment inside |x| <= w, |y| <= h as parameters 0..1; false when there is none.
bool clip(DrawPoint from, DrawPoint to, const DrawFrame& frame, double& enter, double& leave) {
  enter = 0.0;
  leave = 1.0;
  const double dx = to.x - from.x;
  const double dy = to.y - from.y;
  const std::array<std::array<double, 2>, 4> edges = {{{-dx, from.x - frame.left},
                                                       {dx, frame.right - from.x},
                                                       {-dy, from.y - frame.top},
                                                       {dy, frame.bottom - from.y}}};
  for (const auto& [p, q] : edges) {
    if (p == 0.0) {
      if (q < 0.0) return false;
    } else if (p < 0.0) {
      enter = std::max(enter, q / p);
    } else {
      leave = std::min(leave, q / p);
    }
  }
  return enter < leave;
}

DrawPoint between(DrawPoint a, DrawPoint b, double t) {
  return {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
}

std::vector<double> lengths_along(const Polyline& line) {
  std::vector<double> out = {0.0};
  for (std::size_t i = 1; i < line.size(); ++i) {
    out.push_back(out.back() + std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y));
  }
  return out;
}

DrawPoint point_at(const Polyline& line, const std::vector<double>& length, double at) {
  const auto next = std::lower_bound(length.begin() + 1, length.end() - 1, at);
  const auto i = static_cast<std::size_t>(next - length.begin());
  const double span = length[i] - length[i - 1];
  return between(line[i - 1], line[i], span > 0.0 ? (at - length[i - 1]) / span : 0.0);
}

}  // namespace

bool overlap(const LabelBox& a, const LabelBox& b) noexcept {
  const auto ca = corners(a);
  const auto cb = corners(b);
  for (const LabelBox* box : {&a, &b}) {
    const Axis u = along(*box);
    if (separated(ca, cb, u) || separated(ca, cb, {-u.y, u.x})) return false;
  }
  return true;
}

bool inside(const LabelBox& box, const DrawFrame& frame) noexcept {
  const auto all = corners(box);
  return std::all_of(all.begin(), all.end(), [&](const DrawPoint& p) {
    return p.x >= frame.left && p.x <= frame.right && p.y >= frame.top && p.y <= frame.bottom;
  });
}

double length_inside(const LabelBox& box, DrawPoint from, DrawPoint to) noexcept {
  const Axis u = along(box);
  const auto local = [&](DrawPoint p) {
    const double dx = p.x - box.centre.x;
    const double dy = p.y - box.centre.y;
    return DrawPoint{dx * u.x + dy * u.y, dy * u.x - dx * u.y};
  };
  const DrawFrame frame{-0.5 * box.width, -0.5 * box.height, 0.5 * box.width, 0.5 * box.height};
  double enter = 0.0;
  double leave = 0.0;
  if (!clip(local(from), local(to), frame, enter, leave)) return 0.0;
  return (leave - enter) * std::hypot(to.x - from.x, to.y - from.y);
}

std::vector<Polyline> clipped(const Polyline& line, const DrawFrame& frame) {
  std::vector<Polyline> out;
  bool open = false;
  for (std::size_t i = 1; i < line.size(); ++i) {
    double enter = 0.0;
    double leave = 0.0;
    if (!clip(line[i - 1], line[i], frame, enter, leave)) {
      open = false;
      continue;
    }
    if (!open || enter > 0.0) out.push_back({between(line[i - 1], line[i], enter)});
    out.back().push_back(between(line[i - 1], line[i], leave));
    open = leave >= 1.0;
  }
  return out;
}

std::size_t LabelPlacer::add_line(Polyline line, double weight) {
  Line out;
  out.weight = weight;
  constexpr double far = std::numeric_limits<double>::infinity();
  out.bounds = {far, far, -far, -far};
  for (const DrawPoint& p : line) {
    out.bounds.left = std::min(out.bounds.left, p.x);
    out.bounds.right = std::max(out.bounds.right, p.x);
    out.bounds.top = std::min(out.bounds.top, p.y);
    out.bounds.bottom = std::max(out.bounds.bottom, p.y);
  }
  out.points = std::move(line);
  lines_.push_back(std::move(out));
  return lines_.size() - 1;
}

std::optional<LabelBox> LabelPlacer::candidate(const Polyline& line,
                                               const std::vector<double>& length, double at,
                                               double width, double height) const {
  const double half = 0.5 * width + clearance;
  if (at - half < 0.0 || at + half > length.back()) return std::nullopt;
  const DrawPoint a = point_at(line, length, at - half);
  const DrawPoint b = point_at(line, length, at + half);
  const DrawPoint on_line = point_at(line, length, at);
  const DrawPoint middle = between(a, b, 0.5);
  if (std::hypot(on_line.x - middle.x, on_line.y - middle.y) > bend_allowed * height) {
    return std::nullopt;
  }
  double angle = std::atan2(b.y - a.y, b.x - a.x) * 180.0 / std::numbers::pi;
  // Steep lines are read upwards, whichever way they lean.
  if (angle > steepest) angle -= 180.0;
  if (angle <= steepest - 180.0) angle += 180.0;
  // Half way between chord and line, so that the text straddles a gentle bend.
  return LabelBox{between(middle, on_line, 0.5), width, height, angle};
}

double LabelPlacer::cost(const LabelBox& box, std::optional<std::size_t> own_line) const {
  const double reach = 0.5 * std::hypot(box.width, box.height);
  double out = 0.0;
  for (std::size_t k = 0; k < lines_.size(); ++k) {
    const Line& line = lines_[k];
    if (k == own_line || box.centre.x + reach < line.bounds.left ||
        box.centre.x - reach > line.bounds.right || box.centre.y + reach < line.bounds.top ||
        box.centre.y - reach > line.bounds.bottom) {
      continue;
    }
    for (std::size_t i = 1; i < line.points.size(); ++i) {
      out += line.weight * length_inside(box, line.points[i - 1], line.points[i]);
    }
  }
  return out;
}

bool LabelPlacer::is_free(const LabelBox& box) const {
  if (!inside(box, frame_)) return false;
  LabelBox wide = box;
  wide.width += 2.0 * clearance;
  wide.height += 2.0 * clearance;
  return std::none_of(taken_.begin(), taken_.end(),
                      [&](const LabelBox& other) { return overlap(wide, other); });
}

std::optional<LabelBox> LabelPlacer::place_at(const std::vector<LabelBox>& places) {
  std::optional<LabelBox> best;
  double lowest = dearest;
  double order = 0.0;
  for (const LabelBox& box : places) {
    order += order_weight;
    if (!is_free(box)) continue;
    const double price = cost(box, std::nullopt) + order;
    if (price < lowest) {
      lowest = price;
      best = box;
    }
  }
  if (best) taken_.push_back(*best);
  return best;
}

std::optional<LabelBox> LabelPlacer::place_along(std::size_t line, double width, double height,
                                                 double preferred) {
  const Polyline& points = lines_[line].points;
  if (points.size() < 2) return std::nullopt;
  const std::vector<double> length = lengths_along(points);
  std::optional<LabelBox> best;
  double lowest = dearest;
  for (int i = 0; i <= candidates; ++i) {
    const double fraction = static_cast<double>(i) / candidates;
    const auto box = candidate(points, length, fraction * length.back(), width, height);
    if (!box || !is_free(*box)) continue;
    const double price = cost(*box, line) + distance_weight * std::fabs(fraction - preferred);
    if (price < lowest) {
      lowest = price;
      best = box;
    }
  }
  if (best) taken_.push_back(*best);
  return best;
}

}  // namespace cw::detail
