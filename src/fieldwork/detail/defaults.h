#pragma once

#include <string>
#include <string_view>

namespace cw::field::detail {

/// A figure of data/fieldwork/defaults.toml: SI value and source.
struct Default {
  double value = 0.0;
  std::string source;
};

/// The figure "tightness.gauge_uncertainty". The file is part of the program: a key that it lacks
/// is our mistake and stops the program.
Default default_of(std::string_view key);

}  // namespace cw::field::detail
