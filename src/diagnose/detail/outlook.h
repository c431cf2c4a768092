#pragma once

#include "diagnose/detail/assemble.h"
#include "diagnose/diagnose.h"

namespace cw::diagnose::detail {

/// What is needed to look at the fitted machine.
struct Fitted {
  const System& system;
  const twin::Parameters& parameters;
  const std::vector<Feature>& features;
  const std::vector<Moment>& moments;
  const TwinSide& side;
  const Problem& problem;
  const Posterior& posterior;
};

/// Charge, inventory and design days into `out`, whose causes are ranked already.
void look_at_fitted(const Fitted& fitted, const DiagnoseOptions& options, Diagnosis& out);

}  // namespace cw::diagnose::detail
