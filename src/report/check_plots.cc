#include "report/detail/check_plots.h"

#include "report/detail/titles.h"

namespace cw::detail {
namespace {

const Channel* channel_for(const Recording& recording, const Place& place,
                           std::string_view quantity) {
  if (const Channel* own = recording.find_upward(place, quantity)) return own;
  return recording.find("site", quantity);
}

void add_lines(const Judgement& judgement, const Place& place,
               const std::vector<std::string>& quantities, Plot& plot) {
  for (const std::string& quantity : quantities) {
    const Channel* channel = quantity == "controlled_temperature"
                                 ? controlled_temperature_of(judgement.recording, place)
                                 : channel_for(judgement.recording, place, quantity);
    if (channel != nullptr) plot.lines.push_back({channel, channel->quantity->label});
  }
}

void add_limits(const Judgement& judgement, const std::vector<std::string>& keys, Plot& plot) {
  for (const std::string& key : keys) {
    const Limit& limit = judgement.limits.limit(key);
    plot.limits.push_back({limit.value, limit.text});
  }
}

}  // namespace

Plot plot_of_finding(const Judgement& judgement, const Finding& finding) {
  Plot plot;
  plot.title = finding.place.label() + ", " + check_named(finding.check).title;
  plot.timeline = &judgement.phases.timeline_of(finding.place);
  const Check& check = check_named(finding.check);
  add_lines(judgement, finding.place, check.plot, plot);
  add_limits(judgement, check.plot_limits, plot);
  for (const Evidence& e : finding.evidence) plot.windows.push_back({e.window.start, e.window.end});
  return plot;
}

std::vector<Plot> plots_of_module(const Judgement& judgement, const Timeline& module) {
  std::vector<Plot> out;
  const auto add = [&](const std::string& what, const std::vector<std::string>& quantities,
                       const std::vector<std::string>& limits) {
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
