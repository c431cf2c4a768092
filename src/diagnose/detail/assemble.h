#pragma once

#include <string>
#include <vector>

#include "diagnose/cause_book.h"
#include "diagnose/infer.h"
#include "diagnose/moments.h"
#include "diagnose/traits.h"
#include "diagnose/twin_side.h"

namespace cw::diagnose::detail {

/// One compared reading: a feature at a moment.
struct Row {
  std::size_t moment = 0;  ///< in TwinSide::moments
  std::size_t feature = 0;
  double seen = 0.0, healthy = 0.0;  ///< scaled
  double sigma = 0.0;                ///< of seen less healthy
};

struct Problem {
  std::vector<Row> rows;
  Residuals residuals;
  std::vector<Hypothesis> hypotheses;           ///< one for each TwinSide::causes
  std::vector<std::vector<std::string>> signs;  ///< [n_hypothesis] checks that add to it
  std::vector<bool> by_table;                   ///< [n_hypothesis]
  bool learnt = false;                          ///< from the moments of a sound recording
};

/// By how much what a cause does to a trait may differ from what the twin says, one sigma, as a
/// share of it: machines unlike their sheets answer more or less to the same fault. Own estimate.
inline constexpr double effect_error = 0.2;

/// By how much a sound machine's charge is off its sheet's, one sigma. Own estimate.
inline constexpr double charge_share = 0.03;

struct AssembleOptions {
  double widen = 1.0;        ///< factor on what twin and machine differ by: a generic machine
  bool orders_count = true;  ///< openings, frequency and power compared, too
};

/// The rows are those of the recording itself: what a sound one showed is in `healthy`, `residuals`
/// and `sigma` (docs/design/diagnose.md, "A sound recording").
Problem assemble(const Judgement& judgement, const std::vector<Feature>& features,
                 const std::vector<Moment>& moments, const TwinSide& side, const CauseBook& book,
                 const AssembleOptions& options);

/// A hypothesis on charge alone, below and above the sheet's: severity is a share of it.
Hypothesis charge_hypothesis(const Problem& problem, const TwinSide& side);

}  // namespace cw::diagnose::detail
