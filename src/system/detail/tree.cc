#include <algorithm>
#include <array>
#include <map>
#include <numeric>

#include "base/text.h"
#include "system/detail/pipe_draft.h"

namespace cw::detail {
namespace {

NodeKind kind_of(std::string_view id) {
  if (id.starts_with("outdoor.")) return NodeKind::outdoor;
  if (id.starts_with("branch.")) return NodeKind::branch;
  if (id.starts_with("indoor.")) return NodeKind::indoor;
  return NodeKind::joint;
}

/// Joins sets of nodes, to see loops and loose ends.
class Groups {
 public:
  explicit Groups(std::size_t size) : parent_(size) {
    std::iota(parent_.begin(), parent_.end(), std::size_t{0});
  }
  std::size_t root(std::size_t i) {
    while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
    return i;
  }
  /// False where both were joined before.
  bool join(std::size_t a, std::size_t b) {
    a = root(a);
    b = root(b);
    parent_[a] = b;
    return a != b;
  }

 private:
  std::vector<std::size_t> parent_;
};

class TreeBuilder {
 public:
  TreeBuilder(const std::vector<PipeDraft>& drafts, SystemParts& parts, Notes& notes)
      : drafts_(drafts), parts_(parts), notes_(notes) {}

  bool build() {
    add_units();
    add_pipes();
    check_ends();
    check_one_piece();
    if (failed_) return false;
    sort_nodes();
    if (!find_root()) return false;
    check_third_lines();
    measure();
    return !failed_;
  }

 private:
  void fail(int line, std::string message, std::string fix,
            ErrorCode code = ErrorCode::inconsistent) {
    notes_.fail_at_line(line, code, std::move(message), std::move(fix));
    failed_ = true;
  }

  int line_of(const std::string& place) const {
    const auto found = notes_.line_of_place.find(place);
    return found == notes_.line_of_place.end() ? 1 : found->second;
  }

  std::size_t add_node(const std::string& id, std::size_t unit) {
    const auto [at, is_new] = index_.try_emplace(id, parts_.nodes.size());
    if (is_new) parts_.nodes.push_back({id, kind_of(id), unit, {}, {}, 0.0});
    return at->second;
  }

  void add_units() {
    for (std::size_t i = 0; i < parts_.outdoor.size(); ++i) add_node(parts_.outdoor[i].id, i);
    for (std::size_t i = 0; i < parts_.branches.size(); ++i) add_node(parts_.branches[i].id, i);
    for (std::size_t i = 0; i < parts_.indoor.size(); ++i) add_node(parts_.indoor[i].id, i);
    for (const auto& [id, at] : index_) unit_ids_.push_back(id);
  }

  /// The node of a pipe's end; joints come into being by being named.
  std::optional<std::size_t> end_of(const PipeDraft& pipe, const std::string& id) {
    if (kind_of(id) == NodeKind::joint) return add_node(id, 0);
    const auto found = index_.find(id);
    if (found != index_.end()) return found->second;
    const std::string near = nearest_word(id, unit_ids_);
    fail(pipe.line, pipe.id + ": there is no " + id + " in this sheet",
         near.empty() ? "Add its table, or correct the pipe's end"
                      : "Did you mean \"" + near + "\"?",
         ErrorCode::not_found);
    return std::nullopt;
  }

  bool has_direction(const PipeDraft& pipe) {
    if (pipe.from == pipe.to) {
      fail(pipe.line, pipe.id + " starts and ends at " + pipe.from, "Correct from or to");
      return false;
    }
    if (kind_of(pipe.from) == NodeKind::indoor || kind_of(pipe.to) == NodeKind::outdoor) {
      fail(pipe.line, pipe.id + " leads from " + pipe.from + " to " + pipe.to,
           "Pipes lead from outdoor to indoor: swap from and to, and the sign of rise");
      return false;
    }
    return true;
  }

  void add_pipes() {
    Groups groups(parts_.outdoor.size() + parts_.branches.size() + parts_.indoor.size() +
                  2 * drafts_.size());
    for (const PipeDraft& pipe : drafts_) {
      const auto from = end_of(pipe, pipe.from);
      const auto to = end_of(pipe, pipe.to);
      if (!from || !to || !has_direction(pipe)) continue;
      if (!groups.join(*from, *to)) {
        fail(pipe.line, pipe.id + " from " + pipe.from + " to " + pipe.to + " closes a loop",
             "Its ends are joined already: remove the pipe or correct an end");
        continue;
      }
      const std::size_t segment = parts_.segments.size();
      Segment out;
      out.id = pipe.id;
      out.from = *from;
      out.to = *to;
      out.length_m = pipe.length_m;
      out.rise_m = pipe.rise_m;
      out.liquid = pipe.liquid;
      out.gas = pipe.gas;
      out.third = pipe.third;
      out.fittings = pipe.fittings;
      out.line = pipe.from_piping ? 0 : pipe.line;
      parts_.segments.push_back(std::move(out));
      parts_.nodes[*from].downstream.push_back(segment);
      parts_.nodes[*to].upstream.push_back(segment);
    }
    for (std::size_t i = 0; i < parts_.nodes.size(); ++i) group_of_.push_back(groups.root(i));
  }

  int line_at(const std::vector<std::size_t>& segments) const {
    return segments.empty() ? 1 : parts_.segments[segments.back()].line;
  }

  void check_end(const Node& node) {
    const std::size_t in = node.upstream.size();
    const std::size_t out = node.downstream.size();
    switch (node.kind) {
      case NodeKind::outdoor:
        if (out == 0) {
          fail(line_of(node.id), "no pipe starts at " + node.id,
               "Add [[pipe]] with from = \"" + node.id + "\"");
        } else if (out > 1 && parts_.outdoor.size() > 1) {
          fail(line_at(node.downstream), "a second pipe starts at " + node.id,
               "Lead one pipe from each module to a joint of the modules, and branch after it");
        }
        break;
      case NodeKind::branch:
      case NodeKind::indoor:
        if (in == 0) {
          fail(line_of(node.id), "no pipe reaches " + node.id,
               "Add [[pipe]] with to = \"" + node.id + "\"");
        } else if (in > 1) {
          fail(line_at(node.upstream), "a second pipe reaches " + node.id,
               "One pipe leads to each unit: remove one, or give it another end");
        }
        if (node.kind == NodeKind::branch && out == 0) {
          fail(line_of(node.id), "no pipe leaves " + node.id,
               "Add [[pipe]] with from = \"" + node.id + "\"");
        }
        break;
      case NodeKind::joint:
        if (in == 0) {
          fail(line_at(node.downstream), "no pipe leads to " + node.id,
               "Add [[pipe]] with to = \"" + node.id + "\", or correct the name");
        } else if (out == 0) {
          fail(line_at(node.upstream), node.id + " leads nowhere",
               "Add [[pipe]] with from = \"" + node.id + "\", or correct the name");
        }
        break;
    }
  }

  void check_ends() {
    for (const Node& node : parts_.nodes) check_end(node);
  }

  void check_one_piece() {
    if (failed_) return;  // loose ends are named already
    std::vector<std::string> apart;
    constexpr std::size_t named = 6;
    int line = 1;
    for (std::size_t i = 0; i < parts_.nodes.size(); ++i) {
      if (group_of_[i] == group_of_[0]) continue;
      if (apart.empty()) line = line_of(parts_.nodes[i].id);
      if (apart.size() < named) apart.push_back(parts_.nodes[i].id);
    }
    if (apart.empty()) return;
    fail(line,
         "the pipes fall apart: nothing joins " + list_of(apart) + " to " + parts_.nodes[0].id,
         "Add the pipe that joins them, or write a sheet of their own");
  }

  /// Outdoor side first, so that one pass along the nodes follows the pipes.
  void sort_nodes() {
    std::vector<std::size_t> order;
    std::vector<std::size_t> open(parts_.nodes.size());
    for (std::size_t i = 0; i < parts_.nodes.size(); ++i) {
      open[i] = parts_.nodes[i].upstream.size();
      if (open[i] == 0) order.push_back(i);
    }
    for (std::size_t k = 0; k < order.size(); ++k) {
      for (const std::size_t s : parts_.nodes[order[k]].downstream) {
        if (--open[parts_.segments[s].to] == 0) order.push_back(parts_.segments[s].to);
      }
    }
    CW_REQUIRE(order.size() == parts_.nodes.size());  // a tree has no cycle
    std::vector<std::size_t> place(order.size());
    std::vector<Node> nodes;
    for (std::size_t k = 0; k < order.size(); ++k) {
      place[order[k]] = k;
      nodes.push_back(std::move(parts_.nodes[order[k]]));
    }
    parts_.nodes = std::move(nodes);
    for (Segment& segment : parts_.segments) {
      segment.from = place[segment.from];
      segment.to = place[segment.to];
    }
  }

  /// The node where all modules have joined. Before it there are joints only, each with one way on.
  bool find_root() {
    std::vector<std::size_t> modules(parts_.nodes.size(), 0);
    for (std::size_t i = 0; i < parts_.nodes.size(); ++i) {
      const Node& node = parts_.nodes[i];
      if (node.kind == NodeKind::outdoor) modules[i] = 1;
      for (const std::size_t s : node.upstream) modules[i] += modules[parts_.segments[s].from];
      if (modules[i] == parts_.outdoor.size()) {
        parts_.root = i;
        break;
      }
    }
    for (std::size_t i = 0; i < parts_.nodes.size(); ++i) {
      const Node& node = parts_.nodes[i];
      if (modules[i] == 0 || modules[i] == parts_.outdoor.size()) continue;
      if (node.kind == NodeKind::branch || node.downstream.size() != 1) {
        fail(line_at(node.downstream), node.id + " branches before all outdoor modules have joined",
             "Join the modules first, then branch to the indoor units");
        return false;
      }
    }
    return true;
  }

  void check_third_lines() {
    const std::vector<bool> before_branch = leads_to_branch(parts_);
    std::vector<bool> behind_branch(parts_.nodes.size(), false);
    for (std::size_t i = 0; i < parts_.nodes.size(); ++i) {
      const Node& node = parts_.nodes[i];
      behind_branch[i] = node.kind == NodeKind::branch;
      for (const std::size_t s : node.upstream) {
        if (behind_branch[parts_.segments[s].from]) behind_branch[i] = true;
      }
      if (node.kind == NodeKind::indoor && !parts_.branches.empty() && !behind_branch[i]) {
        notes_.warn_at(notes_.where(node.id), node.id + " does not stand behind a branch box",
                       "It cannot choose between heating and cooling; leave it if that is meant");
      }
    }
    for (const Segment& segment : parts_.segments) {
      if (segment.third == nullptr || before_branch[segment.to]) continue;
      fail(segment.line, segment.id + " has a third line, but leads to no branch box",
           parts_.branches.empty() ? "Remove third, or add [[branch]] for heat recovery"
                                   : "Remove third: two lines leave a branch box for its units");
    }
  }

  /// The rated cooling that each pipe serves.
  void measure() {
    std::vector<double> behind(parts_.nodes.size(), 0.0);
    std::vector<double> modules(parts_.nodes.size(), 0.0);
    for (std::size_t i = parts_.nodes.size(); i-- > 0;) {
      const Node& node = parts_.nodes[i];
      if (node.kind == NodeKind::indoor) behind[i] = parts_.indoor[node.unit].cooling_W;
      for (const std::size_t s : node.downstream) {
        behind[i] += behind[parts_.segments[s].to];
        parts_.segments[s].cooling_behind_W = behind[parts_.segments[s].to];
      }
    }
    for (std::size_t i = 0; i < parts_.root; ++i) {
      const Node& node = parts_.nodes[i];
      if (node.kind == NodeKind::outdoor) modules[i] = parts_.outdoor[node.unit].cooling_W;
      for (const std::size_t s : node.upstream) modules[i] += modules[parts_.segments[s].from];
      for (const std::size_t s : node.downstream) {
        parts_.segments[s].cooling_behind_W = modules[i];
      }
    }
    carry_heights();
  }

  void carry_heights() {
    std::vector<bool> known(parts_.nodes.size(), false);
    const auto first = static_cast<std::size_t>(
        std::find_if(parts_.nodes.begin(), parts_.nodes.end(),
                     [&](const Node& n) { return n.id == parts_.outdoor.front().id; }) -
        parts_.nodes.begin());
    std::vector<std::size_t> open = {first};
    known[first] = true;
    while (!open.empty()) {
      const std::size_t i = open.back();
      open.pop_back();
      const auto carry = [&](std::size_t to, double rise) {
        if (known[to]) return;
        known[to] = true;
        parts_.nodes[to].height_m = parts_.nodes[i].height_m + rise;
        open.push_back(to);
      };
      for (const std::size_t s : parts_.nodes[i].downstream) {
        carry(parts_.segments[s].to, parts_.segments[s].rise_m);
      }
      for (const std::size_t s : parts_.nodes[i].upstream) {
        carry(parts_.segments[s].from, -parts_.segments[s].rise_m);
      }
    }
  }

  const std::vector<PipeDraft>& drafts_;
  SystemParts& parts_;
  Notes& notes_;
  std::map<std::string, std::size_t, std::less<>> index_;
  std::vector<std::string> unit_ids_;
  std::vector<std::size_t> group_of_;
  bool failed_ = false;
};

}  // namespace

std::vector<bool> leads_to_branch(const SystemParts& parts) {
  std::vector<bool> out(parts.nodes.size(), false);
  for (std::size_t i = parts.nodes.size(); i-- > 0;) {
    const Node& node = parts.nodes[i];
    out[i] = node.kind == NodeKind::branch;
    for (const std::size_t s : node.downstream) {
      if (out[parts.segments[s].to]) out[i] = true;
    }
  }
  return out;
}

bool build_tree(const std::vector<PipeDraft>& drafts, SystemParts& parts, Notes& notes) {
  return TreeBuilder(drafts, parts, notes).build();
}

}  // namespace cw::detail
