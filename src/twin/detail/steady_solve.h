#pragma once

#include <array>
#include <string>

#include "twin/detail/controls.h"
#include "twin/detail/network.h"

/// The steady solve: the implicit step with ever longer time steps (pseudo-transient continuation
/// [kelley1998]), the controls inside the step.
///
/// Each control is a complementarity: it holds its target, or it stands at a stop from which the
/// target calls it further out. Which of the two is chosen anew before each step (an active set);
/// the one that holds goes into the linear system, so that it meets its target with the step.
namespace cw::twin::detail {

class SteadySolve {
 public:
  SteadySolve(const ModelData& model, const Weather& weather, const Orders& orders,
              const Faults& faults, double room_K, StateData& state) noexcept
      : model_(model),
        weather_(weather),
        orders_(orders),
        faults_(faults),
        room_K_(room_K),
        state_(state),
        c_(model.parameters.controls) {}

  /// Calls, rooms and speeds as in steady running, properties refreshed.
  void arrange() noexcept;
  /// @returns false where it stalls; `report` says how far it came and the state is spoilt
  /// The same from a state near the solution, at once with long steps: half the iterations where it
  /// works. Nothing is taken back on the way.
  /// @returns false where it does not close in; the state is spoilt then, and run() the way
  bool leap(double tolerance, Steady& report) noexcept;
  bool run(double first_dt, double tolerance, Steady& report) noexcept;

 private:
  bool cooling() const noexcept { return orders_.plant == Plant::cooling; }
  void choose_holds() noexcept;
  void choose_unit(std::size_t i) noexcept;
  void choose_module(std::size_t j) noexcept;
  void choose_speed() noexcept;
  void choose_fan() noexcept;
  /// @param defect  what the step left
  double change_since_last(double defect) noexcept;
  StepKind kind_of(double dt) const noexcept;

  const ModelData& model_;
  const Weather& weather_;
  const Orders& orders_;
  const Faults& faults_;
  double room_K_;
  StateData& state_;
  const Controls& c_;
  Topology topology_;  ///< since arrange()
  Sight sight_;
  SpeedHold hold_;
  double fan_ = 1.0, fan_gain_ = 0.06, last_fan_error_ = 0.0;
  double ease_ = 1.0;  ///< share of what is not in the linear system that moves in one step
  std::array<double, most_lumps> last_p_{}, last_M_{};
  std::array<double, most_units> last_flow_{};
  double last_share_ = 0.0, last_fan_ = 0.0;
  double dt_ = 1.0;
  double jump_ = 0.0;  ///< what a step may not exceed
};

}  // namespace cw::twin::detail
