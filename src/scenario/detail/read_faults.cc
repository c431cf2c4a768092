#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "scenario/channels.h"
#include "scenario/detail/sections.h"

namespace cw::scenario::detail {
namespace {

std::string place_words(FaultPlace place) {
  switch (place) {
    case FaultPlace::module:
      return "outdoor module";
    case FaultPlace::unit:
      return "indoor unit";
    case FaultPlace::module_or_unit:
      return "outdoor module or indoor unit";
    case FaultPlace::channel:
      return "channel";
    case FaultPlace::system:
      break;
  }
  return "system";
}

/// Where a fault sits: its targets and what the scenario calls them.
struct Placed {
  FaultTarget target;
  std::string place;
};

const FaultKind* read_kind(const Table& table) {
  const auto name = table.text("kind");
  if (!name) {
    if (!table.has("kind")) {
      table.fail("kind", "kind is missing",
                 "Write for example kind = \"leak\"; `coilwright simulate --list-faults` shows all",
                 ErrorCode::parse);
    }
    return nullptr;
  }
  const FaultKind* kind = find_fault_kind(*name);
  if (kind != nullptr) return kind;
  std::string nearest;
  std::size_t best = 5;  // farther away it is no misspelling
  for (const FaultKind& known : fault_kinds()) {
    const std::size_t distance = edit_distance(*name, known.name);
    if (distance >= best) continue;
    best = distance;
    nearest = known.name;
  }
  table.fail("kind", "there is no fault \"" + *name + "\"",
             nearest.empty() ? "`coilwright simulate --list-faults` shows all"
                             : "Did you mean \"" + nearest + "\"?",
             ErrorCode::not_found);
  return nullptr;
}

void add_matches(const std::vector<std::string>& ids, FaultPlace place, const std::string& pattern,
                 std::vector<Placed>& out) {
  for (const std::size_t index : matching(ids, pattern)) {
    out.push_back({{place, index, {}}, ids[index]});
  }
}

std::vector<Placed> read_places(const Table& table, const FaultKind& kind, const Context& context,
                                const std::vector<ChannelSource>& channels) {
  std::vector<Placed> out;
  if (kind.place == FaultPlace::system) {
    if (table.has("place")) {
      table.fail("place", std::string(kind.name) + " concerns the whole system", "Leave place out",
                 ErrorCode::inconsistent);
    }
    return {{{FaultPlace::system, 0, {}}, "system"}};
  }
  const std::vector<std::string> patterns = table.texts("place");
  if (patterns.empty() && !table.has("place")) {
    table.fail(
        "place", std::string(kind.name) + " needs a place",
        "Name the " + place_words(kind.place) + ": place = \"" +
            (kind.place == FaultPlace::channel ? context.module_ids.front() + ".suction_pressure"
             : kind.place == FaultPlace::unit  ? context.unit_ids.front()
                                               : context.module_ids.front()) +
            "\"",
        ErrorCode::parse);
  }
  for (const std::string& pattern : patterns) {
    const std::size_t before = out.size();
    if (kind.place == FaultPlace::module || kind.place == FaultPlace::module_or_unit) {
      add_matches(context.module_ids, FaultPlace::module, pattern, out);
    }
    if (kind.place == FaultPlace::unit || kind.place == FaultPlace::module_or_unit) {
      add_matches(context.unit_ids, FaultPlace::unit, pattern, out);
    }
    if (kind.place == FaultPlace::channel) {
      for (std::size_t c = 0; c < channels.size(); ++c) {
        if (!channels[c].measured || !matches(pattern, channels[c].name)) continue;
        out.push_back({{FaultPlace::channel, c, channels[c].twin_name}, channels[c].name});
      }
    }
    if (out.size() == before) {
      table.fail("place", "no " + place_words(kind.place) + " is called \"" + pattern + "\"",
                 kind.place == FaultPlace::channel
                     ? "Name a measured channel such as site.outdoor_temperature"
                     : "Places are those of the system sheet, such as " +
                           context.module_ids.front() + " and " + context.unit_ids.front(),
                 ErrorCode::not_found);
    }
  }
  return out;
}

/// The difference that a sensor of this dimension is off by, and the most that makes sense.
struct BiasRange {
  Dimension dimension;
  double most;
};
BiasRange bias_range(Dimension measured) {
  switch (measured) {
    case Dimension::temperature:
      return {Dimension::temperature_difference, 60.0};
    case Dimension::pressure:
      return {Dimension::pressure_difference, 3e6};
    case Dimension::power:
      return {Dimension::power, 100e3};
    default:
      return {measured, 1.0};
  }
}

void read_severity(const Table& table, FaultEvent& event,
                   const std::vector<ChannelSource>& channels) {
  const FaultKind& kind = *event.kind;
  const bool sensor = kind.place == FaultPlace::channel;
  if (!kind.severity && !sensor) {
    if (table.has("severity")) {
      table.fail("severity", std::string(kind.name) + " is there or not, it has no severity",
                 "Leave severity out", ErrorCode::inconsistent);
    }
    event.severity = 1.0;
    return;
  }
  if (!table.has("severity")) {
    table.fail("severity", std::string(kind.name) + " needs a severity",
               "Write for example severity = \"" + std::string(kind.example) + "\"",
               ErrorCode::parse);
    return;
  }
  const BiasRange range = sensor ? bias_range(channels[event.target.index].quantity->dimension)
                                 : BiasRange{*kind.severity, kind.most};
  event.severity =
      table.quantity("severity", range.dimension, sensor ? -range.most : kind.least, range.most)
          .value_or(0.0);
  event.severity_text = table.toml()["severity"].value_or(std::string{});
}

void read_times(const Table& table, const Context& context, FaultEvent& event) {
  if (const auto from = table.moment("from", context.base)) event.from_s = *from;
  if (const auto until = table.moment("until", context.base)) event.until_s = *until;
  event.ramp_s = table.quantity_or("ramp", Dimension::time, 0.0, longest_moment_s, 0.0);
  const FaultKind& kind = *event.kind;
  if (event.until_s <= event.from_s) {
    table.fail("until", "the fault ends before it begins", "Let until follow from",
               ErrorCode::inconsistent);
  }
  if (event.from_s >= context.duration_s) {
    table.fail("from", "the fault begins after the end of the recording",
               "Move it, or lengthen duration", ErrorCode::inconsistent);
  }
  if (event.ramp_s > 0.0 && !kind.ramps) {
    table.fail("ramp", std::string(kind.name) + " cannot come gradually", "Leave ramp out",
               ErrorCode::inconsistent);
  }
  if (event.ramp_s > 0.0 && !table.has("from")) {
    table.fail("ramp", "a ramp needs a beginning", "Add from", ErrorCode::inconsistent);
  }
  if (kind.charge_sign != 0.0 && table.has("until")) {
    table.fail("until", "what was put in or taken out stays so", "Leave until out",
               ErrorCode::inconsistent);
  }
}

}  // namespace

std::vector<FaultEvent> read_faults(const Table& top, const Context& context,
                                    const System& system) {
  std::vector<FaultEvent> out;
  const std::vector<ChannelSource> channels = channels_of(system);
  for (const toml::table* row : top.tables("fault")) {
    const Table table(*row, "fault", {"kind", "place", "severity", "from", "until", "ramp", "note"},
                      top.mistakes());
    table.text("note");
    const FaultKind* kind = read_kind(table);
    if (kind == nullptr) continue;
    for (Placed& placed : read_places(table, *kind, context, channels)) {
      FaultEvent event;
      event.kind = kind;
      event.target = std::move(placed.target);
      event.place = std::move(placed.place);
      read_severity(table, event, channels);
      read_times(table, context, event);
      out.push_back(std::move(event));
    }
  }
  return out;
}

}  // namespace cw::scenario::detail
