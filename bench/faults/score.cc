#include "score.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>

#include "diagnose/cause_book.h"

namespace cw::faults {
namespace {

/// A leak leaves too little refrigerant behind: each name is right for the other's cases.
std::string family(std::string_view kind) {
  return kind == "leak" ? "undercharge" : std::string(kind);
}
std::string kind_of(const std::string& cause) { return cause.substr(0, cause.find('@')); }

bool right(const Scored& s, const std::string& cause) {
  const std::size_t at = cause.find('@');
  return family(cause.substr(0, at)) == family(s.c->kind) && cause.substr(at + 1) == s.c->place;
}

double probability_of_truth(const Scored& s, const Answer& a) {
  if (s.healthy()) return a.healthy;
  double sum = 0.0;
  for (const auto& [cause, p] : a.causes) {
    if (right(s, cause)) sum += p;
  }
  return sum;
}

bool named(const Answer& a, double call_above) {
  return !a.causes.empty() && a.causes.front().second > a.healthy &&
         a.healthy + a.unknown < call_above;
}

/// Place of the truth among the causes, from 1; 0 when it is not there.
std::size_t rank_of_truth(const Scored& s, const Answer& a) {
  for (std::size_t k = 0; k < a.causes.size() && a.causes[k].second > 0.0; ++k) {
    if (right(s, a.causes[k].first)) return k + 1;
  }
  return 0;
}

constexpr double worth_a_call = 0.10;

struct Tally {
  int n = 0, found = 0, first = 0, third = 0;
  void add(const Scored& s, const Calibration& k) {
    const Answer& a = s.answers[k.temperature];
    ++n;
    found += named(a, k.call_above) ? 1 : 0;
    const std::size_t rank = rank_of_truth(s, a);
    first += rank == 1 ? 1 : 0;
    third += rank >= 1 && rank <= 3 ? 1 : 0;
  }
  std::string row(const std::string& name) const {
    const auto share = [&](int k) {
      return n == 0 ? std::string("-") : fmt::format("{:.0f} %", 100.0 * k / n);
    };
    return fmt::format("| {} | {} | {} | {} | {} |\n", name, n, share(found), share(first),
                       share(third));
  }
};

bool counts(const Scored& s) { return s.failed.empty() && !s.answers.empty(); }

class Report {
 public:
  Report(const std::vector<Scored>& all, const Calibration& k, const std::vector<double>& t,
         bool all_systems)
      : all_(all), k_(k), temperatures_(t), all_systems_(all_systems) {}

  std::string run() {
    summary();
    by_fault();
    by_system();
    confusion();
    return std::move(out_);
  }
  std::string run_claim() {
    claim();
    return std::move(out_);
  }

 private:
  const Answer& answer(const Scored& s) const { return s.answers[k_.temperature]; }
  bool tested(const Scored& s) const { return counts(s) && (all_systems_ || !s.training); }
  void summary();
  void by_fault();
  void by_system();
  void confusion();
  void claim();
  template <class... Args>
  void say(fmt::format_string<Args...> text, Args&&... args) {
    out_ += fmt::format(text, std::forward<Args>(args)...);
  }

  const std::vector<Scored>& all_;
  const Calibration& k_;
  const std::vector<double>& temperatures_;
  bool all_systems_;
  std::string out_;
};

void Report::summary() {
  int simulated = 0;
  int not_simulated = 0;
  int unproven = 0;
  double seconds = 0.0;
  std::map<Outcome, int> outcomes;
  Tally all;
  Tally costly;
  Tally costly_capacity;
  int healthy = 0;
  int false_alarms = 0;
  for (const Scored& s : all_) {
    if (!s.failed.empty()) ++not_simulated;
    if (!counts(s)) continue;
    ++simulated;
    seconds += answer(s).seconds;
    if (!answer(s).unproven.empty()) ++unproven;
    if (!tested(s)) continue;
    ++outcomes[outcome_of(s, k_)];
    if (s.healthy()) {
      ++healthy;
      false_alarms += named(answer(s), k_.call_above) ? 1 : 0;
      continue;
    }
    all.add(s, k_);
    if (s.cost() >= worth_a_call) costly.add(s, k_);
    if (s.capacity_lost >= worth_a_call) costly_capacity.add(s, k_);
  }
  say("{} cases simulated, {} could not be; {} left unproven. Diagnosis took {:.2f} s a case "
      "(mean, import and checks included).\n",
      simulated, not_simulated, unproven, seconds / std::max(simulated, 1));
  say("Calibration from the systems that fit it: temperature {}, named below {:.2f}. All figures "
      "below are of {}.\n\n",
      temperatures_[k_.temperature], k_.call_above,
      all_systems_ ? "all systems, those that fitted it among them" : "the other systems");
  say("| outcome | cases |\n|---|---|\n");
  constexpr std::array names = {"correct", "no response", "false alarm", "misdiagnosis",
                                "missed detection"};
  for (std::size_t o = 0; o < names.size(); ++o) {
    say("| {} | {} |\n", names[o], outcomes[static_cast<Outcome>(o)]);
  }
  say("\nFalse alarms on healthy cases: {} of {} ({:.1f} %).\n\n", false_alarms, healthy,
      100.0 * false_alarms / std::max(healthy, 1));
  say("| faults | cases | found | first is right | right among three |\n|---|---|---|---|---|\n");
  out_ += costly_capacity.row("cost 10 % of capacity or more");
  out_ += costly.row("cost 10 % of capacity or efficiency or more");
  out_ += all.row("all");
  out_ += "\n";
}

void Report::by_fault() {
  say("| fault, severity | cases | found | first is right | right among three | cost, median "
      "|\n|---|---|---|---|---|---|\n");
  std::map<std::string, std::pair<Tally, std::vector<double>>> rows;
  for (const Scored& s : all_) {
    if (!tested(s) || s.healthy()) continue;
    auto& row = rows[s.c->kind + ", " + std::to_string(s.c->severity)];
    row.first.add(s, k_);
    row.second.push_back(s.cost());
  }
  for (auto& [name, row] : rows) {
    std::sort(row.second.begin(), row.second.end());
    std::string text = row.first.row(name);
    text.pop_back();
    say("{} {:.0f} % |\n", text, 100.0 * row.second[row.second.size() / 2]);
  }
  out_ += "\n";
}

void Report::by_system() {
  say("| system | cases | found | first is right | right among three |\n|---|---|---|---|---|\n");
  std::map<std::string, Tally> rows;
  for (const Scored& s : all_) {
    if (!tested(s) || s.healthy() || s.cost() < worth_a_call) continue;
    rows[s.base->system].add(s, k_);
    rows[s.base->cooling ? "~ cooling" : "~ heating"].add(s, k_);
    rows[s.base->off ? "~~ machine unlike its sheet" : "~~ machine like its sheet"].add(s, k_);
  }
  for (const auto& [name, tally] : rows) out_ += tally.row(name);
  say("\n(faults that cost 10 % of capacity or efficiency or more)\n\n");
}

/// What was said of what was there; all severities.
void Report::confusion() {
  std::map<std::string, std::map<std::string, int>> table;
  std::set<std::string> said_all;
  for (const Scored& s : all_) {
    if (!tested(s)) continue;
    const Answer& a = answer(s);
    std::string said = "nothing";
    if (!a.unproven.empty()) {
      said = "unproven";
    } else if (named(a, k_.call_above)) {
      said = kind_of(a.causes.front().first);
      // The right cause at the wrong place counts as wrong.
      if (said == s.c->kind && !right(s, a.causes.front().first)) said += " (other place)";
    }
    ++table[s.healthy() ? "healthy" : s.c->kind][said];
  }
  say("| there was | said, number of cases |\n|---|---|\n");
  for (const auto& [truth, row] : table) {
    std::vector<std::pair<int, std::string>> order;
    for (const auto& [said, n] : row) order.emplace_back(-n, said);
    std::sort(order.begin(), order.end());
    std::string text;
    for (const auto& [n, said] : order) {
      text += (text.empty() ? "" : ", ") + said + " " + std::to_string(-n);
    }
    say("| {} | {} |\n", truth, text);
  }
  out_ += "\n";
}

/// "When the five heating questions hold, 99 systems of 100 have no fault worth a call" (common
/// practice, no source). The share depends on how many machines are faulty at all, so the cases are
/// weighted: healthy ones by the prior of data/causes, each fault alike.
void Report::claim() {
  int hold = 0;
  int hold_healthy = 0;
  int healthy = 0;
  int faulty = 0;
  int slipped = 0;
  int costly = 0;
  std::map<std::string, std::pair<int, std::map<std::string, int>>> slips;
  for (const Scored& s : all_) {
    if (!counts(s) || !answer(s).heating) continue;
    const bool holds = answer(s).heating_questions_hold;
    hold += holds ? 1 : 0;
    if (s.healthy()) {
      ++healthy;
      hold_healthy += holds ? 1 : 0;
      continue;
    }
    ++faulty;
    if (s.cost() < worth_a_call) continue;
    ++costly;
    if (!holds) continue;
    ++slipped;
    auto& slip = slips[s.c->kind];
    ++slip.first;
    for (const std::string& check : answer(s).other_findings) ++slip.second[check];
    if (named(answer(s), k_.call_above) && rank_of_truth(s, answer(s)) == 1)
      ++slip.second["~causes"];
  }
  const double prior = 0.45;  // 1 - healthy_prior of data/causes
  const double share_costly = prior * (faulty > 0 ? static_cast<double>(slipped) / faulty : 0.0);
  const double share_hold =
      (1.0 - prior) * hold_healthy / std::max(healthy, 1) +
      prior * (faulty > 0 ? static_cast<double>(hold - hold_healthy) / faulty : 0.0);
  say("Put to the proof: \"when the five heating questions all hold, 99 systems of 100 have no "
      "fault "
      "worth a call\" (common practice, no source). Set points are left out, since these cases "
      "force "
      "their calls. The questions hold in {} of {} healthy heating cases. Of {} faults that cost "
      "10 % "
      "or more they pass {}. With {:.0f} % faulty machines among those that somebody is called to, "
      "{:.0f} of 100 for which the questions hold have no fault worth a call.\n\n",
      hold_healthy, healthy, costly, slipped, 100.0 * prior,
      100.0 * (1.0 - share_costly / std::max(share_hold, 1e-9)));
  say("| slips through | cases | checks that also found something (cases) |\n|---|---|---|\n");
  for (const auto& [kind, slip] : slips) {
    std::string text;
    for (const auto& [check, n] : slip.second) {
      text += (text.empty() ? "" : ", ") +
              (check == "~causes" ? "the causes, named first" : check) + " " + std::to_string(n);
    }
    say("| {} | {} | {} |\n", kind, slip.first, text);
  }
}

/// A probability is meant for machines that somebody is called to, of which as many are healthy and
/// have each fault as data/causes says. The cases hold far more faults, and of each kind as many as
/// there are places and severities: each kind counts as much as its prior.
class Weights {
 public:
  explicit Weights(const std::vector<Scored>& all) {
    for (const Scored& s : all) cases_[s.c->kind] += counted(s) ? 1 : 0;
  }
  /// Of the systems that fitted nothing.
  static bool counted(const Scored& s) { return counts(s) && !s.training; }
  double of(const Scored& s) const {
    const diagnose::CauseBook& book = diagnose::cause_book();
    const double prior = s.healthy() ? book.healthy_prior : book.text_of(s.c->kind).prior;
    return prior / cases_.at(s.c->kind);
  }

 private:
  std::map<std::string, int> cases_;
};

}  // namespace

Outcome outcome_of(const Scored& s, const Calibration& k) {
  const Answer& a = s.answers[k.temperature];
  if (!a.unproven.empty()) return Outcome::no_response;
  const bool said = named(a, k.call_above);
  if (s.healthy()) return said ? Outcome::false_alarm : Outcome::correct;
  if (!said) return s.cost() >= worth_a_call ? Outcome::missed : Outcome::no_response;
  return right(s, a.causes.front().first) ? Outcome::correct : Outcome::misdiagnosis;
}

namespace {

/// Share of the training half's costly faults that stay unnamed, and of its healthy machines that
/// do not.
double lost_at(const std::vector<Scored>& all, const Calibration& k) {
  std::array<double, 2> wrong{};
  std::array<double, 2> judged{};
  for (const Scored& s : all) {
    if (!counts(s) || !s.training || !s.answers[k.temperature].unproven.empty()) continue;
    if (!s.healthy() && s.cost() < worth_a_call) continue;
    const std::size_t which = s.healthy() ? 1 : 0;
    judged[which] += 1.0;
    if (named(s.answers[k.temperature], k.call_above) == s.healthy()) wrong[which] += 1.0;
  }
  return wrong[0] / std::max(judged[0], 1.0) + wrong[1] / std::max(judged[1], 1.0);
}

}  // namespace

Calibration fit(const std::vector<Scored>& all, const std::vector<double>& temperatures) {
  Calibration best;
  double best_score = -1e300;
  for (std::size_t t = 0; t < temperatures.size(); ++t) {
    double score = 0.0;
    for (const Scored& s : all) {
      if (!counts(s) || !s.training || !s.answers[t].unproven.empty()) continue;
      // Healthy and faulty cases count alike in sum, whatever their number.
      const double weight = s.healthy() ? 4.0 : 1.0;
      score += weight * std::log(std::max(probability_of_truth(s, s.answers[t]), 1e-3));
    }
    if (score > best_score) {
      best_score = score;
      best.temperature = t;
    }
  }
  return fit_threshold(all, best);
}

Calibration fit_threshold(const std::vector<Scored>& all, Calibration calibration) {
  double least = 1e300;
  for (const double call_above : {0.05, 0.1, 0.2, 0.3, 0.4, 0.5}) {
    const double lost = lost_at(all, {calibration.temperature, call_above});
    if (lost >= least) continue;
    least = lost;
    calibration.call_above = call_above;
  }
  return calibration;
}

std::string report(const std::vector<Scored>& all, const Calibration& calibration,
                   const std::vector<double>& temperatures, bool all_systems) {
  return Report(all, calibration, temperatures, all_systems).run();
}

std::string claim(const std::vector<Scored>& all, const Calibration& calibration) {
  return Report(all, calibration, {}, true).run_claim();
}

std::string reliability_svg(const std::vector<Scored>& all, const Calibration& k) {
  const Weights weights(all);
  constexpr int bins = 10;
  std::array<double, bins> said{};
  std::array<double, bins> was{};
  std::array<double, bins> weight{};
  std::array<int, bins> n{};
  for (const Scored& s : all) {
    if (!Weights::counted(s) || !s.answers[k.temperature].unproven.empty()) continue;
    const Answer& a = s.answers[k.temperature];
    const auto add = [&](double p, bool truth) {
      const auto b = static_cast<std::size_t>(std::min(p * bins, bins - 1.0));
      said[b] += weights.of(s) * p;
      was[b] += truth ? weights.of(s) : 0.0;
      weight[b] += weights.of(s);
      ++n[b];
    };
    add(a.healthy, s.healthy());
    for (const auto& [cause, p] : a.causes) {
      if (p >= 0.02) add(p, right(s, cause));
    }
  }
  std::string out =
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 460 430\" "
      "font-family=\"sans-serif\" "
      "font-size=\"12\">\n<rect width=\"460\" height=\"430\" fill=\"white\"/>\n"
      "<line x1=\"60\" y1=\"370\" x2=\"420\" y2=\"10\" stroke=\"#888\" stroke-dasharray=\"4 "
      "4\"/>\n";
  for (int tick = 0; tick <= 10; tick += 2) {
    const int x = 60 + 36 * tick;
    const int y = 370 - 36 * tick;
    out += fmt::format(
        "<line x1=\"{0}\" y1=\"10\" x2=\"{0}\" y2=\"370\" stroke=\"#e4e4e4\"/><line x1=\"60\" "
        "y1=\"{1}\" x2=\"420\" y2=\"{1}\" stroke=\"#e4e4e4\"/><text x=\"{0}\" y=\"388\" "
        "text-anchor=\"middle\">{2} %</text><text x=\"52\" y=\"{3}\" text-anchor=\"end\">{2} "
        "%</text>\n",
        x, y, 10 * tick, y + 4);
  }
  std::string path;
  for (std::size_t b = 0; b < bins; ++b) {
    if (n[b] == 0) continue;
    const double x = 60 + 360 * said[b] / weight[b];
    const double y = 370 - 360 * was[b] / weight[b];
    path += fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : " L", x, y);
    out += fmt::format(
        "<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"4\" fill=\"#1f4e79\"/><text x=\"{:.1f}\" "
        "y=\"{:.1f}\" font-size=\"10\" fill=\"#444\">{}</text>\n",
        x, y, x + 7, y + 11, n[b]);
  }
  out += "<path d=\"" + path + "\" fill=\"none\" stroke=\"#1f4e79\" stroke-width=\"1.5\"/>\n";
  out +=
      "<text x=\"240\" y=\"415\" text-anchor=\"middle\">probability that was said</text>\n<text "
      "x=\"16\" y=\"190\" text-anchor=\"middle\" transform=\"rotate(-90 16 190)\">share that was "
      "right</text>\n</svg>\n";
  return out;
}

}  // namespace cw::faults
