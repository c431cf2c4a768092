#include "report/detail/sheet_report_layout.h"

#include <algorithm>
#include <cmath>

namespace cw::detail {
namespace {

constexpr double margin = 30.0;
constexpr double top = 108.0;
constexpr double foot = 62.0;
constexpr double a4_height = 794.0;
constexpr double unit_width = 222.0;
constexpr double module_width = 158.0;
constexpr double box_width = 16.0;
constexpr double label_room = 132.0;

/// Rows and columns of one side of the tree, seen from the root.
class Side {
 public:
  enum class Way { down, up };

  Side(const System& system, Way way) : system_(system), way_(way) {
    const std::size_t n = system.nodes().size();
    row.assign(n, -1.0);
    last_row.assign(n, 0.0);
    column.assign(n, 0);
    count_leaves();
    place(system.root(), 0);
  }

  std::vector<double> row;       ///< by node; -1 on the other side
  std::vector<double> last_row;  ///< of branch boxes: the row of their last pipe
  std::vector<int> column;
  double rows = 0.0;
  int columns = 0;

 private:
  std::vector<std::size_t> children(std::size_t node) const {
    std::vector<std::size_t> out;
    const Node& at = system_.nodes()[node];
    if (way_ == Way::down) {
      for (const std::size_t s : at.downstream) out.push_back(system_.segments()[s].to);
    } else {
      for (const std::size_t s : at.upstream) out.push_back(system_.segments()[s].from);
    }
    return out;
  }

  void count_leaves() {
    // Nodes stand in the order of the pipes: children are counted before their parents.
    const std::size_t n = system_.nodes().size();
    leaves_.assign(n, 0);
    for (std::size_t k = 0; k < n; ++k) {
      const std::size_t i = way_ == Way::down ? n - 1 - k : k;
      const std::vector<std::size_t> below = children(i);
      if (below.empty()) leaves_[i] = 1;
      for (const std::size_t child : below) leaves_[i] += leaves_[child];
    }
  }

  double rise_to(std::size_t node) const {
    const Node& at = system_.nodes()[node];
    const std::vector<std::size_t>& pipes = way_ == Way::down ? at.upstream : at.downstream;
    return pipes.empty() ? 0.0 : std::abs(system_.segments()[pipes.front()].rise_m);
  }

  /// Is `a` the trunk rather than `b`? The one with more units behind it, of equals the riser, else
  /// the later one in the sheet.
  bool goes_on(std::size_t a, std::size_t b) const {
    if (leaves_[a] != leaves_[b]) return leaves_[a] > leaves_[b];
    return leaves_[a] == 1 || rise_to(a) >= rise_to(b);
  }

  /// Takes rows for `node` and all behind it; goes down its trunk in a loop, into branches by
  /// recursion (each has at most half of the leaves, or stands behind one more branch box).
  void place(std::size_t node, int at) {
    for (;;) {
      row[node] = rows;
      column[node] = at;
      columns = std::max(columns, at + 1);
      std::vector<std::size_t> below = children(node);
      if (below.empty()) {
        rows += 1.0;
        return;
      }
      if (system_.nodes()[node].kind == NodeKind::branch) {
        for (const std::size_t child : below) {
          last_row[node] = rows;
          place(child, at + 1);
        }
        return;
      }
      auto heavy = below.begin();
      for (auto each = below.begin(); each != below.end(); ++each) {
        if (goes_on(*each, *heavy)) heavy = each;
      }
      const std::size_t trunk = *heavy;
      below.erase(heavy);
      for (const std::size_t child : below) place(child, at + 1);
      const bool joint = system_.nodes()[trunk].kind == NodeKind::joint;
      if (!joint) {
        place(trunk, at + 1);
        return;
      }
      if (below.empty() && node != system_.root()) rows += 1.0;
      // The main line of a root without branches goes sideways, not down.
      if (below.empty() && node == system_.root()) ++at;
      node = trunk;
    }
  }

  const System& system_;
  Way way_;
  std::vector<std::size_t> leaves_;
};

/// Turns rows and columns into places in the picture.
class Placer {
 public:
  explicit Placer(const System& system)
      : system_(system), down_(system, Side::Way::down), up_(system, Side::Way::up) {
    out_.spots.resize(system.nodes().size());
    const double room = a4_height - top - foot;
    pitch_ = std::clamp(room / std::max(down_.rows, 1.0), 17.5, 46.0);
    module_pitch_ = std::clamp(room / std::max(up_.rows, 1.0), 44.0, 74.0);
    out_.label_size = std::clamp(0.46 * pitch_, 8.4, 10.5);
    out_.text_size = std::clamp(0.5 * pitch_, 8.8, 10.5);
    const double needed = std::max(down_.rows * pitch_, up_.rows * module_pitch_);
    out_.height = std::max(a4_height, top + needed + foot);
    columns();
  }

  TreeLayout take() {
    for (std::size_t i = 0; i < out_.spots.size(); ++i) place(i);
    for (std::size_t i = 0; i < system_.segments().size(); ++i) run(i);
    return std::move(out_);
  }

 private:
  bool before_root(std::size_t i) const { return i < system_.root(); }

  void columns() {
    const double unit_x = picture_width - margin - unit_width;
    const bool module_is_root = system_.nodes()[system_.root()].kind == NodeKind::outdoor;
    root_x_ = module_is_root ? margin + module_width : margin + module_width + label_room;
    up_step_ = 60.0;
    root_x_ += up_step_ * std::max(0, up_.columns - 2);
    const double free = unit_x - label_room - root_x_;
    const int steps = std::max(1, down_.columns - 1);
    step_ = std::min(free / steps, 205.0);
  }

  double x_of(std::size_t i) const {
    if (before_root(i)) return root_x_ - up_step_ * up_.column[i];
    return root_x_ + step_ * down_.column[i];
  }

  double y_down(double row) const { return top + 0.5 * 40.0 + row * pitch_; }

  void place(std::size_t i) {
    const Node& node = system_.nodes()[i];
    Spot& spot = out_.spots[i];
    spot.x = x_of(i);
    spot.y = before_root(i) ? y_down(0.0) + up_.row[i] * module_pitch_ : y_down(down_.row[i]);
    if (node.kind == NodeKind::outdoor) {
      spot.x = margin;
      spot.width = module_width;
      spot.up = spot.down = 17.0;
    } else if (node.kind == NodeKind::indoor) {
      spot.x = picture_width - margin - unit_width;
      spot.width = unit_width;
      spot.up = spot.down = 0.5 * std::min(pitch_ - 3.5, 32.0);
    } else if (node.kind == NodeKind::branch) {
      spot.width = box_width;
      spot.up = 0.32 * pitch_;
      spot.down = 0.32 * pitch_ + (down_.last_row[i] - down_.row[i]) * pitch_;
    }
  }

  /// From the outdoor modules to the right: the vertical piece stands at the joint's x.
  void run(std::size_t s) {
    const Segment& segment = system_.segments()[s];
    const Spot& from = out_.spots[segment.from];
    const Spot& to = out_.spots[segment.to];
    Run run;
    if (before_root(segment.from)) {
      // Mirrored: drawn from the joint back to the module.
      run = {to.x, to.y, from.x + from.width, from.y, 0.0, 0.0, false};
      run.label_x = run.x2 + 6.0;
      run.label_y = run.y2 - 4.0;
      if (run.x1 == run.x2) run.label_y = 0.5 * (run.y1 + run.y2) + 3.0;
      out_.runs.push_back(run);
      return;
    }
    const bool from_box = system_.nodes()[segment.from].kind == NodeKind::branch;
    run = {from.x + from.width, from.y, to.x, to.y, to.x - 6.0, to.y - 4.0, true};
    if (from_box) run.y1 = to.y;
    if (run.x1 == run.x2) run.label_y = 0.5 * (run.y1 + run.y2) + 3.0;
    out_.runs.push_back(run);
  }

  const System& system_;
  Side down_;
  Side up_;
  TreeLayout out_;
  double pitch_ = 0.0;
  double module_pitch_ = 0.0;
  double root_x_ = 0.0;
  double step_ = 0.0;
  double up_step_ = 0.0;
};

}  // namespace

TreeLayout lay_out(const System& system) { return Placer(system).take(); }

}  // namespace cw::detail
