#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "twin/twin.h"

/// Where the charge of a machine sits in one season, and between which charges the season is in
/// order: what a worksheet, a person with a scale and a look ahead all ask.
namespace cw::twin {

/// A steady hour to look at.
struct Season {
  std::string name;  ///< "deep winter, all units"
  Plant plant = Plant::heating;
  Weather weather;
  double room_K = 293.15;
  double calling = 1.0;  ///< share of the units that call, 0..1; at least one does
};

/// What a charge does in a season. Where "short" and "over" begin is common practice, no source:
/// short  the liquid that goes to the calling units' (heating: outdoor) valves is subcooled by less
///        than `short_subcooling_K` in the mean, or the evaporator cannot be fed any more: vapour
///        leaves it superheated by more than `starved_superheat_K`;
/// over   an accumulator is full and liquid leaves it towards the compressor, or the machine is
/// held
///        back by its high-pressure limit.
enum class ChargeOutcome { in_order, short_of, over, unsolved };
constexpr std::string_view name_of(ChargeOutcome outcome) noexcept {
  constexpr std::array<std::string_view, 4> names = {"in order", "short", "over", "not solved"};
  return names[static_cast<std::size_t>(outcome)];
}
inline constexpr double short_subcooling_K = 1.0;
inline constexpr double starved_superheat_K = 15.0;

/// One charge in one season, steady. Masses in kg, summed over modules and units.
struct ChargeSeat {
  ChargeOutcome outcome = ChargeOutcome::unsolved;
  std::string why;  ///< unsolved: the solver's sentence; short or over: by which sign
  double charge = 0.0;
  double outdoor_coils = 0.0, calling_coils = 0.0, stopped_coils = 0.0;
  double liquid_line = 0.0, gas_lines = 0.0;  ///< gas: suction, discharge and third line
  double accumulators = 0.0, dissolved = 0.0;
  double accumulator_level = 0.0;  ///< of the fullest; 1 is full
  /// What the accumulators take up until each is full: room below the outlet times liquid less the
  /// vapour that it replaces, at the evaporating temperature. Below zero what is too much.
  double accumulator_spare = 0.0;
  double subcooling_K = 0.0, superheat_K = 0.0;
  double discharge_K = 0.0, condensing_K = 0.0, evaporating_K = 0.0;
  double heat_W = 0.0;  ///< to the rooms; negative in cooling
};

/// A season with the charges between which it is in order.
struct ChargeView {
  Season season;
  ChargeSeat seat;              ///< at the charge that was asked for
  std::optional<double> least;  ///< smallest charge found in order [kg]; empty: none was found
  std::optional<double> most;   ///< largest charge found in order [kg]
  /// What stands below `least` and above `most`: short_of and over bound the range; unsolved says
  /// that the solver, and not the machine, ended the search; in_order that it went to the end of
  /// what was looked at.
  ChargeOutcome below = ChargeOutcome::unsolved, above = ChargeOutcome::unsolved;
};

/// Solves the season at `charge_kg`.
ChargeSeat seat_of_charge(const Model& model, const Season& season, double charge_kg);

/// The same with the range, which is looked for between `from_kg` and `to_kg`; ends that the
/// machine sets are found to within `step_kg` / 8, others to within `step_kg`. Some tens of steady
/// solves: tenths of a second for a dozen units.
/// @pre 0 < from_kg <= charge_kg <= to_kg, step_kg > 0
ChargeView view_charge(const Model& model, const Season& season, double charge_kg, double from_kg,
                       double to_kg, double step_kg);

}  // namespace cw::twin
