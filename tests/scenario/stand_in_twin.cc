// A test double of the twin: a machine of a few lines with the twin's interface, so that the
// scenario module can be tested in milliseconds and knows what it must find. No physics: rooms
// follow the call, pressures the frequency, a defrost of five minutes comes every hour.
#include <cmath>

#include "twin/solve_near.h"
#include "twin/twin.h"

namespace cw::twin {

namespace detail {
struct ModelData {
  System system;
  Parameters parameters;
  std::vector<Assumption> assumptions;
};
struct StateData {
  double time_s = 0.0;
  double mass_kg = 0.0;
  Weather weather;
  Orders orders;
  std::vector<double> rooms;
  std::vector<bool> calling;
  bool running = false;
};
}  // namespace detail

const System& Model::system() const { return data_->system; }
const Parameters& Model::parameters() const { return data_->parameters; }
const std::vector<Assumption>& Model::assumptions() const { return data_->assumptions; }

Result<Model> make_model(const System& system, const Parameters& parameters) {
  Model out;
  out.data_ = std::make_shared<const detail::ModelData>(detail::ModelData{
      system, parameters, {{"system", "stand-in", 0.0, Dimension::ratio, "yes", "a test", "own"}}});
  return out;
}
Result<Parameters> parameters_of(const System&) { return Parameters{}; }

State::State(std::unique_ptr<detail::StateData> data) : data_(std::move(data)) {}
State::State(const State& other) : data_(std::make_unique<detail::StateData>(*other.data_)) {}
State& State::operator=(const State& other) {
  *data_ = *other.data_;
  return *this;
}
State::State(State&&) noexcept = default;
State& State::operator=(State&&) noexcept = default;
State::~State() = default;
double State::time_s() const { return data_->time_s; }

Result<State> state_at_rest(const Model& model, const Weather& weather, double room_K,
                            double charge_kg) {
  if (charge_kg > 200.0) return Error{ErrorCode::out_of_range, "the charge does not fit", "", ""};
  auto data = std::make_unique<detail::StateData>();
  data->mass_kg = charge_kg;
  data->weather = weather;
  data->rooms.assign(model.system().indoor().size(), room_K);
  data->calling.assign(model.system().indoor().size(), false);
  return State(std::move(data));
}

Result<Advance> advance(const Model&, State& state, const Weather& weather, const Orders& orders,
                        const Faults& faults, double seconds) {
  detail::StateData& s = state.data();
  if (!(seconds > 0.0) || orders.units.size() != s.rooms.size()) {
    return Error{ErrorCode::no_convergence, "wrong orders", "", ""};
  }
  s.time_s += seconds;
  s.weather = weather;
  s.orders = orders;
  s.mass_kg -= faults.leak_kg_per_s * seconds;
  s.running = false;
  for (std::size_t i = 0; i < s.rooms.size(); ++i) {
    const UnitOrder& order = orders.units[i];
    const bool stuck = faults.units[i].valve_stuck.has_value();
    if (s.rooms[i] < order.set_point_K - 0.5) s.calling[i] = true;
    if (s.rooms[i] > order.set_point_K + 0.5) s.calling[i] = false;
    if (order.call) s.calling[i] = *order.call;
    if (!order.on) s.calling[i] = false;
    s.running = s.running || s.calling[i];
    const double heat = s.calling[i] && !stuck ? 8e-4 : 0.0;
    s.rooms[i] +=
        seconds * (heat - 1e-5 * (s.rooms[i] - weather.temperature_K) + 1e-7 * order.gains_W);
  }
  return Advance{1, 0, seconds};
}

Result<Steady> solve_steady(const Model&, State&, const Weather&, const Orders&, const Faults&,
                            double, double) {
  return Error{ErrorCode::unsupported, "the stand-in has no steady state", "", ""};
}

Result<Steady> solve_near(const Model&, State&, const Weather&, const Orders&, const Faults&,
                          double, double) {
  return Error{ErrorCode::unsupported, "the stand-in has no steady state", "", ""};
}

void add_charge(const Model&, State& state, double mass_kg) { state.data().mass_kg += mass_kg; }

void read(const Model& model, const State& state, const Faults& faults, Readings& out) {
  const detail::StateData& s = state.data();
  const auto offset = [&](const std::string& channel) {
    double sum = 0.0;
    for (const SensorFault& fault : faults.sensors) {
      if (fault.channel == channel) sum += fault.offset;
    }
    return sum;
  };
  const bool defrost = s.running && std::fmod(s.time_s, 3600.0) >= 3300.0;
  out.activity = !s.running ? Activity::off : defrost ? Activity::defrosting : Activity::running;
  out.outdoor_temperature = s.weather.temperature_K + offset("site.outdoor_temperature");
  out.modules.resize(model.system().outdoor().size());
  out.units.resize(model.system().indoor().size());
  for (std::size_t j = 0; j < out.modules.size(); ++j) {
    ModuleReadings& m = out.modules[j];
    const double on = s.running ? 1.0 : 0.0;
    m.discharge_pressure =
        1.0e6 + 2.0e6 * on + offset("outdoor." + std::to_string(j + 1) + ".discharge_pressure");
    m.suction_pressure = 0.9e6 - 0.4e6 * on;
    m.discharge_temperature = 300.0 + 55.0 * on;
    m.suction_temperature = s.weather.temperature_K - 5.0 * on;
    m.shell_temperature = 300.0 + 20.0 * on;
    m.coil_temperature = s.weather.temperature_K - 9.0 * on;
    m.compressor_frequency = 60.0 * on;
    m.valve_opening = 0.5 * on;
    m.fan_speed = defrost ? 0.0 : on;
    m.power = 8000.0 * on;
    m.defrosting = defrost;
  }
  for (std::size_t i = 0; i < out.units.size(); ++i) {
    UnitReadings& u = out.units[i];
    u.on = s.orders.units.empty() || s.orders.units[i].on;
    u.set_point = s.orders.units.empty() ? 294.15 : s.orders.units[i].set_point_K;
    u.calling = s.calling[i];
    u.cooling = false;
    u.controlled_temperature = s.rooms[i];
    u.gas_pipe_temperature = s.rooms[i] + (u.calling ? 40.0 : 0.0);
    u.liquid_pipe_temperature = s.rooms[i] + (u.calling ? 18.0 : 0.0);
    u.supply_air_temperature = s.rooms[i] + (u.calling ? 20.0 : 0.0);
    u.valve_opening = faults.units.empty() ? 0.0 : faults.units[i].valve_stuck.value_or(0.6);
    u.fan_speed = u.on ? 0.7 : 0.0;
  }
}

void take_stock(const Model& model, const State& state, Inventory& out) {
  const detail::StateData& s = state.data();
  out.modules.resize(model.system().outdoor().size());
  out.units.resize(model.system().indoor().size());
  out.total = s.mass_kg;
  out.liquid_line = s.mass_kg;
}

void look_inside(const Model& model, const State& state, Insight& out) {
  const detail::StateData& s = state.data();
  out.modules.resize(model.system().outdoor().size());
  out.units.resize(model.system().indoor().size());
  for (std::size_t i = 0; i < out.units.size(); ++i) out.units[i].room_K = s.rooms[i];
  out.heat_to_rooms_W = s.running ? 20e3 : 0.0;
}

Conservation conservation_of(const Model&, const State&) { return {1e-12, 2e-9}; }

}  // namespace cw::twin
