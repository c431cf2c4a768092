#include "ingest/logged_barometer.h"

#include <algorithm>

#include "base/text.h"

namespace cw {

GaugeChannels gauge_channels(const std::vector<SourceTable>& tables) {
  struct Seen {
    std::optional<double> added;
    bool differs = false;
  };
  std::map<std::string, Seen> seen;
  for (const SourceTable& table : tables) {
    for (const SourceColumn& column : table.columns) {
      if (column.quantity == nullptr || column.quantity->dimension != Dimension::pressure) continue;
      const auto [at, fresh] = seen.try_emplace(column.place.text + "." + column.quantity->name,
                                                Seen{column.gauge_with, false});
      if (!fresh && at->second.added != column.gauge_with) at->second.differs = true;
    }
  }
  GaugeChannels out;
  for (const auto& [name, how] : seen) {
    if (how.differs) {
      out.mixed.push_back(name);
    } else if (how.added) {
      out.added[name] = *how.added;
    }
  }
  return out;
}

void use_logged_barometer(const GaugeChannels& gauges, const ImportOptions& options,
                          Import& import) {
  Recording& recording = import.recording;
  const Channel* const barometer = recording.find("site", "barometric_pressure");
  if (barometer == nullptr || gauges.added.empty()) return;
  if (options.barometric_pressure || options.altitude) {
    import.assumptions.emplace_back(
        "The log holds site.barometric_pressure; for gauge pressures the one that was stated "
        "rules.");
    return;
  }
  const Column& readings = barometer->values;
  float lowest = missing;
  float highest = missing;
  for (const float value : readings) {
    if (is_missing(value)) continue;
    if (!(lowest <= value)) lowest = value;
    if (!(highest >= value)) highest = value;
  }
  if (is_missing(lowest)) return;
  for (Channel& channel : recording.channels) {
    const auto gauge = gauges.added.find(channel.name());
    if (gauge == gauges.added.end()) continue;
    Follower follower(recording, recording.find("site", "barometric_pressure"));
    for (std::size_t i = 0; i < recording.size(); ++i) {
      const float air = follower.at(i);
      float& value = channel.values[i];
      if (is_missing(air) || is_missing(value)) continue;
      value =
          static_cast<float>(static_cast<double>(value) - gauge->second + static_cast<double>(air));
    }
  }
  const auto shown = [](float p) {
    return format_si(static_cast<double>(p), Dimension::pressure, UnitSystem::si);
  };
  import.assumptions.push_back(
      "Gauge pressures follow the air pressure that the log holds (site.barometric_pressure, " +
      shown(lowest) + " to " + shown(highest) +
      "); the value above serves where it has no reading.");
  if (!gauges.mixed.empty()) {
    import.assumptions.push_back("Files disagree on gauge or absolute for " +
                                 list_of(gauges.mixed) + ": there one air pressure is used.");
  }
}

}  // namespace cw
