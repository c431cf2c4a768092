#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace cw {

/// One size of copper tube from data/tubes/.
struct Tube {
  std::string name;      ///< as sheets write it: "3/8", "3/8 drawn", "9.52x0.8"
  std::string standard;  ///< "ASTM B280" or "EN 12735-1"
  std::string temper;  ///< "annealed", "drawn", "annealed or drawn"; empty where the table has none
  double outside_diameter_m = 0.0;
  double wall_m = 0.0;
  double copper_kg_per_m = 0.0;
  std::string source;  ///< of the dimensions

  double bore_m() const { return outside_diameter_m - 2.0 * wall_m; }
  /// Volume inside one metre of tube [m3/m], which is the bore's area [m2].
  double bore_area_m2() const;
};

/// Every size, by standard and then by outside diameter. Made once; thread-safe.
const std::vector<Tube>& tube_table();

/// Finds a size by name. Read alike: "3/8", "3/8 in", "3/8\"", "1 1/8" and "1-1/8"; "9.52x0.8",
/// "EN 9.52 x 0.8" and "9.52 mm" (the first EN size of that outside diameter, within 0.06 mm).
/// @error not_found  no such size; the fix names the nearest one
/// Thread-safe; the pointer stays valid.
Result<const Tube*> find_tube(std::string_view name);

}  // namespace cw
