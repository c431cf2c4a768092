#pragma once

#include <cstdio>
#include <string>

#include "base/unit_text.h"
#include "support/recording_builder.h"

namespace cw::test {

/// A recording as a file that needs no map: headers "place.quantity [unit]", display units, words
/// for states, empty cells where there is no reading.
inline std::string csv_of(const Recording& recording) {
  std::string out = "time";
  for (const Channel& channel : recording.channels) {
    out += "," + channel.name();
    const Dimension d = channel.quantity->dimension;
    if (d == Dimension::flag || d == Dimension::state || d == Dimension::count) continue;
    out += " [" +
           (d == Dimension::pressure ? std::string("kPa(a)")
                                     : std::string(display_unit(d, UnitSystem::si).symbol)) +
           "]";
  }
  out += "\n";
  for (std::size_t i = 0; i < recording.size(); ++i) {
    out += format_instant(recording.time[i], recording.clock);
    for (const Channel& channel : recording.channels) {
      out += ",";
      const float v = channel.values[i];
      if (is_missing(v)) continue;
      const Quantity& q = *channel.quantity;
      if (q.dimension == Dimension::state) {
        out += q.words.at(static_cast<std::size_t>(v));
        continue;
      }
      char cell[32];
      std::snprintf(cell, sizeof cell, "%.6g",
                    display_unit(q.dimension, UnitSystem::si).from_si(static_cast<double>(v)));
      out += cell;
    }
    out += "\n";
  }
  return out;
}

}  // namespace cw::test
