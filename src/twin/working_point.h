#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "twin/twin.h"

/// Steady states with what a person asks of them: where the refrigerant is, which of the machine's
/// own limits it has run into, and where over weather and charge it trips or floods.
namespace cw::twin {

/// One working point of a machine.
struct Ask {
  Plant plant = Plant::heating;
  Weather weather;
  double room_K = 294.15;
  std::vector<bool> calls;  ///< one for each indoor unit; empty: all call
  double charge_kg = 0.0;   ///< 0: the sheet's
  Faults faults;
};

/// A controller that holds a limit stands beside it, and holds it from the safe side: what is this
/// close has reached it. Temperatures, and shares of pressures. Own choice.
inline constexpr double near_limit_K = 0.5;
inline constexpr double near_limit_share = 0.01;

/// A limit of the machine's own that a state stands at or beyond.
struct LimitReached {
  std::string_view what;  ///< "discharge temperature"; static storage
  std::string place;      ///< "outdoor.1"
  double value = 0.0;     ///< SI
  double limit = 0.0;     ///< SI
  Dimension dimension = Dimension::temperature;
  bool trips = false;  ///< the compressor stops; else it is held back
};

struct WorkingPoint {
  double charge_kg = 0.0;
  Steady solve;
  Readings readings;
  Inventory inventory;
  Insight insight;
  double subcooling_K = 0.0;  ///< the least, of what condenses: calling units in heating, modules
                              ///< in cooling
  std::vector<LimitReached> limits;
  bool trips = false;   ///< at least one limit that stops the compressor
  bool floods = false;  ///< an accumulator is full: liquid goes over its edge to the compressor
};

/// The machine's own limits that readings stand at, by module.
std::vector<LimitReached> limits_reached(const Model& model, const Readings& readings);

/// Orders that keep the calls as they are, whatever the rooms do.
/// @param calls  one for each indoor unit
Orders fixed_calls(Plant plant, double room_K, const std::vector<bool>& calls);

/// The steady state of a machine; from rest, so that the same question has the same answer.
/// @error invalid_argument  calls or faults that do not fit the system's units and modules
/// @error as state_at_rest and solve_steady
/// Thread-safe. Some hundredths of a second.
Result<WorkingPoint> working_point(const Model& model, const Ask& ask);

/// The same, several times faster, from a solved state of a near question in `state`; where that
/// does not help, or `state` is empty, from rest. `state` is then the answer's, after an error
/// empty.
Result<WorkingPoint> working_point(const Model& model, const Ask& ask, std::optional<State>& state);

/// A cell of the map of weather and charge.
struct MapCell {
  std::optional<WorkingPoint> point;
  std::string why;  ///< there is none: the reason
};

struct MapOptions {
  std::vector<double> outdoors_K;
  std::vector<double> charges_kg;
  std::function<void(std::size_t done, std::size_t total)> progress;  ///< may be empty
  std::function<bool()> stop;  ///< may be empty; true ends the work with an error
};

/// Working points over outdoor temperature and charge, `ask` for the rest. Neighbours help each
/// other; where that fails the point is sought from rest.
/// @returns  [n_outdoor][n_charge]
/// @error invalid_argument  stopped, or as working_point
Result<std::vector<std::vector<MapCell>>> charge_map(const Model& model, const Ask& ask,
                                                     const MapOptions& options);

}  // namespace cw::twin
