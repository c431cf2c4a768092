#include "diagnose/detail/assemble.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>

#include "diagnose/detail/matrix.h"

namespace cw::diagnose::detail {
namespace {

/// Colder than this, frost grows on a working coil [K].
constexpr double frost_below_K = 279.15;
/// Of what twin and machine differ by, this share of the sigma goes with the conditions: moments
/// that are alike in them share it, others have each their own. Own estimate.
constexpr double conditions_share = 0.5;
/// Conditions that lie so far apart share six tenths of it: outdoor air and rooms [K], share of the
/// units that call. Own estimates.
constexpr double outdoor_scale_K = 3.0;
constexpr double room_scale_K = 3.0;
constexpr double calls_scale = 0.3;
/// And this share comes anew with each stretch, the less the longer than `unsteady_s` it is: what
/// has not settled, and what the control does just then. Own estimates.
constexpr double moment_share = 0.35;
constexpr double unsteady_s = 400.0;
/// Of a sensor's bias, what it drifts by between two recordings. Own estimate.
constexpr double drift_share = 0.25;
/// Frost can stay only where no defrost came for longer than this [s]; common practice, no source.
constexpr double frost_stays_s = 5400.0;
/// What still moves goes on, or came, as it does now for so long [s], one sigma: pressures settle
/// and frost grows within some 15 to 20 min. Own estimate.
constexpr double settling_s = 900.0;

/// Each side of an error is half of its variance.
constexpr double half_side = 0.70710678;

std::size_t trait_number(const Trait& trait) {
  return static_cast<std::size_t>(&trait - all_traits().data());
}

double calling_share(const Moment& m) {
  return static_cast<double>(calling_units(m)) / static_cast<double>(m.orders.units.size());
}

/// How alike two moments' conditions are, 0 to 1.
double alike(const Moment& a, const Moment& b) {
  if (a.kind != b.kind) return 0.0;
  const double outdoor = (a.weather.temperature_K - b.weather.temperature_K) / outdoor_scale_K;
  const double room = (a.room_K - b.room_K) / room_scale_K;
  const double calls = (calling_share(a) - calling_share(b)) / calls_scale;
  return std::exp(-0.5 * (outdoor * outdoor + room * room + calls * calls));
}

/// Of what twin and machine differ by, the share that a stretch has to itself.
double own_share(const Moment& m) {
  const double length_s = std::max(seconds_between(m.start, m.end), unsteady_s);
  return moment_share * std::sqrt(unsteady_s / length_s);
}

class Assembler {
 public:
  Assembler(const Judgement& judgement, const std::vector<Feature>& features,
            const std::vector<Moment>& moments, const TwinSide& side, const CauseBook& book,
            const AssembleOptions& options)
      : judgement_(judgement),
        features_(features),
        moments_(moments),
        side_(side),
        book_(book),
        options_(options) {}

  Problem run() {
    settle_conditions();
    choose_rows();
    spread();
    add_drift();
    add_charge();
    add_frost();
    for (std::size_t c = 0; c < side_.causes.size(); ++c) add_hypothesis(side_.causes[c]);
    learn_from_sound();
    settle_sigmas();
    return std::move(out_);
  }

 private:
  const Moment& moment(std::size_t m) const { return moments_[side_.moments[m]]; }
  const Trait& trait(const Row& row) const { return *features_[row.feature].trait; }
  double wide(double sigma) const { return options_.widen * sigma; }
  void settle_conditions();
  void choose_rows();
  void spread();
  void add_drift();
  void add_charge();
  void add_frost();
  double longest_without_defrost() const;
  bool frost_can_grow() const;
  void add_hypothesis(const Calculated& cause);
  std::vector<double> at_rows(const std::vector<double>& change) const;
  std::vector<Knot> growing(const Calculated& cause, const std::vector<Knot>& knots) const;
  std::vector<Knot> by_table(const Calculated& cause) const;
  void add_signs(const Calculated& cause, Hypothesis& hypothesis);
  void learn_from_sound();
  void settle_sigmas();

  const Judgement& judgement_;
  const std::vector<Feature>& features_;
  const std::vector<Moment>& moments_;
  const TwinSide& side_;
  const CauseBook& book_;
  const AssembleOptions& options_;
  std::optional<Cholesky> conditions_;  ///< always there after settle_conditions
  Problem out_;
};

void Assembler::choose_rows() {
  for (std::size_t m = 0; m < side_.moments.size(); ++m) {
    for (std::size_t f = 0; f < features_.size(); ++f) {
      const double seen = moment(m).seen[f];
      const double healthy = side_.healthy[m][f];
      if (!std::isfinite(seen) || !std::isfinite(healthy)) continue;
      const Trait& t = *features_[f].trait;
      if (!options_.orders_count && (t.relative || !t.measured)) continue;
      out_.rows.push_back({m, f, seen, healthy, 0.0});
      out_.residuals.value.push_back(seen - healthy);
      const bool cooling = moment(m).kind == PhaseKind::cooling;
      out_.residuals.group.push_back(2 * trait_number(t) + (cooling ? 1 : 0));
      const double own = wide(own_share(moment(m)) * t.own);
      const double noise = moment(m).noise[f];
      out_.residuals.variance.push_back(own * own + noise * noise + 1e-6);
    }
  }
}

/// The root of how alike the moments are: with independent numbers for each of its columns, errors
/// of two moments go together as far as their conditions are alike.
void Assembler::settle_conditions() {
  constexpr double for_rounding = 1e-6;
  const std::size_t m = side_.moments.size();
  std::vector<double> all(m * m);
  for (std::size_t a = 0; a < m; ++a) {
    for (std::size_t b = 0; b <= a; ++b) all[a * m + b] = alike(moment(a), moment(b));
    all[a * m + a] += for_rounding;
  }
  conditions_ = Cholesky::of(std::move(all), m);
}

/// Errors that several readings share: those of a sensor at all moments, of the twin's way to see a
/// trait at all places in one mode of operation, and of what one does not know of the machine. What
/// the twin and the machine differ by goes with the conditions, and somewhat from moment to moment,
/// alike at all places (the Gaussian process of Kennedy and O'Hagan 2001, from memory).
void Assembler::spread() {
  const std::size_t n = out_.rows.size();
  enum Kind { bias, drift, own, common, own_here, common_here, common_now, kinds };
  // Number of the feature or trait; of the mode of operation, the recording or the moment.
  std::array<std::map<std::pair<std::size_t, std::size_t>, std::vector<double>>, kinds> modes;
  const auto set = [&](Kind which, std::size_t what, std::size_t when, std::size_t r,
                       double sigma) {
    std::vector<double>& mode = modes[which][{what, when}];
    mode.resize(n, 0.0);
    mode[r] = sigma;
  };
  const double constant = std::sqrt(1.0 - conditions_share * conditions_share);
  for (std::size_t r = 0; r < n; ++r) {
    const Row& row = out_.rows[r];
    const Trait& t = trait(row);
    const Moment& at = moment(row.moment);
    const std::size_t number = trait_number(t);
    const std::size_t operation = at.kind == PhaseKind::cooling ? 1 : 0;
    set(bias, row.feature, 0, r, t.bias);
    set(drift, row.feature, at.sound ? 1 : 0, r, drift_share * t.bias);
    set(own, row.feature, operation, r, wide(constant * t.own));
    set(common, number, operation, r, wide(constant * t.common));
    set(common_now, number, row.moment, r, wide(own_share(at) * t.common));
    for (std::size_t k = 0; k <= row.moment; ++k) {
      const double share = conditions_share * conditions_->at(row.moment, k);
      set(own_here, row.feature, k, r, wide(share * t.own));
      set(common_here, number, k, r, wide(share * t.common));
    }
  }
  for (auto& kind : modes) {
    for (auto& [key, mode] : kind) out_.residuals.modes.push_back(std::move(mode));
  }
  for (const auto& mode : side_.modes) {
    std::vector<double> rows = at_rows(mode);
    for (double& x : rows) x = wide(x);
    out_.residuals.modes.push_back(std::move(rows));
  }
}

std::vector<double> Assembler::at_rows(const std::vector<double>& change) const {
  std::vector<double> out;
  for (const Row& row : out_.rows)
    out.push_back(change[row.moment * features_.size() + row.feature]);
  return out;
}

/// A machine that still settles, or whose coil frosts, differs from its steady state along the way
/// that its readings go.
void Assembler::add_drift() {
  for (std::size_t m = 0; m < side_.moments.size(); ++m) {
    const double halves_s = 0.5 * seconds_between(moment(m).start, moment(m).end);
    const double ways_ahead = settling_s / std::max(halves_s, 30.0);
    std::vector<double> mode(out_.rows.size(), 0.0);
    for (std::size_t r = 0; r < mode.size(); ++r) {
      if (out_.rows[r].moment == m) mode[r] = ways_ahead * moment(m).drift[out_.rows[r].feature];
    }
    out_.residuals.modes.push_back(std::move(mode));
  }
}

/// A sound machine holds about what its sheet says, and its volumes are about those of the sheet:
/// two things that can both be off, and of which a machine with little to spare shows the sum. Each
/// side is a mode of its own, as in twin_side.cc.
void Assembler::add_charge() {
  for (const Calculated& cause : side_.causes) {
    const bool charge = cause.kind->id == "undercharge" || cause.kind->id == "overcharge";
    if (!charge || cause.change.empty()) continue;
    std::vector<double> mode = at_rows(cause.change.front());
    for (double& x : mode) x *= half_side * charge_share / cause.severity.front();
    out_.residuals.modes.push_back(std::move(mode));
  }
}

/// Frost that has grown since the coil was clean takes air as dirt does; the twin's steady states
/// have none. How much there is by then is not known.
void Assembler::add_frost() {
  // Of a sound recording it was other frost.
  std::array<std::vector<double>, 2> modes;
  for (auto& mode : modes) mode.assign(out_.rows.size(), 0.0);
  for (const Calculated& cause : side_.causes) {
    if (cause.kind->id != "outdoor-airflow" || cause.change.empty()) continue;
    const std::vector<double> change = at_rows(cause.change.front());
    for (std::size_t r = 0; r < out_.rows.size(); ++r) {
      const Moment& at = moment(out_.rows[r].moment);
      if (at.kind != PhaseKind::heating || at.weather.temperature_K > frost_below_K) continue;
      // A fifth of the airflow, the first severity, in some 40 min. Own estimate.
      const double hours = std::min(at.since_clean_s / 3600.0, 1.2);
      modes[at.sound ? 1 : 0][r] += 1.5 * hours * change[r];
    }
  }
  for (auto& mode : modes) out_.residuals.modes.push_back(std::move(mode));
}

bool Assembler::frost_can_grow() const {
  for (std::size_t m = 0; m < side_.present; ++m) {
    const Moment& at = moment(m);
    if (at.kind == PhaseKind::heating && at.weather.temperature_K <= frost_below_K) return true;
  }
  return false;
}

double Assembler::longest_without_defrost() const {
  double longest = 1.0;
  for (std::size_t m = 0; m < side_.present; ++m) {
    longest = std::max(longest, std::min(moment(m).since_clean_s, 8.0 * 3600.0));
  }
  return longest;
}

std::vector<Knot> Assembler::growing(const Calculated& cause,
                                     const std::vector<Knot>& knots) const {
  const Hypothesis still{0.0, 0.0, knots};
  const bool by_frost = cause.kind->id == "frost-stays";
  const double longest = longest_without_defrost();
  std::vector<Knot> out;
  for (const Knot& knot : knots) {
    Knot grown{knot.severity, std::vector<double>(out_.rows.size(), 0.0)};
    for (std::size_t m = 0; m < side_.moments.size(); ++m) {
      const double share =
          by_frost ? std::min(moment(m).since_clean_s / longest, 1.0) : moment(m).part_of_log;
      const std::vector<double> change = change_at(still, share * knot.severity);
      for (std::size_t r = 0; r < out_.rows.size(); ++r) {
        if (out_.rows[r].moment == m) grown.change[r] = change[r];
      }
    }
    out.push_back(std::move(grown));
  }
  return out;
}

/// Where the twin finds no state: the signature of the trade, in steps of the trait.
std::vector<Knot> Assembler::by_table(const Calculated& cause) const {
  const CauseText& text = book_.text_of(cause.kind->id);
  std::vector<double> change(out_.rows.size(), 0.0);
  bool any = false;
  for (std::size_t r = 0; r < out_.rows.size(); ++r) {
    const Row& row = out_.rows[r];
    const auto& signs = moment(row.moment).kind == PhaseKind::cooling ? text.cooling : text.heating;
    const auto sign = signs.find(trait(row).name);
    if (sign == signs.end()) continue;
    const bool of_module = trait(row).place == TraitPlace::module;
    const bool elsewhere = cause.kind->place != CausePlace::system &&
                           features_[row.feature].index != cause.index &&
                           of_module == (cause.kind->place == CausePlace::module);
    if (elsewhere) continue;
    change[r] = sign->second * trait(row).step;
    any = true;
  }
  if (!any) return {};
  std::vector<double> twice = change;
  for (double& x : twice) x *= 2.0;
  return {{1.0, std::move(change)}, {2.0, std::move(twice)}};
}

void Assembler::add_signs(const Calculated& cause, Hypothesis& hypothesis) {
  std::vector<std::string> named;
  const CauseText& text = book_.text_of(cause.kind->id);
  for (const auto& [check, log_odds] : text.signs) {
    for (const Finding& finding : judgement_.findings) {
      if (finding.check != check || finding.verdict < Verdict::watch) continue;
      const bool here =
          cause.kind->place == CausePlace::system || finding.place.text == cause.place ||
          finding.place.module() == cause.place || finding.place.kind == PlaceKind::system ||
          finding.place.kind == PlaceKind::site;
      if (!here) continue;
      hypothesis.log_signs += log_odds;
      named.push_back(check);
      break;
    }
  }
  out_.signs.push_back(std::move(named));
}

void Assembler::add_hypothesis(const Calculated& cause) {
  const CauseText& text = book_.text_of(cause.kind->id);
  Hypothesis out;
  out.prior = text.prior / static_cast<double>(cause.places);
  out.least = cause.kind->least;
  std::vector<Knot> knots;
  for (std::size_t k = 0; k < cause.severity.size(); ++k) {
    knots.push_back({cause.severity[k], at_rows(cause.change[k])});
  }
  std::sort(knots.begin(), knots.end(),
            [](const Knot& a, const Knot& b) { return a.severity < b.severity; });
  const bool table = knots.empty();
  const bool too_early = cause.kind->id == "frost-stays" &&
                         (longest_without_defrost() < frost_stays_s || !frost_can_grow());
  if (too_early) {
    // Frost of the last hour is that of every machine, and in mild air none grows.
    knots.clear();
  } else if (table) {
    knots = by_table(cause);
  } else if (cause.kind->grows) {
    knots = growing(cause, knots);
  }
  out.knots = std::move(knots);
  add_signs(cause, out);
  out_.by_table.push_back(table && !too_early);
  out_.hypotheses.push_back(std::move(out));
}

/// What the sound machine showed is known when the rest is weighed: no cause acts in it, but the
/// machine and its sensors were the same.
void Assembler::learn_from_sound() {
  std::size_t present = 0;
  while (present < out_.rows.size() && out_.rows[present].moment < side_.present) ++present;
  if (present == out_.rows.size()) return;
  const std::vector<double> seen = out_.residuals.value;
  auto rest = condition(out_.residuals, present);
  if (!rest) return;  // Variances are positive: only by rounding
  out_.residuals = std::move(*rest);
  out_.rows.resize(present);
  out_.learnt = true;
  for (std::size_t r = 0; r < present; ++r) {
    out_.rows[r].healthy += seen[r] - out_.residuals.value[r];
  }
  for (Hypothesis& h : out_.hypotheses) {
    for (Knot& k : h.knots) k.change.resize(present);
  }
}

void Assembler::settle_sigmas() {
  for (std::size_t r = 0; r < out_.rows.size(); ++r) {
    double sum = out_.residuals.variance[r];
    for (const auto& mode : out_.residuals.modes) sum += mode[r] * mode[r];
    out_.rows[r].sigma = std::sqrt(sum);
  }
}

}  // namespace

Problem assemble(const Judgement& judgement, const std::vector<Feature>& features,
                 const std::vector<Moment>& moments, const TwinSide& side, const CauseBook& book,
                 const AssembleOptions& options) {
  return Assembler(judgement, features, moments, side, book, options).run();
}

Hypothesis charge_hypothesis(const Problem& problem, const TwinSide& side) {
  Hypothesis out;
  out.prior = 1.0;
  for (std::size_t c = 0; c < side.causes.size(); ++c) {
    const bool under = side.causes[c].kind->id == "undercharge";
    if ((!under && side.causes[c].kind->id != "overcharge") || problem.by_table[c]) continue;
    for (const Knot& knot : problem.hypotheses[c].knots) {
      out.knots.push_back({under ? -knot.severity : knot.severity, knot.change});
    }
  }
  if (out.knots.empty()) return out;
  // The sheet's own charge is as good a guess as any.
  const std::vector<double> nothing(problem.rows.size(), 0.0);
  out.knots.push_back({-1e-3, nothing});
  out.knots.push_back({1e-3, nothing});
  std::sort(out.knots.begin(), out.knots.end(),
            [](const Knot& a, const Knot& b) { return a.severity < b.severity; });
  return out;
}

}  // namespace cw::diagnose::detail
