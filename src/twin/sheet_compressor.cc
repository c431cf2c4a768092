#include "twin/sheet_compressor.h"

#include "twin/compressor_map_file.h"

namespace cw::twin {

Result<Compressor> compressor_of(const System& system, const OutdoorModule& module,
                                 const Parameters& parameters) {
  if (!module.compressor_map.empty()) {
    auto map = read_compressor_map(std::filesystem::path(system.file()).parent_path() /
                                   module.compressor_map);
    if (!map) return map.error();
    return make_map_compressor(system.refrigerant(), *map);
  }
  EfficiencyParameters e;
  e.displacement = module.displacement_m3;
  e.rated_speed = 0.55 * module.speed_highest_Hz;
  e.leak *= parameters.leak_factor;
  e.volume_ratio *= parameters.volume_ratio_factor;
  return make_efficiency_compressor(system.refrigerant(), e);
}

bool compressor_is_assumed(const System& system, const OutdoorModule& module) {
  return module.compressor_map.empty() &&
         system.is_assumed(module.id + ".compressor", "displacement");
}

}  // namespace cw::twin
