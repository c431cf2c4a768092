#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fluid/refrigerant.h"
#include "series/recording.h"

namespace cw {

/// A corner of a measured cycle in the pressure-enthalpy chart. SI, usual reference state.
struct CyclePoint {
  std::string_view key;    ///< "suction", "discharge", "condenser_dew", ...; static storage
  std::string_view label;  ///< for people; static storage
  std::string_view state;  ///< "vapour", "two-phase", "liquid"
  double p = 0.0;          ///< absolute [Pa]
  double h = 0.0;          ///< [J/kg]
  double T = 0.0;          ///< [K]
  bool assumed = false;    ///< rests on something that was not read; a note says on what
};

/// What one outdoor module's refrigerant went through at an instant, by its own sensors. Pressure
/// drops between the sensors are not known and left out.
struct Cycle {
  Place place;
  std::optional<double> discharge_pressure, suction_pressure;  ///< absolute [Pa]
  std::optional<double> condensing, evaporating;               ///< dew temperatures [K]
  /// As the derived channels of these names [K].
  std::optional<double> discharge_superheat, suction_superheat, subcooling;
  std::vector<CyclePoint> points;  ///< in the order of flow; only what is known or assumed
  std::vector<std::string> notes;  ///< what was taken for what was not read, and what is missing
};

/// The reading that stands at an instant: the latest one that is not older than the channel's gap
/// limit; missing without one. Channel may be null.
float reading_at(const Recording& recording, const Channel* channel, Instant at);

/// The cycle of every outdoor module at an instant, from a recording with its derived channels.
/// Thread-safe; allocates.
std::vector<Cycle> cycles_at(const Recording& recording, const fluid::Refrigerant& refrigerant,
                             Instant at);

}  // namespace cw
