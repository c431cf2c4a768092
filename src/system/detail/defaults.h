#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/dimension.h"

namespace cw::detail {

/// One figure of data/systems/defaults.toml.
struct DefaultFigure {
  double value = 0.0;  ///< SI
  Dimension dimension = Dimension::ratio;
  std::string text;  ///< as written, "0.36 L"
  std::string source;
  std::string note;
};

/// Sizes by capacity.
struct SizeRow {
  double up_to_W = 0.0;
  std::string up_to_text;
  std::string liquid;
  std::string gas;
  std::string third;
};

/// Beyond least..most a figure is refused, beyond from..to it is warned of.
struct Range {
  double least = 0.0;
  double from = 0.0;
  double to = 0.0;
  double most = 0.0;
  std::string least_text;
  std::string from_text;
  std::string to_text;
  std::string most_text;
};

struct FittingKind {
  std::string name;
  double bores = 0.0;
  std::string source;
};

/// `key` is "outdoor.coil_volume_per_kW"; it must exist. Thread-safe; the reference stays valid.
const DefaultFigure& default_figure(std::string_view key);
/// `key` is "outdoor.coil_volume"; it must exist.
const Range& range_of(std::string_view key);
/// The last row stands for everything above it.
const SizeRow& size_for(double cooling_W);
const std::vector<FittingKind>& fitting_kinds();

}  // namespace cw::detail
