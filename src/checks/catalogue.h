#pragma once

#include <vector>

#include "checks/check.h"

/// One function for each check; each lives in a file of its own and is registered in catalogue.cc.
namespace cw::check {

std::vector<Finding> discharge_temperature(const CheckContext& context);
std::vector<Finding> discharge_superheat(const CheckContext& context);
std::vector<Finding> shell_superheat(const CheckContext& context);
std::vector<Finding> condensing_target(const CheckContext& context);
std::vector<Finding> indoor_coil_heat(const CheckContext& context);
std::vector<Finding> outdoor_coil_frost(const CheckContext& context);
std::vector<Finding> set_point(const CheckContext& context);
std::vector<Finding> evaporating_target(const CheckContext& context);
std::vector<Finding> condensing_approach(const CheckContext& context);
std::vector<Finding> condensing_pressure(const CheckContext& context);
std::vector<Finding> subcooling(const CheckContext& context);
std::vector<Finding> suction_superheat(const CheckContext& context);
std::vector<Finding> indoor_superheat(const CheckContext& context);
std::vector<Finding> indoor_coil_cold(const CheckContext& context);
std::vector<Finding> valve_leak(const CheckContext& context);
std::vector<Finding> standstill_pressure(const CheckContext& context);
std::vector<Finding> standstill_equal(const CheckContext& context);
std::vector<Finding> sensor_zero(const CheckContext& context);
std::vector<Finding> short_cycling(const CheckContext& context);
std::vector<Finding> commanded_real(const CheckContext& context);
std::vector<Finding> hunting(const CheckContext& context);
std::vector<Finding> sensor_sense(const CheckContext& context);
std::vector<Finding> unequal_modules(const CheckContext& context);
std::vector<Finding> indoor_peers(const CheckContext& context);
std::vector<Finding> dry_discharge(const CheckContext& context);
std::vector<Finding> indoor_subcooling(const CheckContext& context);
std::vector<Finding> gas_line_drop(const CheckContext& context);
std::vector<Finding> defrost_pattern(const CheckContext& context);
std::vector<Finding> compressor_ceiling(const CheckContext& context);
std::vector<Finding> branch_pressure(const CheckContext& context);
std::vector<Finding> branch_liquid(const CheckContext& context);
std::vector<Finding> changeover(const CheckContext& context);
std::vector<Finding> mixed_units(const CheckContext& context);
std::vector<Finding> reversing_leak(const CheckContext& context);
std::vector<Finding> fan_approach(const CheckContext& context);
std::vector<Finding> shared_sensors(const CheckContext& context);
std::vector<Finding> capacity(const CheckContext& context);

}  // namespace cw::check
