#pragma once

#include <string>
#include <vector>

#include "fluid/refrigerant.h"
#include "series/recording.h"

namespace cw {

/// What was derived and what stood in the way.
struct DeriveNotes {
  std::vector<std::string> derived;  ///< channel names added
  std::vector<std::string>
      notes;  ///< sentences, for example on readings outside the saturation range
};

/// Adds the channels that a technician works out in the head, each named and with its formula as
/// origin:
///
/// - saturated_condensing_temperature  dew temperature at the discharge pressure [K]
/// - saturated_evaporating_temperature dew temperature at the suction pressure [K]
/// - pressure_ratio                    discharge / suction pressure, both absolute
/// - discharge_superheat               discharge temperature - saturated condensing temperature [K]
/// - shell_superheat                   shell temperature - saturated evaporating temperature [K]
/// - suction_superheat                 suction temperature - saturated evaporating temperature [K]
/// - subcooling                        bubble temperature at the discharge pressure - liquid
/// temperature [K]
///
/// A channel that the log has already is kept as it is. Where two inputs have different stamps, the
/// latest reading of the second that is not older than its gap limit is taken (class Follower). A
/// pressure outside the saturation range gives no temperature there.
void derive_channels(Recording& recording, const fluid::Refrigerant& refrigerant,
                     DeriveNotes& notes);

}  // namespace cw
