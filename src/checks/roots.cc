#include "checks/roots.h"

#include <algorithm>
#include <optional>
#include <set>

#include "base/contract.h"
#include "base/toml_file.h"
#include "embedded/roots.h"

namespace cw {
namespace {

enum class Across : std::uint8_t { same, machine, any };

struct Rule {
  std::string effect, from, because;
  std::optional<Direction> effect_side, from_side;
  Across across = Across::same;
};

std::optional<Direction> side_named(std::string_view text) {
  CW_REQUIRE(text.empty() || text == "below" || text == "above");
  if (text.empty()) return std::nullopt;
  return text == "below" ? Direction::below : Direction::above;
}

Across across_named(std::string_view text) {
  CW_REQUIRE(text == "same" || text == "machine" || text == "any");
  return text == "same" ? Across::same : text == "machine" ? Across::machine : Across::any;
}

std::vector<Rule> read_rules() {
  const EmbeddedFile& file = embedded::roots().front();
  const Result<toml::table> table = parse_toml(file.text, file.name);
  CW_REQUIRE(table.has_value());
  const toml::array* rows = (*table)["follows"].as_array();
  CW_REQUIRE(rows != nullptr);
  std::vector<Rule> out;
  for (const toml::node& node : *rows) {
    const toml::table& row = *node.as_table();
    const auto text = [&](std::string_view key) { return row[key].value_or(std::string{}); };
    Rule rule{text("effect"),
              text("from"),
              text("because"),
              side_named(text("effect_side")),
              side_named(text("from_side")),
              across_named(row["across"].value_or("same"))};
    CW_REQUIRE(find_check(rule.effect) != nullptr && find_check(rule.from) != nullptr);
    CW_REQUIRE(!rule.because.empty());
    out.push_back(std::move(rule));
  }
  return out;
}

const std::vector<Rule>& rules() {
  static const std::vector<Rule> out = read_rules();
  return out;
}

bool is_trouble(const Finding& finding) { return finding.verdict >= Verdict::watch; }

/// On which side of its limit a finding lies; nothing where its evidence names no limit or several
/// sides.
std::optional<Direction> side_of(const Finding& finding) {
  std::optional<Direction> out;
  for (const Evidence& e : finding.evidence) {
    // Comparisons with nan are false: a window without a limit has no side.
    const bool above = e.window.value > e.window.limit;
    if (!above && !(e.window.value < e.window.limit)) continue;
    const Direction side = above ? Direction::above : Direction::below;
    if (out && *out != side) return std::nullopt;
    out = side;
  }
  return out;
}

/// A root is not younger than what follows from it.
bool in_time(const Finding& root, const Finding& effect) {
  if (root.evidence.empty() || effect.evidence.empty()) return true;
  Instant begins = root.evidence.front().window.start;
  Instant ends = effect.evidence.front().window.end;
  for (const Evidence& e : root.evidence) begins = std::min(begins, e.window.start);
  for (const Evidence& e : effect.evidence) ends = std::max(ends, e.window.end);
  return begins < ends || begins == ends;
}

class RootFinder {
 public:
  explicit RootFinder(std::vector<Finding>& findings) : findings_(findings) {}

  void run() {
    direct_.assign(findings_.size(), none);
    because_.resize(findings_.size());
    for (std::size_t k = 0; k < findings_.size(); ++k) {
      findings_[k].root.reset();
      findings_[k].root_because.clear();
      if (is_trouble(findings_[k])) look_for(k);
    }
    for (std::size_t k = 0; k < findings_.size(); ++k) {
      if (direct_[k] == none) continue;
      const std::size_t root = end_of_chain(k);
      if (root == k) continue;
      findings_[k].root = root;
      findings_[k].root_because = because_[k];
    }
  }

 private:
  static constexpr std::size_t none = static_cast<std::size_t>(-1);

  void look_for(std::size_t effect) {
    for (const Rule& rule : rules()) {
      if (rule.effect != findings_[effect].check || !side_fits(rule.effect_side, effect)) continue;
      for (std::size_t k = 0; k < findings_.size(); ++k) {
        if (k == effect || !fits(rule, k, effect)) continue;
        direct_[effect] = k;
        because_[effect] = rule.because;
        return;
      }
    }
  }

  bool side_fits(const std::optional<Direction>& wanted, std::size_t k) const {
    return !wanted || side_of(findings_[k]) == wanted;
  }

  bool fits(const Rule& rule, std::size_t root, std::size_t effect) const {
    const Finding& r = findings_[root];
    const Finding& e = findings_[effect];
    if (r.check != rule.from || !is_trouble(r) || !side_fits(rule.from_side, root)) return false;
    if (!in_time(r, e)) return false;
    switch (rule.across) {
      case Across::same:
        return r.place == e.place || r.place.kind == PlaceKind::system;
      case Across::machine:
        return shown_by_most(rule.effect);
      case Across::any:
        return true;
    }
    return false;
  }

  /// What comes from the machine shows at most of its units.
  bool shown_by_most(std::string_view check) const {
    std::size_t judged = 0;
    std::size_t shown = 0;
    for (const Finding& finding : findings_) {
      if (finding.check != check || finding.verdict == Verdict::unproven) continue;
      ++judged;
      if (is_trouble(finding)) ++shown;
    }
    return 2 * shown >= judged && shown > 0;
  }

  /// Along the chain to what follows from nothing; a ring ends where it began.
  std::size_t end_of_chain(std::size_t k) const {
    std::set<std::size_t> passed;
    while (direct_[k] != none && passed.insert(k).second) k = direct_[k];
    return k;
  }

  std::vector<Finding>& findings_;
  std::vector<std::size_t> direct_;
  std::vector<std::string> because_;
};

}  // namespace

void find_roots(std::vector<Finding>& findings) { RootFinder(findings).run(); }

std::vector<Trouble> troubles_of(const std::vector<Finding>& findings) {
  std::vector<Trouble> out;
  std::vector<std::size_t> index(findings.size(), 0);
  for (std::size_t k = 0; k < findings.size(); ++k) {
    if (!is_trouble(findings[k]) || findings[k].root) continue;
    index[k] = out.size();
    out.push_back({&findings[k], {}, findings[k].verdict});
  }
  for (const Verdict verdict : {Verdict::fault, Verdict::watch}) {
    for (const Finding& finding : findings) {
      if (finding.verdict != verdict || !finding.root) continue;
      Trouble& trouble = out[index[*finding.root]];
      trouble.followers.push_back(&finding);
      trouble.verdict = std::max(trouble.verdict, verdict);
    }
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const Trouble& a, const Trouble& b) { return a.verdict > b.verdict; });
  return out;
}

}  // namespace cw
