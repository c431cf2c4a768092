#include "checks/readings.h"

#include "checks/calls.h"

namespace cw {
namespace {

/// A minute: any reading stands for the moment.
constexpr double moment = 60.0;

void add(Recording& recording, const Place& place, const Quantity& quantity, double value) {
  Channel channel;
  channel.place = place;
  channel.quantity = &quantity;
  channel.values = std::vector<float>{static_cast<float>(value)};
  channel.origin = "typed";
  channel.interval = moment;
  recording.channels.push_back(std::move(channel));
}

Status check_reading(const Recording& recording, const Reading& reading, UnitSystem units) {
  const std::string name = reading.place.text + "." + reading.quantity->name;
  if (recording.find(reading.place.text, reading.quantity->name) != nullptr) {
    return Error{ErrorCode::invalid_argument, name + " is given twice", name, "Give it once"};
  }
  const Quantity& q = *reading.quantity;
  if (reading.value < q.lowest || reading.value > q.highest) {
    return Error{ErrorCode::out_of_range,
                 name + " = " + format_si(reading.value, q.dimension, units) + " is implausible",
                 name,
                 "Give a value between " + format_si(q.lowest, q.dimension, units) + " and " +
                     format_si(q.highest, q.dimension, units) + "; did the unit slip?"};
  }
  return Done{};
}

/// Every module and the system work in the stated mode.
Phases stated_phases(const Recording& recording, PhaseKind mode) {
  Phases out;
  const auto timeline = [&](Place place) {
    Timeline t;
    t.place = std::move(place);
    t.kind_at = {mode};
    t.phases = {{mode, recording.time[0], recording.time[0], "the mode that was stated"}};
    return t;
  };
  std::vector<Place> modules = recording.places(PlaceKind::outdoor);
  if (modules.empty()) modules.push_back(*parse_place("system"));
  for (const Place& module : modules) out.modules.push_back(timeline(module));
  out.system = timeline(*parse_place("system"));
  return out;
}

}  // namespace

Result<Judgement> judge_readings(const std::vector<Reading>& readings,
                                 const JudgeOptions& options) {
  const Result<const fluid::Refrigerant*> refrigerant =
      fluid::find_refrigerant(options.refrigerant);
  if (!refrigerant) return refrigerant.error();
  if (readings.empty()) {
    return Error{ErrorCode::invalid_argument, "there is no reading", "",
                 told(options.reader, "Give at least one, for example --discharge-temperature 85C",
                      "Give at least one, for example a discharge temperature of 85 degC")};
  }
  if (options.stated_mode != PhaseKind::heating && options.stated_mode != PhaseKind::cooling) {
    return Error{ErrorCode::invalid_argument, "readings alone do not show what the machine does",
                 told(options.reader, "--mode", "Mode"),
                 told(options.reader, "Give --mode heating or --mode cooling",
                      "Say whether it heats or cools")};
  }
  Judgement out;
  out.recording.time = {Instant{}};
  for (const Reading& reading : readings) {
    if (Status s = check_reading(out.recording, reading, options.units); !s) return s.error();
    add(out.recording, reading.place, *reading.quantity, reading.value);
  }
  for (const Place& unit : out.recording.places(PlaceKind::indoor)) {
    if (out.recording.find(unit.text, "call") == nullptr) {
      add(out.recording, unit, *find_quantity("call"), 1.0);
    }
  }
  out.limits = options.limits;
  out.refrigerant = std::string((*refrigerant)->name());
  derive_channels(out.recording, **refrigerant, out.derived);
  for (Channel& channel : out.recording.channels) channel.interval = moment;
  out.phases = stated_phases(out.recording, *options.stated_mode);
  CheckContext context = context_of(out, options.units);
  context.refrigerant = *refrigerant;
  context.instant = true;
  for (const Check& check : check_catalogue()) {
    if (!check.instant || !is_asked(check, context)) continue;
    out.asked.push_back(&check);
    for (Finding& finding : check.run(context)) out.findings.push_back(std::move(finding));
  }
  for (const Finding& finding : out.findings) {
    if (finding.verdict == Verdict::unproven) continue;
    if (out.judged_verdict == Verdict::unproven) out.judged_verdict = finding.verdict;
    out.judged_verdict = std::max(out.judged_verdict, finding.verdict);
  }
  // A moment proves no health: without anything to watch the question stays open.
  out.verdict = out.judged_verdict == Verdict::ok ? Verdict::unproven : out.judged_verdict;
  return out;
}

Result<Reading> read_reading(std::string_view name, std::string_view value, double barometer) {
  const std::size_t dot = name.rfind('.');
  const std::optional<Place> place =
      dot == std::string_view::npos ? std::nullopt : parse_place(name.substr(0, dot));
  const Quantity* quantity =
      dot == std::string_view::npos ? nullptr : quantity_called(name.substr(dot + 1));
  if (!place || quantity == nullptr) {
    return Error{ErrorCode::parse, "\"" + std::string(name) + "\" names no reading",
                 std::string(name),
                 "Write place.quantity, for example indoor.3.gas_pipe_temperature"};
  }
  const Result<double> si = parse_quantity(value, quantity->dimension, barometer);
  if (!si) {
    Error error = si.error();
    error.where = std::string(name);
    return error;
  }
  return Reading{*place, quantity, *si};
}

}  // namespace cw
