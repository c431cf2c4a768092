#pragma once

#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "system/system.h"

/// What follows from the pipe tree: volumes, lengths, heights, liquid.
///
/// All functions are thread-safe; a System is always complete, so that only fluid properties can
/// fail.
namespace cw {

/// Inside volume of the three lines [m3].
struct LineVolumes {
  double liquid_m3 = 0.0;
  double gas_m3 = 0.0;
  double third_m3 = 0.0;  ///< 0 where there is none

  double total_m3() const { return liquid_m3 + gas_m3 + third_m3; }
};

/// Bore times length; fittings take no volume of their own.
LineVolumes line_volumes(const Segment& segment);
LineVolumes line_volumes(const System& system);  ///< of all segments

/// Where the inside volume of the whole circuit is [m3].
struct InternalVolume {
  LineVolumes lines;
  double outdoor_coils_m3 = 0.0;
  double indoor_coils_m3 = 0.0;
  double accumulators_m3 = 0.0;
  double branch_boxes_m3 = 0.0;

  /// Compressor shells, oil separators and headers are not in it: no sheet has them.
  double total_m3() const {
    return lines.total_m3() + outdoor_coils_m3 + indoor_coils_m3 + accumulators_m3 +
           branch_boxes_m3;
  }
};
InternalVolume internal_volume(const System& system);

/// Length plus the equivalent lengths of the fittings [m]; `line` must be in the segment.
double equivalent_length(const Segment& segment, Line line);

/// The way from an outdoor module to an indoor unit.
struct UnitPath {
  std::size_t indoor = 0;   ///< in System::indoor()
  std::size_t outdoor = 0;  ///< the module with the longest way, in System::outdoor()
  double length_m = 0.0;    ///< along the pipes
  double equivalent_liquid_m = 0.0;
  double equivalent_gas_m = 0.0;
  double lift_m = 0.0;  ///< height of the unit above that module; negative below it
};
/// One path for each indoor unit, in their order.
std::vector<UnitPath> unit_paths(const System& system);

struct PipeLengths {
  double total_m = 0.0;               ///< of all segments, one way
  double longest_path_m = 0.0;        ///< from a module to a unit
  double longest_equivalent_m = 0.0;  ///< the same, gas line, with fittings
  std::size_t longest_unit = 0;       ///< in System::indoor()
  double highest_lift_m = 0.0;        ///< unit above module; 0 where none is
  double deepest_drop_m = 0.0;        ///< unit below module, as a positive height; 0 where none is
  double between_units_m = 0.0;       ///< highest unit above lowest unit
};
PipeLengths pipe_lengths(const System& system);

/// Length of one tube size in one kind of line.
struct TubeUse {
  Line line = Line::liquid;
  const Tube* tube = nullptr;  ///< never null
  double length_m = 0.0;
  double volume_m3 = 0.0;
  double copper_kg = 0.0;
};
/// By line, then by outside diameter.
std::vector<TubeUse> tube_uses(const System& system);

/// Density of saturated liquid [kg/m3].
/// @error out_of_range  temperature outside the refrigerant's saturation line
Result<double> liquid_density(const System& system, Kelvin temperature);

/// Liquid that fills the liquid lines at a temperature.
struct LiquidMass {
  double density_kg_per_m3 = 0.0;
  std::vector<double> segment_kg;  ///< in the order of System::segments()
  double total_kg = 0.0;
};
/// @error out_of_range  as liquid_density
Result<LiquidMass> liquid_mass(const System& system, Kelvin temperature);

/// Speed of saturated gas in a segment's gas line with all units behind it at rated cooling [m/s],
/// evaporating at `evaporating` with liquid from `condensing`.
/// @error out_of_range  as liquid_density
Result<double> rated_gas_speed(const System& system, const Segment& segment, Kelvin evaporating,
                               Kelvin condensing);

}  // namespace cw
