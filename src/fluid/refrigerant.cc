#include "fluid/refrigerant.h"

#include <array>
#include <string>
#include <vector>

#include "base/text.h"
#include "embedded/fluids.h"
#include "fluid/detail/model.h"
#include "fluid/detail/table_cache.h"
#include "fluid/table.h"

namespace cw::fluid {
namespace {

/// One line a refrigerant: the name for people and its data file.
struct Registration {
  std::string_view name;
  std::string_view file;
};
constexpr Registration registrations[] = {
    {"R-410A", "fluids/r410a.toml"},      {"R-32", "fluids/r32.toml"},
    {"R-454B", "fluids/r454b.toml"},      {"R-407C", "fluids/r407c.toml"},
    {"R-134a", "fluids/r134a.toml"},      {"R-22", "fluids/r22.toml"},
    {"R-125", "fluids/r125.toml"},        {"R-1234yf", "fluids/r1234yf.toml"},
    {"nitrogen", "fluids/nitrogen.toml"},
};
constexpr std::size_t registered = std::size(registrations);

constexpr auto names = [] {
  std::array<std::string_view, registered> out;
  for (std::size_t i = 0; i < registered; ++i) out[i] = registrations[i].name;
  return out;
}();

struct Loaded {
  Result<detail::Model> model;
  Refrigerant refrigerant;

  explicit Loaded(const Registration& registration)
      : model(load(registration)), refrigerant(model ? model.value() : unusable()) {}

  static const detail::Model& unusable() {
    static const detail::Model model;
    return model;
  }
  static Result<detail::Model> load(const Registration& registration) {
    return detail::load_model(embedded::fluids(), registration.file);
  }
};

// One static a registration: the language initialises each once, on first use, also when two
// threads ask at the same time.
template <std::size_t index>
const Loaded& loaded() {
  static const Loaded instance(registrations[index]);
  return instance;
}
using Getter = const Loaded& (*)();
constexpr auto getters = []<std::size_t... index>(std::index_sequence<index...>) {
  return std::array<Getter, registered>{&loaded<index>...};
}
(std::make_index_sequence<registered>());

struct Tabulated {
  Result<Table> table;
  TableOrigin origin;
};
template <std::size_t index>
const Tabulated& tabulated() {
  static const Tabulated instance = [] {
    auto made =
        detail::cached_table(*loaded<index>().model, detail::data_fingerprint(embedded::fluids()),
                             detail::cache_directory());
    if (!made.data) return Tabulated{made.data.error(), std::move(made.origin)};
    return Tabulated{Table(std::move(*made.data)), std::move(made.origin)};
  }();
  return instance;
}
using TableGetter = const Tabulated& (*)();
constexpr auto table_getters = []<std::size_t... index>(std::index_sequence<index...>) {
  return std::array<TableGetter, registered>{&tabulated<index>...};
}
(std::make_index_sequence<registered>());

/// Null for a fluid without table.
const Tabulated* tabulated_of(const Refrigerant& refrigerant) {
  for (std::size_t i = 0; i < registered; ++i) {
    if (registrations[i].name != refrigerant.name()) continue;
    return refrigerant.model().iir.available ? &table_getters[i]() : nullptr;
  }
  return nullptr;
}

/// "R-410A", "r 410a" and "R410A" become "r410a".
std::string canonical(std::string_view name) {
  std::string out;
  for (const char c : to_lower(trim(name))) {
    if (c != '-' && c != ' ') out += c;
  }
  return out;
}

}  // namespace

std::string_view Refrigerant::name() const noexcept { return model_->name; }
std::string_view Refrigerant::composition() const noexcept { return model_->composition; }
FluidKind Refrigerant::kind() const noexcept { return model_->kind; }
std::string_view Refrigerant::equation_source() const noexcept { return model_->equation_source; }
double Refrigerant::molar_mass() const noexcept { return model_->molar_mass; }
Kelvin Refrigerant::critical_temperature() const noexcept { return {model_->critical_temperature}; }
Pascal Refrigerant::critical_pressure() const noexcept { return {model_->critical_pressure}; }
Kelvin Refrigerant::minimum_temperature() const noexcept { return {model_->minimum_temperature}; }
Kelvin Refrigerant::maximum_temperature() const noexcept { return {model_->maximum_temperature}; }
Pascal Refrigerant::maximum_pressure() const noexcept { return {model_->maximum_pressure}; }

Result<const Table*> table_of(const Refrigerant& refrigerant) {
  const Tabulated* found = tabulated_of(refrigerant);
  if (found == nullptr) {
    return Error{ErrorCode::unsupported,
                 std::string(refrigerant.name()) + " has no table: it is not used as a refrigerant",
                 "", "use the equation of state"};
  }
  if (!found->table) return found->table.error();
  return &found->table.value();
}

TableOrigin table_origin(const Refrigerant& refrigerant) {
  const Tabulated* found = tabulated_of(refrigerant);
  return found != nullptr ? found->origin : TableOrigin{};
}

std::span<const std::string_view> refrigerant_names() noexcept { return names; }

Result<const Refrigerant*> find_refrigerant(std::string_view name) {
  const std::string wanted = canonical(name);
  for (std::size_t i = 0; i < registered; ++i) {
    if (canonical(registrations[i].name) != wanted) continue;
    const Loaded& found = getters[i]();
    if (!found.model) return found.model.error();
    return &found.refrigerant;
  }
  std::vector<std::string> known(names.begin(), names.end());
  return Error{ErrorCode::not_found, "unknown refrigerant \"" + std::string(name) + "\"", "",
               "known are " + list_of(known)};
}

}  // namespace cw::fluid
