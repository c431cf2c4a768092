#pragma once

#include <array>
#include <memory>
#include <optional>
#include <vector>

#include "twin/detail/model_data.h"

/// What a State holds. SI.
namespace cw::twin::detail {

/// How an opening answers within one step of a steady solve: it changes by `now`, and by so much
/// for each kelvin that subcooling or superheat change.
struct Response {
  double now = 0.0, per_subcooling_K = 0.0, per_superheat_K = 0.0;
};

struct LumpState {
  double M = 0.0, U = 0.0, h = 0.0, T_wall = 0.0;
  double p = 0.0, offset = 0.0;
  double link = 0.0;                         ///< flow towards the hub of its group [kg/s]
  double M0 = 0.0, U0 = 0.0, T_wall0 = 0.0;  ///< at the start of the step
  // Scratch.
  Saturated sat;
  CellState state;
  PortState out;       ///< what leaves it
  double level = 0.0;  ///< accumulators: liquid over the usable volume
};

struct ModuleState {
  CoilState coil;
  double T_shell = 0.0, T_shell0 = 0.0;
  double dissolved = 0.0;  ///< refrigerant in the oil [kg]
  double flow = 0.0;       ///< through the compressors [kg/s]
  double power = 0.0;      ///< of the compressors [W]
  double suction_T = 0.0;  ///< of what leaves the accumulator [K]
  bool on = false;         ///< compressor runs
  double speed = 0.0;      ///< [rev/s]
  double valve = 0.0;      ///< expansion valve, 0..1
  double trim = 0.0;       ///< its share above the feed-forward
  Response response;
  double fan = 0.0;  ///< 0..1
  /// Outdoor air minus coil after the last defrost, over the share of the highest speed [K].
  double clean_drop = -1.0;
  double since_defrost = 0.0;  ///< running [s]
  double frosted_for = 0.0;    ///< that the coil has seemed frosted [s]
  bool turned = false;      ///< defrosts by itself: its coil stands the other way than the plant's
  double turned_for = 0.0;  ///< [s]
  // Heat recovery:
  bool opposed = false;  ///< its coil stands the other way than `reversed`, for the balance
  double pace = 1.0;     ///< fan that the coil's side asks for, 0..1
  double gate = 1.0;     ///< share of its valve's opening that the balance leaves, 0..1
};

struct UnitState {
  CoilState coil;
  double valve = 0.0;
  double fan = 0.0;
  bool calling = false;
  bool cooling = false;
  bool melts = false;  ///< gives its heat to a defrost: led to the suction whatever it calls for
  double calling_for = 0.0;  ///< [s]
  double sensor = 0.0;       ///< controlled temperature with its lag [K]
  Response response;
  double set_point = 294.15;
  bool on = false;
};

struct RoomState {
  double T_air = 0.0, T_mass = 0.0;
};

/// What must not change and what has crossed the border.
struct Account {
  double mass_start = 0.0, mass_added = 0.0, mass_lost = 0.0;
  double energy_start = 0.0, energy_in = 0.0;  ///< [J]
  double heat_moved = 0.0;                     ///< absolute, at the air sides [J]
};

struct StateData {
  std::vector<LumpState> lumps;
  std::vector<ModuleState> modules;
  std::vector<UnitState> units;
  std::vector<RoomState> rooms;
  double time = 0.0;
  double next_control = 0.0;
  double outdoor_T = 280.15;
  double least_suction_density = 0.0;  ///< see feed_forward
  double dt = 0.05;
  bool patient = false;  ///< steps are StepKind::patient: those before balanced at no length
  // The machine's own view.
  Activity activity = Activity::off;
  double activity_for = 0.0;  ///< [s]
  double since_oil_return = 0.0, off_for = 1e9;
  bool reversed = false;     ///< outdoor coils condense
  double resting = 0.0;      ///< [s] left of a pause in which the pressures meet
  double speed_share = 0.0;  ///< of the highest speed, before limits
  double outdoor_fan = 0.0;
  double last_hottest = 0.0;               ///< discharge at the last decision [K]; 0: unknown
  std::optional<double> last_speed_error;  ///< at the last decision [K]; none unless it was running
  // Heat recovery, see balance_coils: how long heat has been too much or too little, and since when
  // the outdoor coils stand as they do [s].
  double balance_for = 0.0, since_turn = 0.0;
  Account account;
  // Flows in segments, scratch.
  std::vector<double> segment_flow;
  /// Where a rejected step goes back to; never shared between states (State copies drop it).
  std::shared_ptr<StateData> backup;
};

/// Whether the outdoor coil of a module condenses.
inline bool condenses(const StateData& state, std::size_t module) noexcept {
  const ModuleState& m = state.modules[module];
  return (state.reversed != m.opposed) != m.turned;
}

/// Copies the state into its backup, whose memory is used again, and back.
inline void keep_copy(StateData& state) {
  if (!state.backup) state.backup = std::make_shared<StateData>();
  const std::shared_ptr<StateData> copy = std::move(state.backup);
  state.backup.reset();
  *copy = state;
  state.backup = copy;
}
inline void go_back(StateData& state) {
  const std::shared_ptr<StateData> copy = state.backup;
  state = *copy;
  state.backup = copy;
}

}  // namespace cw::twin::detail
