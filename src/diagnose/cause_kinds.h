#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/dimension.h"
#include "twin/twin.h"

/// What can be wrong, as the twin calculates it. A cause is one row here and one table in
/// data/causes/causes.toml.
namespace cw::diagnose {

enum class CausePlace : std::uint8_t { system, module, calling_unit, stopped_unit };

/// What is given to the twin.
struct Setting {
  twin::Faults faults;
  twin::Weather weather;
  double charge_kg = 0.0;
};

/// Where a cause sits, and what its severity is measured against.
struct CauseSite {
  std::size_t index = 0;
  double opening = 0.0;    ///< healthy opening of the valve there, at the first moment
  double charge_kg = 0.0;  ///< of the sheet
};

struct CauseKind {
  std::string_view id;  ///< "undercharge", as data/causes/causes.toml has it
  CausePlace place = CausePlace::system;
  bool heating = true, cooling = true;  ///< the modes in which it can be seen
  /// Acts on the machine; else it changes only what is read, and the healthy state is kept.
  bool acts_heating = true, acts_cooling = true;
  /// Grows from nothing at the beginning of the recording to its severity at the end.
  bool grows = false;
  /// A sound machine may have a little of it, too: charge not quite the sheet's, frost. Calculated
  /// for the moments of a sound recording as well.
  bool sound_too = false;
  Dimension severity = Dimension::ratio;
  std::vector<double> knots;  ///< severities at which the twin is asked, rising, without 0
  double least = 0.0;         ///< a smaller severity is no fault worth a call
  void (*apply)(const CauseSite&, double severity, Setting&) = nullptr;
};

std::span<const CauseKind> cause_kinds();
/// Null when there is none.
const CauseKind* find_cause_kind(std::string_view id);

}  // namespace cw::diagnose
