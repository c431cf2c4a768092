#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/units.h"

/// How much refrigerant a room bears by three families of rules. The person decides which applies.
namespace cw::field {

/// Where an indoor unit stands or hangs, for the height at which refrigerant comes out
/// (IEC 60335-2-40: 0.6, 1.0, 1.8 and 2.2 m).
enum class Mounting { unknown, floor, window, wall, ceiling };
double release_height(Mounting mounting) noexcept;  ///< [m]; nan for unknown

/// One room as entered.
struct RoomFacts {
  std::string name;
  double volume = 0.0;      ///< of the room alone [m3]
  double connected = 0.0;   ///< of rooms open to it for good [m3]
  double floor_area = 0.0;  ///< [m2]
  bool institutional = false;
  bool volume_assumed = false;  ///< nobody measured it: no judgement
  bool lowest_basement = false;
  Mounting mounting = Mounting::unknown;

  double effective_volume() const { return volume + connected; }
};

enum class RoomVerdict { within, needs_data, over };
/// "within this rule as entered", "needs data", "over".
std::string_view words_of(RoomVerdict verdict) noexcept;

/// One rule on one room.
struct RoomLimit {
  std::string rule;  ///< "ASHRAE 15/34 style: EDVC by RCL"
  RoomVerdict verdict = RoomVerdict::needs_data;
  double limit = 0.0;                 ///< most releasable charge [kg]; nan when data is missing
  double margin = 0.0;                ///< limit - charge [kg]
  std::string formula;                ///< with the numbers
  std::string source;                 ///< edition and where the figure was read
  std::vector<std::string> measures;  ///< what brings it within
  int measures_needed = 0;            ///< EN 378 style: none, one or two
};

/// ASHRAE 15-2022 style [from memory]: class 1 EDVC = RCL V F; flammable EDVC = LFL V CF F with CF
/// 0.5; F = 0.5 where people cannot leave unaided.
/// @param rcl_or_lfl  [kg/m3]
double edvc(double rcl_or_lfl, bool flammable, double volume, bool institutional) noexcept;

/// IEC 60335-2-40 style: m_max = 2.5 LFL^1.25 h0 A^0.5 [kg]; LFL [kg/m3], h0 [m], A [m2].
double a2l_charge(double lfl, double height, double area) noexcept;
/// The floor area that a charge needs, (m/(2.5 LFL^1.25 h0))^2 [m2].
double a2l_area(double lfl, double height, double charge) noexcept;

/// Quantity limit with minimum ventilation by integrating a leak of 10 kg/h into a room whose door
/// gap of 0.0032 m2 at 2.2 m lets the heavy mixture out (facts A4):
/// V dx/dt = m - x c A sqrt(2 g h (rho - rho_air)/rho). [kg/m3]; empty when the gap holds it below
/// the RCL for ever.
/// @param rcl  [kg/m3]; @param molar_mass [kg/mol]
std::optional<double> quantity_limit(double rcl, double molar_mass);

/// Air that keeps a leak of 10 kg/h below the RCL for good: 10/RCL [m3/h] as [m3/s].
double ventilation_bound(double rcl) noexcept;
/// The least that does it while a charge m leaks into V: Q RCL/10 >= 1 - exp(-Q m/(10 V)) [m3/s].
double ventilation_needed(double rcl, double charge, double volume) noexcept;

/// How an altitude lowers a limit in kg/m3: the same parts per million weigh less in thin air, and
/// the oxygen limit falls (facts A6).
double altitude_factor(double rcl_ppm, Metre altitude, Pascal barometer) noexcept;

/// Every rule that speaks on this room and refrigerant, worst first.
/// @param charge  releasable [kg]
/// @error not_found  unknown refrigerant
Result<std::vector<RoomLimit>> judge_room(const RoomFacts& room, std::string_view refrigerant,
                                          Kilogram charge, Metre altitude, Pascal barometer);

}  // namespace cw::field
