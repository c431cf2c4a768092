#pragma once

#include <vector>

#include "checks/judgement.h"
#include "report/svg_plot.h"

namespace cw::detail {

/// What to draw for a finding: the judged channel with its limits and evidence windows. Without
/// lines when there is nothing to draw.
Plot plot_of_finding(const Judgement& judgement, const Finding& finding);

/// Overview plots of one outdoor module: compressor temperatures, superheats, coil against outdoor
/// air.
std::vector<Plot> plots_of_module(const Judgement& judgement, const Timeline& module);

}  // namespace cw::detail
