#include "report/detail/check_plots.h"

#include "report/detail/titles.h"

namespace cw::detail {
namespace {

/// Which channels and limits belong to a check's picture.
struct PlotRecipe {
  std::string_view check;
  std::vector<std::string_view> quantities;
  std::vector<std::string_view> limits;  // keys of the limit sheet
};

const std::vector<PlotRecipe>& recipes() {
  static const std::vector<PlotRecipe> table = {
      {"discharge-temperature",
       {"discharge_temperature"},
       {"discharge-temperature.watch_above", "discharge-temperature.fault_at_once_above"}},
      {"discharge-superheat", {"discharge_superheat"}, {"discharge-superheat.watch_below"}},
      {"shell-superheat", {"shell_superheat"}, {"shell-superheat.watch_below"}},
      {"condensing-target", {"saturated_condensing_temperature"}, {"condensing-target.target"}},
      {"indoor-coil-heat",
       {"gas_pipe_temperature"},
       {"indoor-coil-heat.watch_below", "indoor-coil-heat.fault_below"}},
      {"outdoor-coil-frost", {"coil_temperature", "outdoor_temperature"}, {}},
      {"set-point", {"controlled_temperature", "set_point"}, {}},
  };
  return table;
}

const Channel* channel_for(const Recording& recording, const Place& place,
                           std::string_view quantity) {
  if (const Channel* own = recording.find_upward(place, quantity)) return own;
  return recording.find("site", quantity);
}

void add_lines(const Judgement& judgement, const Place& place,
               const std::vector<std::string_view>& quantities, Plot& plot) {
  for (const std::string_view quantity : quantities) {
    const Channel* channel = quantity == "controlled_temperature"
                                 ? controlled_temperature_of(judgement.recording, place)
                                 : channel_for(judgement.recording, place, quantity);
    if (channel != nullptr) plot.lines.push_back({channel, channel->quantity->label});
  }
}

void add_limits(const Judgement& judgement, const std::vector<std::string_view>& keys, Plot& plot) {
  for (const std::string_view key : keys) {
    const Limit& limit = judgement.limits.limit(key);
    plot.limits.push_back({limit.value, limit.text});
  }
}

}  // namespace

Plot plot_of_finding(const Judgement& judgement, const Finding& finding) {
  Plot plot;
  plot.title = finding.place.label() + ", " + check_named(finding.check).title;
  plot.timeline = &judgement.phases.timeline_of(finding.place);
  for (const PlotRecipe& recipe : recipes()) {
    if (recipe.check != finding.check) continue;
    add_lines(judgement, finding.place, recipe.quantities, plot);
    add_limits(judgement, recipe.limits, plot);
  }
  for (const Evidence& e : finding.evidence) plot.windows.push_back({e.window.start, e.window.end});
  return plot;
}

std::vector<Plot> plots_of_module(const Judgement& judgement, const Timeline& module) {
  std::vector<Plot> out;
  const auto add = [&](const std::string& what, const std::vector<std::string_view>& quantities,
                       const std::vector<std::string_view>& limits) {
    Plot plot;
    plot.title = module.place.label() + ", " + what;
    plot.timeline = &module;
    add_lines(judgement, module.place, quantities, plot);
    if (plot.lines.empty()) return;
    add_limits(judgement, limits, plot);
    out.push_back(std::move(plot));
  };
  add("temperatures",
      {"discharge_temperature", "saturated_condensing_temperature",
       "saturated_evaporating_temperature"},
      {"discharge-temperature.watch_above", "condensing-target.target"});
  add("superheats", {"discharge_superheat", "shell_superheat", "suction_superheat"},
      {"discharge-superheat.watch_below"});
  add("outdoor coil", {"coil_temperature", "outdoor_temperature"}, {});
  return out;
}

}  // namespace cw::detail
