#pragma once

#include <map>
#include <string>
#include <vector>

#include "ingest/import.h"
#include "ingest/source_table.h"

namespace cw {

/// Channels that are read from gauge pressures, by name, with the air pressure that was added [Pa].
/// A channel that several files give differently is in `mixed`.
struct GaugeChannels {
  std::map<std::string, double> added;
  std::vector<std::string> mixed;
};
GaugeChannels gauge_channels(const std::vector<SourceTable>& tables);

/// Where the log itself has the air pressure (site.barometric_pressure), gauge readings are made
/// absolute with it instead of one value for all; where it has no reading the one value stays. Does
/// nothing when a person stated the air pressure. Either is said in Import::assumptions.
void use_logged_barometer(const GaugeChannels& gauges, const ImportOptions& options,
                          Import& import);

}  // namespace cw
