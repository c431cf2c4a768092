#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/unit_text.h"
#include "series/place.h"
#include "series/quantity.h"

namespace cw {

/// What stands between a header that a file has twice and the number of its column among them.
inline constexpr std::string_view twin_mark = " #";

/// The header without that number.
std::string_view without_twin(std::string_view header);

/// A header's name and the unit that it states in brackets, after a comma or as its last word.
struct HeaderParts {
  std::string name;
  std::string unit_text;    ///< empty: none was found
  double confidence = 0.0;  ///< that unit_text is meant as the unit
};

/// Splits "Temp, °C (logger 1)", "Suction pressure [kPa(g)]", "Import kWh", "T_out (degC)".
HeaderParts split_header(std::string_view header);

/// What a header cell says when it has our own form, "place.quantity [unit]".
struct ChannelHeader {
  Place place;
  const Quantity* quantity = nullptr;
  std::string unit_text;  ///< what stood in the brackets; empty when nothing did
};

/// Reads "outdoor.1.discharge_temperature [degC]", "indoor.3.set_point [degF]",
/// "outdoor.1.compressor.2.frequency [Hz]". Empty when the text has no place or no known quantity.
std::optional<ChannelHeader> read_channel_header(std::string_view header);

/// A quantity with the unit in which a file gives it.
struct QuantityInUnit {
  const Quantity* quantity = nullptr;
  Unit unit;
};

/// The unit in which a quantity is read, from text; flags, states and counts need none. Where the
/// unit measures the quantity's alternative instead (a valve opening in steps), that one is meant.
/// @error unit  missing, unknown, or of another dimension
Result<QuantityInUnit> unit_for(const Quantity& quantity, std::string_view unit_text);

/// Does the header name a column of time stamps ("time", "timestamp", "date_time", "Time [UTC]")?
bool names_time(std::string_view header);

}  // namespace cw
