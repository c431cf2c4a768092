#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/dimension.h"
#include "fluid/refrigerant.h"
#include "twin/twin.h"

/// What is compared between a recording and the twin. A trait is one row of the table in traits.cc.
namespace cw::diagnose {

enum class TraitPlace : std::uint8_t { module, calling_unit, stopped_unit };

/// Two readings of the twin as the recording's channel would show them.
struct TwinView {
  const twin::Readings* readings = nullptr;
  const fluid::Refrigerant* refrigerant = nullptr;
};

struct Trait {
  std::string_view name;      ///< "discharge", as signatures in data/causes call it
  std::string_view quantity;  ///< channel of the recording
  std::string_view label;     ///< "discharge temperature"
  TraitPlace place = TraitPlace::module;
  Dimension dimension = Dimension::temperature;
  bool relative = false;  ///< compared by its logarithm: openings, power
  bool measured = true;   ///< a sensor; else an order that the log knows exactly
  /// By how much twin and machine differ although nothing is wrong, one sigma: for all places
  /// alike, and for each place of its own. SI, or parts of one for relative ones. Own estimates.
  double common = 0.0, own = 0.0;
  double bias = 0.0;    ///< of a usual sensor, one sigma
  double floor = 0.01;  ///< relative ones: added before the logarithm is taken
  double step = 1.0;    ///< what a signature's "up" means where the twin cannot say
  double (*read)(const TwinView&, std::size_t index) = nullptr;
};

std::span<const Trait> all_traits();
/// Null when there is none.
const Trait* find_trait(std::string_view name);

/// A trait at a place of a system.
struct Feature {
  const Trait* trait = nullptr;  ///< never null; static storage
  std::size_t index = 0;         ///< of the module or unit
  std::string place;             ///< "outdoor.1"

  /// The scale that is compared: the logarithm for relative traits.
  double scaled(double si) const;
  double unscaled(double scaled) const;
};

/// Every feature of a system, modules first.
std::vector<Feature> features_of(const System& system);

}  // namespace cw::diagnose
