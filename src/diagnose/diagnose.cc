#include "diagnose/diagnose.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "diagnose/detail/assemble.h"
#include "diagnose/detail/generic.h"
#include "diagnose/detail/next_tests.h"
#include "diagnose/detail/outlook.h"
#include "diagnose/infer.h"
#include "diagnose/twin_side.h"

namespace cw::diagnose {
namespace {

/// Causes below this are not worth a line.
constexpr double worth_a_line = 0.005;
constexpr std::size_t most_lines = 12;
/// Two causes closer than this, in sigmas, cannot be told apart.
constexpr double told_apart = 2.0;
/// A machine that is not known: what it and the twin differ by is this much wider. Own estimate.
constexpr double generic_widen = 4.0;

std::string label_of(const std::string& place) {
  const auto parsed = parse_place(place);
  return parsed && parsed->kind != PlaceKind::system ? parsed->label() : "the system";
}

/// The probability of each cause, alone or with another.
std::vector<double> with_pairs(const Posterior& posterior) {
  std::vector<double> out;
  for (const Fit& fit : posterior.fits) out.push_back(fit.probability);
  for (const PairFit& pair : posterior.pairs) {
    out[pair.first] += pair.probability;
    out[pair.second] += pair.probability;
  }
  return out;
}

/// Squared distance a reading that the best explanation leaves.
double left_misfit(const Posterior& posterior) {
  double left = posterior.healthy_distance;
  for (const Fit& fit : posterior.fits) {
    if (!fit.explained.empty()) left = std::min(left, fit.distance);
  }
  for (const PairFit& pair : posterior.pairs) left = std::min(left, pair.distance);
  return left / static_cast<double>(posterior.n);
}

Diagnosis::Trial trial_of(const Posterior& posterior, const TwinSide& side) {
  Diagnosis::Trial out{posterior.healthy, posterior.unknown, {}};
  const std::vector<double> probability = with_pairs(posterior);
  for (std::size_t h = 0; h < probability.size(); ++h) {
    out.causes.emplace_back(std::string(side.causes[h].kind->id) + "@" + side.causes[h].place,
                            probability[h]);
  }
  std::stable_sort(out.causes.begin(), out.causes.end(),
                   [](const auto& a, const auto& b) { return a.second > b.second; });
  return out;
}

/// From the answer of the inference to what people read.
class Teller {
 public:
  Teller(const std::vector<Feature>& features, const TwinSide& side, const detail::Problem& problem,
         const Posterior& posterior)
      : features_(features), side_(side), problem_(problem), posterior_(posterior) {}

  void rank(Diagnosis& out) const;

 private:
  RankedCause cause(std::size_t h, double probability) const;
  void weigh(std::size_t h, RankedCause& out) const;
  Point point(std::size_t row, double change) const;

  const std::vector<Feature>& features_;
  const TwinSide& side_;
  const detail::Problem& problem_;
  const Posterior& posterior_;
};

Point Teller::point(std::size_t r, double change) const {
  const detail::Row& row = problem_.rows[r];
  const Feature& f = features_[row.feature];
  Point out;
  out.what = std::string(f.trait->label) + ", " + label_of(f.place);
  out.dimension = f.trait->dimension;
  out.seen = f.unscaled(row.seen);
  out.healthy = f.unscaled(row.healthy);
  out.with_cause = f.unscaled(row.healthy + change);
  out.uncertainty = row.sigma;
  out.relative = f.trait->relative;
  return out;
}

/// Readings whose distance shrinks with the cause speak for it; those that it moves and that did
/// not move, or that it leaves far off, speak against it. One of each place and trait.
void Teller::weigh(std::size_t h, RankedCause& out) const {
  const std::vector<double>& change = posterior_.fits[h].explained;
  struct Weight {
    double gain;
    std::size_t row;
  };
  std::vector<Weight> gains;
  for (std::size_t r = 0; r < problem_.rows.size(); ++r) {
    const detail::Row& row = problem_.rows[r];
    const double off = (row.seen - row.healthy) / row.sigma;
    const double left = off - change[r] / row.sigma;
    gains.push_back({off * off - left * left, r});
  }
  std::stable_sort(gains.begin(), gains.end(),
                   [](const Weight& a, const Weight& b) { return a.gain > b.gain; });
  const auto take = [&](auto first, auto last, bool good, std::vector<Point>& into) {
    std::vector<std::size_t> features;
    for (auto g = first; g != last && into.size() < 4; ++g) {
      const double gain = good ? g->gain : -(g->gain);
      if (gain < 1.0) break;
      const std::size_t feature = problem_.rows[g->row].feature;
      if (std::find(features.begin(), features.end(), feature) != features.end()) continue;
      features.push_back(feature);
      into.push_back(point(g->row, change[g->row]));
    }
  };
  take(gains.begin(), gains.end(), true, out.speaks_for);
  take(gains.rbegin(), gains.rend(), false, out.speaks_against);
}

RankedCause Teller::cause(std::size_t h, double probability) const {
  RankedCause out;
  const Calculated& calculated = side_.causes[h];
  const Fit& fit = posterior_.fits[h];
  out.kind = calculated.kind;
  out.text = &cause_book().text_of(calculated.kind->id);
  out.place = calculated.place;
  out.probability = probability;
  out.severity = fit.severity;
  out.low = fit.low;
  out.high = fit.high;
  out.by_table = problem_.by_table[h];
  out.signs = problem_.signs[h];
  weigh(h, out);
  const std::size_t m = side_.causes.size();
  for (std::size_t b = 0; b < m; ++b) {
    const double apart = posterior_.apart[h * m + b];
    if (!(apart < told_apart)) continue;
    out.same_as.push_back(cause_book().text_of(side_.causes[b].kind->id).title +
                          (side_.causes[b].kind->place == CausePlace::system
                               ? ""
                               : " (" + label_of(side_.causes[b].place) + ")"));
  }
  return out;
}

void Teller::rank(Diagnosis& out) const {
  const std::vector<double> probability = with_pairs(posterior_);
  std::vector<std::size_t> order(probability.size());
  std::iota(order.begin(), order.end(), 0U);
  std::stable_sort(order.begin(), order.end(),
                   [&](auto a, auto b) { return probability[a] > probability[b]; });
  for (const std::size_t h : order) {
    if (probability[h] < worth_a_line || out.causes.size() == most_lines) break;
    out.causes.push_back(cause(h, probability[h]));
  }
  const auto named = [&](std::size_t h) {
    return cause_book().text_of(side_.causes[h].kind->id).title +
           (side_.causes[h].place == "system" ? "" : ", " + label_of(side_.causes[h].place));
  };
  for (const PairFit& pair : posterior_.pairs) {
    if (pair.probability < 0.05) continue;
    out.pairs.push_back({named(pair.first), named(pair.second), pair.probability});
  }
  std::stable_sort(out.pairs.begin(), out.pairs.end(),
                   [](const auto& a, const auto& b) { return a.probability > b.probability; });
  for (std::size_t h = 0; h < side_.causes.size(); ++h) {
    if (problem_.by_table[h] || problem_.hypotheses[h].knots.empty()) {
      out.not_calculated.push_back(named(h));
    }
  }
}

/// A recording that names its own target is believed.
void take_targets(const Judgement& judgement, twin::Parameters& parameters) {
  const auto target = [&](const char* quantity, double& into) {
    for (const Channel& c : judgement.recording.channels) {
      if (c.quantity->name != quantity) continue;
      for (const float value : c.values) {
        if (is_missing(value)) continue;
        into = static_cast<double>(value);
        return;
      }
    }
  };
  target("condensing_target", parameters.controls.condensing_target_K);
  target("evaporating_target", parameters.controls.evaporating_target_K);
}

void note_moments(const std::vector<Moment>& moments, const TwinSide& side, Diagnosis& out) {
  for (std::size_t k = 0; k < side.present; ++k) {
    const Moment& m = moments[side.moments[k]];
    out.moments.push_back({m.start, m.end, m.kind, m.weather.temperature_K, calling_units(m)});
  }
}

/// Where calls change every few minutes nothing settles quite.
void note_hurry(const std::vector<Moment>& moments, Diagnosis& out) {
  if (std::none_of(moments.begin(), moments.end(),
                   [](const Moment& m) { return m.hurried && !m.sound; })) {
    return;
  }
  out.notes.push_back(
      "Calls change so often that nothing settles quite: what was compared had four minutes, not "
      "eight, and is believed less where it still moves.");
}

/// Findings with times of their own that no compared moment shares.
void note_outside(const Judgement& judgement, Diagnosis& out) {
  std::string list;
  for (std::size_t i = 0; i < judgement.findings.size(); ++i) {
    const Finding& f = judgement.findings[i];
    const bool found = f.verdict == Verdict::watch || f.verdict == Verdict::fault;
    if (!found || f.root || f.evidence.empty()) continue;
    const bool compared = std::any_of(out.moments.begin(), out.moments.end(),
                                      [&](const auto& m) { return found_in(f, m.start, m.end); });
    if (compared) continue;
    out.outside.push_back(i);
    list += (list.empty() ? "" : "; ") + f.place.label() + ", " + f.check;
  }
  if (list.empty()) return;
  out.notes.push_back(
      "The checks found something outside the hours compared, and its causes were "
      "not looked for: " +
      list + ".");
}

/// The moments of a recording of the same machine from when it was sound, behind those of the
/// recording itself.
void add_sound(const Judgement& sound, const System& system, const std::vector<Feature>& features,
               std::vector<Moment>& moments, Diagnosis& out) {
  std::string why;
  std::vector<Moment> then = find_moments(sound, system, features, {}, why);
  if (then.empty()) {
    out.notes.push_back("The recording of the sound machine was not used: " + why);
  }
  for (Moment& m : then) {
    m.sound = true;
    moments.push_back(std::move(m));
  }
}

detail::AssembleOptions widths(const Diagnosis& out) {
  return {out.generic ? generic_widen : 1.0, !out.generic};
}

/// Weighs the causes and tells them.
void weigh(const detail::Fitted& f, const DiagnoseOptions& options, const InferOptions& weighing,
           Diagnosis& out) {
  for (const double temperature : options.trial_temperatures) {
    InferOptions trial_options = weighing;
    trial_options.temperature = temperature;
    if (const auto trial = infer(f.problem.residuals, f.problem.hypotheses, trial_options)) {
      out.trials.push_back(trial_of(*trial, f.side));
    }
  }
  const Posterior& posterior = f.posterior;
  out.readings = f.problem.rows.size();
  out.healthy = posterior.healthy;
  out.unknown = posterior.unknown;
  out.healthy_misfit = posterior.healthy_distance / static_cast<double>(f.problem.rows.size());
  out.left_misfit = left_misfit(posterior);
  out.notes.insert(out.notes.end(), f.side.notes.begin(), f.side.notes.end());
  note_moments(f.moments, f.side, out);
  note_hurry(f.moments, out);
  Teller(f.features, f.side, f.problem, posterior).rank(out);
  out.next = detail::next_tests(out.causes, cause_book(), 4);
  out.assumptions = f.system.assumptions();
}

Status compare(const Judgement& judgement, const System& system, const DiagnoseOptions& options,
               Diagnosis& out) {
  const auto tell = [&](std::string_view step) {
    if (options.progress) options.progress(step);
  };
  out.system = system.name();
  auto parameters = twin::parameters_of(system);
  if (!parameters) return parameters.error();
  take_targets(judgement, *parameters);
  const std::vector<Feature> features = features_of(system);
  std::vector<Moment> moments = find_moments(judgement, system, features, {}, out.unproven);
  if (moments.empty()) {
    if (verdict_of(judgement.findings, "short-cycling") >= Verdict::watch) {
      out.unproven +=
          " It starts and stops again and again; what the stops follow, if the log shows it, "
          "stands "
          "with the finding on short cycling. If it can be made to run for 15 min, with other "
          "units "
          "calling or in other weather, record that.";
    }
    return Done{};
  }
  if (options.sound != nullptr) {
    add_sound(*options.sound, system, features, moments, out);
  }
  const auto stopped = [&] { return options.stop && options.stop(); };
  if (stopped()) return stopped_error();
  tell("asking the twin");
  auto side = ask_twin(system, *parameters, features, moments, options.stop);
  if (!side) {
    if (side.error().code != ErrorCode::no_convergence) return side.error();
    out.unproven = side.error().text();
    return Done{};
  }
  tell("weighing causes");
  const detail::Problem problem =
      detail::assemble(judgement, features, moments, *side, cause_book(), widths(out));
  out.compared_with_sound = problem.learnt;
  InferOptions weighing;
  weighing.healthy_prior = cause_book().healthy_prior;
  weighing.unknown_prior = cause_book().unknown_prior;
  weighing.temperature = cause_book().temperature;
  weighing.effect_error = detail::effect_error;
  const auto posterior = infer(problem.residuals, problem.hypotheses, weighing);
  if (!posterior || problem.rows.empty()) {
    out.unproven = "No reading of the recording could be compared with the twin.";
    return Done{};
  }
  const detail::Fitted fitted{system, *parameters, features, moments, *side, problem, *posterior};
  weigh(fitted, options, weighing, out);
  note_outside(judgement, out);
  if (stopped()) return stopped_error();
  if (!options.look_ahead) return Done{};
  tell("looking ahead");
  detail::look_at_fitted(fitted, options, out);
  return Done{};
}

}  // namespace

const RankedCause* Diagnosis::named() const {
  if (causes.empty() || !unproven.empty()) return nullptr;
  const bool likelier = causes.front().probability > healthy;
  const double call_above =
      compared_with_sound ? cause_book().call_above_sound : cause_book().call_above;
  return likelier && !far_from_twin() && healthy + unknown < call_above ? &causes.front() : nullptr;
}

Result<Diagnosis> diagnose(const Judgement& judgement, const System* sheet,
                           const DiagnoseOptions& options) {
  Diagnosis out;
  out.generic = sheet == nullptr;
  std::optional<System> made;
  if (sheet == nullptr) {
    auto generic = detail::generic_system(judgement);
    if (!generic) {
      out.unproven = generic.error().text();
      return out;
    }
    made = std::move(*generic);
  }
  if (Status s = compare(judgement, sheet == nullptr ? *made : *sheet, options, out); !s) {
    return s.error();
  }
  return out;
}

}  // namespace cw::diagnose
