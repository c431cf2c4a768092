#include "checks/catalogue.h"

#include <algorithm>
#include <array>

#include "base/contract.h"
#include "base/toml_file.h"
#include "embedded/check_texts.h"

namespace cw {
namespace {

struct Registration {
  std::string_view id;
  std::vector<Finding> (*run)(const CheckContext&);
};

// A new check: one line here, one file of logic, one text in data/checks/.
constexpr std::array registrations = {
    Registration{"discharge-temperature", check::discharge_temperature},
    Registration{"discharge-superheat", check::discharge_superheat},
    Registration{"shell-superheat", check::shell_superheat},
    Registration{"condensing-target", check::condensing_target},
    Registration{"indoor-coil-heat", check::indoor_coil_heat},
    Registration{"outdoor-coil-frost", check::outdoor_coil_frost},
    Registration{"set-point", check::set_point},
    Registration{"evaporating-target", check::evaporating_target},
    Registration{"condensing-approach", check::condensing_approach},
    Registration{"condensing-pressure", check::condensing_pressure},
    Registration{"subcooling", check::subcooling},
    Registration{"suction-superheat", check::suction_superheat},
    Registration{"indoor-coil-cold", check::indoor_coil_cold},
    Registration{"indoor-superheat", check::indoor_superheat},
    Registration{"valve-leak", check::valve_leak},
    Registration{"standstill-pressure", check::standstill_pressure},
    Registration{"standstill-equal", check::standstill_equal},
    Registration{"sensor-zero", check::sensor_zero},
    Registration{"short-cycling", check::short_cycling},
    Registration{"commanded-real", check::commanded_real},
    Registration{"hunting", check::hunting},
    Registration{"sensor-sense", check::sensor_sense},
    Registration{"unequal-modules", check::unequal_modules},
    Registration{"indoor-peers", check::indoor_peers},
    Registration{"dry-discharge", check::dry_discharge},
    Registration{"indoor-subcooling", check::indoor_subcooling},
    Registration{"gas-line-drop", check::gas_line_drop},
    Registration{"defrost-pattern", check::defrost_pattern},
    Registration{"compressor-ceiling", check::compressor_ceiling},
    Registration{"branch-pressure", check::branch_pressure},
    Registration{"branch-liquid", check::branch_liquid},
    Registration{"changeover", check::changeover},
    Registration{"mixed-units", check::mixed_units},
    Registration{"reversing-leak", check::reversing_leak},
    Registration{"fan-approach", check::fan_approach},
    Registration{"shared-sensors", check::shared_sensors},
    Registration{"capacity", check::capacity},
};

AskedIn mode_named(std::string_view text) {
  for (const AskedIn mode : {AskedIn::heating, AskedIn::cooling, AskedIn::running,
                             AskedIn::recovery, AskedIn::standstill, AskedIn::any}) {
    if (name_of(mode) == text) return mode;
  }
  CW_REQUIRE(!"a check's mode is one of the closed list");
  return AskedIn::any;
}

std::vector<std::string> list_at(const toml::table& table, std::string_view key) {
  std::vector<std::string> out;
  if (const toml::array* items = table[key].as_array()) {
    for (const toml::node& item : *items) out.push_back(item.value_or(std::string{}));
  }
  return out;
}

Check read_check(const Registration& registration) {
  const std::string name = "checks/" + std::string(registration.id) + ".toml";
  for (const EmbeddedFile& file : embedded::check_texts()) {
    if (file.name != name) continue;
    const Result<toml::table> table = parse_toml(file.text, file.name);
    CW_REQUIRE(table.has_value());
    const auto text = [&](std::string_view key) {
      const std::string value = (*table)[key].value_or(std::string{});
      CW_REQUIRE(!value.empty());
      return value;
    };
    Check out;
    out.id = registration.id;
    out.title = text("title");
    out.asks = text("asks");
    out.means = text("means");
    out.why = text("why");
    out.needs = text("needs");
    out.cannot_see = text("cannot_see");
    out.mode = mode_named(text("mode"));
    out.main = (*table)["main"].value_or(false);
    out.instant = (*table)["instant"].value_or(false);
    out.sheet = (*table)["sheet"].value_or(false);
    out.plot = list_at(*table, "plot");
    out.plot_limits = list_at(*table, "plot_limits");
    out.run = registration.run;
    return out;
  }
  CW_REQUIRE(!"every registered check has a text in data/checks");
  return {};
}

}  // namespace

std::string_view name_of(AskedIn mode) noexcept {
  switch (mode) {
    case AskedIn::heating:
      return "heating";
    case AskedIn::cooling:
      return "cooling";
    case AskedIn::running:
      return "running";
    case AskedIn::recovery:
      return "recovery";
    case AskedIn::standstill:
      return "standstill";
    case AskedIn::any:
      return "any";
  }
  return "any";
}

std::span<const Check> check_catalogue() {
  static const std::vector<Check> checks = [] {
    std::vector<Check> out;
    for (const Registration& registration : registrations) out.push_back(read_check(registration));
    return out;
  }();
  return checks;
}

const Check* find_check(std::string_view id) {
  for (const Check& check : check_catalogue()) {
    if (check.id == id) return &check;
  }
  return nullptr;
}

bool is_asked(const Check& check, const CheckContext& context) {
  if (check.sheet && context.system == nullptr) return false;
  const std::vector<PhaseKind>& kinds = context.phases.system.kind_at;
  const auto seen = [&](PhaseKind kind) {
    return std::find(kinds.begin(), kinds.end(), kind) != kinds.end();
  };
  const Work work = context.phases.system.work();
  const bool mixes = work.mixes || !context.recording.places(PlaceKind::branch).empty();
  // Of a machine that never runs only the main questions of running stay open: they keep the
  // verdict open, and the rest would fill pages.
  const bool rests = !kinds.empty() && std::all_of(kinds.begin(), kinds.end(), [](PhaseKind kind) {
    return kind == PhaseKind::off;
  });
  const bool of_running = check.mode == AskedIn::running && check.main;
  if (rests && !of_running && check.mode != AskedIn::standstill && check.mode != AskedIn::any) {
    return false;
  }
  switch (check.mode) {
    case AskedIn::heating:
      return work.heats || (!work.cools && !work.mixes);
    case AskedIn::cooling:
      return work.cools || (!work.heats && !work.mixes);
    case AskedIn::recovery:
      return mixes;
    case AskedIn::standstill:
      return !context.instant && seen(PhaseKind::off);
    case AskedIn::running:
    case AskedIn::any:
      return true;
  }
  return true;
}

}  // namespace cw
