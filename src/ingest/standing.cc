#include "ingest/standing.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/text.h"
#include "base/unit_text.h"
#include "series/recording.h"

namespace cw {
namespace {

// How long a machine must have stood, and how long one standstill must then last. Pressures meet in
// minutes; liquid moves to the coldest part in an hour or two; common practice, no source.
constexpr std::int64_t settle_ms = 60 * std::int64_t{60000};
constexpr std::int64_t least_ms = 30 * std::int64_t{60000};
/// Within this the saturation temperature agrees with the coldest part [K]; beyond the other it
/// does not. Gauge and absolute lie 3 K apart at 1 MPa, 5 K at 600 kPa, for all common
/// refrigerants.
constexpr double agrees_within = 1.5;
constexpr double differs_beyond = 2.5;

/// A column with what it is taken for.
struct Signal {
  const SourceColumn* source = nullptr;
  std::string quantity;
  Unit unit;         ///< of the numbers as they stand; of a channel SI
  bool own = false;  ///< a channel already: its values are SI
  double at(std::size_t i) const {
    const float value = source->values[i];
    if (is_missing(value)) return std::nan("");
    if (own) return static_cast<double>(value) - source->gauge_with.value_or(0.0);
    return unit.scale * static_cast<double>(value) + unit.offset;
  }
};

/// The unit that a proposal's lines name, without a remark of gauge or absolute.
std::optional<Unit> unit_in(const std::string& toml) {
  const std::size_t at = toml.find("unit = \"");
  if (at == std::string::npos) return std::nullopt;
  const std::string rest = toml.substr(at + 8);
  const Result<Unit> unit = parse_unit(rest.substr(0, rest.find('"')));
  return unit ? std::optional(*unit) : std::nullopt;
}

std::optional<Signal> signal_of(const SourceColumn& column, const FileSurvey& survey) {
  Signal out;
  out.source = &column;
  if (column.quantity != nullptr) {
    out.quantity = column.quantity->name;
    out.own = true;
    const Result<Unit> stated = parse_unit(column.unit_text);
    if (stated) out.unit = *stated;
    return out;
  }
  const Proposal* best = nullptr;
  const Proposal* other_unit = nullptr;
  for (const Proposal& p : survey.proposals) {
    if (p.column != column.header) continue;
    if (p.kind == "channel" && (best == nullptr || p.confidence > best->confidence)) best = &p;
    if (p.kind == "unit" && unit_in(p.toml)) other_unit = &p;
  }
  if (best == nullptr || best->confidence < 0.4) return std::nullopt;
  out.quantity = best->what.substr(best->what.rfind('.') + 1);
  const Result<Unit> stated = parse_unit(column.unit_text);
  const std::optional<Unit> unit = other_unit != nullptr ? unit_in(other_unit->toml)
                                   : stated              ? std::optional(*stated)
                                                         : unit_in(best->toml);
  if (!unit) return std::nullopt;
  out.unit = *unit;
  if (other_unit != nullptr) out.unit.reference = PressureReference::unstated;
  // A pressure whose unit nobody states may be anything.
  const bool pressure = unit->dimension == Dimension::pressure;
  if (pressure && !stated && other_unit == nullptr) return std::nullopt;
  return out;
}

struct Machine {
  std::vector<Signal> pressures;
  std::vector<Signal> cold;  ///< temperatures that may be its coldest part's
  bool indoor = false;       ///< rooms are among them
  std::vector<Signal> activity;
};

Machine machine_in(const SourceTable& table, const FileSurvey& survey) {
  Machine out;
  const auto is = [](const std::string& name, std::initializer_list<const char*> names) {
    return std::find(names.begin(), names.end(), name) != names.end();
  };
  for (const SourceColumn& column : table.columns) {
    const auto signal = signal_of(column, survey);
    if (!signal) continue;
    const std::string& name = signal->quantity;
    if (is(name, {"discharge_pressure", "suction_pressure", "liquid_pressure"})) {
      out.pressures.push_back(*signal);
    } else if (is(name, {"outdoor_temperature", "coil_temperature", "coil_middle_temperature"})) {
      out.cold.push_back(*signal);
    } else if (is(name, {"room_temperature", "controlled_temperature", "return_air_temperature"})) {
      out.cold.push_back(*signal);
      out.indoor = true;
    } else if (is(name, {"compressor_frequency", "compressor_on", "compressor_load", "power",
                         "current"})) {
      out.activity.push_back(*signal);
    }
  }
  return out;
}

double largest(const Signal& signal) {
  double out = 0.0;
  for (std::size_t i = 0; i < signal.source->values.size(); ++i) {
    const double v = signal.at(i);
    if (v > out) out = v;
  }
  return out;
}

/// Rows in which nothing runs, and in which the pressures have met.
std::vector<bool> rows_at_rest(const Machine& machine, std::size_t rows) {
  std::vector<bool> out(rows, !machine.activity.empty() || machine.pressures.size() > 1);
  for (const Signal& signal : machine.activity) {
    const double idle = 0.06 * largest(signal);
    bool off = true;
    for (std::size_t i = 0; i < rows; ++i) {
      const double v = signal.at(i);
      if (!std::isnan(v)) off = v <= idle;
      out[i] = out[i] && off;
    }
  }
  if (machine.pressures.size() < 2) return out;
  for (std::size_t i = 0; i < rows; ++i) {
    double low = std::nan("");
    double high = std::nan("");
    for (const Signal& pressure : machine.pressures) {
      const double p = pressure.at(i);
      if (std::isnan(p)) continue;
      if (!(low <= p)) low = p;
      if (!(high >= p)) high = p;
    }
    // Air is added so that gauge readings near zero are no different.
    if (high - low > 0.03 * (low + standard_atmosphere) + 10e3) out[i] = false;
  }
  return out;
}

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// One standstill, after it has settled.
struct Rest {
  double hours = 0.0;
  double coldest = 0.0;           ///< [K]
  std::vector<double> pressures;  ///< as they stand [Pa], in the machine's order; nan: none
};

std::optional<Rest> look_at(const Machine& machine, const SourceTable& table, std::size_t from,
                            std::size_t to) {
  const std::int64_t begin = table.time[from].ms;
  const std::int64_t end = table.time[to - 1].ms;
  if (end - begin < settle_ms + least_ms) return std::nullopt;
  Rest out;
  out.hours = static_cast<double>(end - begin) / 3600e3;
  while (table.time[from].ms < begin + settle_ms) ++from;
  std::vector<double> coldest;
  std::vector<std::vector<double>> pressures(machine.pressures.size());
  for (std::size_t i = from; i < to; ++i) {
    double least = std::nan("");
    for (const Signal& part : machine.cold) {
      const double t = part.at(i);
      if (t > 210.0 && t < 340.0 && !(least <= t)) least = t;
    }
    if (!std::isnan(least)) coldest.push_back(least);
    for (std::size_t p = 0; p < pressures.size(); ++p) {
      const double value = machine.pressures[p].at(i);
      if (!std::isnan(value)) pressures[p].push_back(value);
    }
  }
  if (coldest.size() < 5) return std::nullopt;
  out.coldest = median(std::move(coldest));
  for (auto& values : pressures) {
    out.pressures.push_back(values.size() < 5 ? std::nan("") : median(std::move(values)));
  }
  return out;
}

std::vector<Rest> standstills(const Machine& machine, const SourceTable& table) {
  const std::size_t rows = table.time.size();
  const std::vector<bool> rest = rows_at_rest(machine, rows);
  std::vector<Rest> out;
  constexpr std::int64_t longest_gap_ms = 30 * std::int64_t{60000};
  for (std::size_t i = 0; i < rows;) {
    if (!rest[i]) {
      ++i;
      continue;
    }
    std::size_t to = i + 1;
    while (to < rows && rest[to] && table.time[to].ms - table.time[to - 1].ms < longest_gap_ms) {
      ++to;
    }
    if (const auto found = look_at(machine, table, i, to)) out.push_back(*found);
    i = to;
  }
  return out;
}

/// How far the saturation temperature lies from the coldest part in the standstills [K]; empty
/// where it has no saturation or disagrees with itself.
std::optional<double> distance(const SaturationCurve& curve, const std::vector<Rest>& rests,
                               std::size_t pressure, double added, bool rooms_unknown) {
  constexpr double cool_room = 292.0;  // a room whose temperature nobody logs may be so cool [K]
  std::vector<double> out;
  for (const Rest& rest : rests) {
    if (std::isnan(rest.pressures[pressure])) continue;
    const auto [bubble, dew] = curve.temperatures(rest.pressures[pressure] + added);
    if (std::isnan(bubble) || std::isnan(dew)) return std::nullopt;
    const double low = rooms_unknown ? std::min(rest.coldest, cool_room) : rest.coldest;
    // At rest there is liquid beside the gas: of a blend the pressure is near the bubble point's.
    const double highest = bubble + 0.3 * (dew - bubble);
    out.push_back(bubble > rest.coldest ? bubble - rest.coldest
                  : highest < low       ? highest - low
                                        : 0.0);
  }
  if (out.empty()) return std::nullopt;
  const auto [least, most] = std::minmax_element(out.begin(), out.end());
  if (*most - *least > 4.0) return std::nullopt;
  return median(out);
}

struct Fit {
  std::string name;
  double as_gauge = 0.0;  ///< distance [K]; large where there is none
  double as_absolute = 0.0;
};

std::string kelvin_text(double t) { return format_si(t, Dimension::temperature, UnitSystem::si); }

std::string rest_words(const std::vector<Rest>& rests, std::size_t pressure) {
  const auto longest = std::max_element(
      rests.begin(), rests.end(), [](const Rest& a, const Rest& b) { return a.hours < b.hours; });
  return "at rest (" + std::to_string(rests.size()) + (rests.size() == 1 ? " time" : " times") +
         ", the longest " + format_duration(longest->hours * 3600.0) + ") it stands at " +
         number_text(longest->pressures[pressure] * 1e-3, 4) + " kPa with " +
         kelvin_text(longest->coldest) + " at the coldest part";
}

std::string listed(const std::vector<Fit>& fits, double Fit::*reading) {
  std::vector<std::string> names;
  for (const Fit& fit : fits) {
    if (std::abs(fit.*reading) <= agrees_within) names.push_back(fit.name);
  }
  return list_of(names);
}

std::string away(double distance) {
  return number_text(std::abs(distance), 2) + " K " + (distance > 0.0 ? "above" : "below") +
         " that";
}

/// What one pressure is, of the refrigerants that agree with either reading.
std::optional<Proposal> decide(const Signal& signal, const std::vector<Rest>& rests,
                               std::size_t pressure, const std::vector<Fit>& fits, double barometer,
                               std::size_t asked) {
  const std::string& header =
      signal.source->header.empty() ? signal.source->origin : signal.source->header;
  const auto count = [&](double Fit::*reading) {
    return std::count_if(fits.begin(), fits.end(),
                         [&](const Fit& fit) { return std::abs(fit.*reading) <= agrees_within; });
  };
  const auto gauges = count(&Fit::as_gauge);
  const auto absolutes = count(&Fit::as_absolute);
  const std::string air = ", barometer " + number_text(barometer * 1e-3, 4) + " kPa";
  const bool gauge = gauges > 0;
  double Fit::*const other = gauge ? &Fit::as_absolute : &Fit::as_gauge;
  double Fit::*const mine = gauge ? &Fit::as_gauge : &Fit::as_absolute;
  const bool clear =
      (gauges == 0) != (absolutes == 0) &&
      std::all_of(fits.begin(), fits.end(), [&](const Fit& fit) {
        return std::abs(fit.*mine) > agrees_within || std::abs(fit.*other) > differs_beyond;
      });
  const PressureReference said = signal.unit.reference;
  if (!clear) {
    if (said != PressureReference::unstated || (gauges == 0 && absolutes == 0 && asked > 1)) {
      return std::nullopt;
    }
    std::string evidence = rest_words(rests, pressure) + ": ";
    if (gauges == 0 && absolutes == 0) {
      evidence +=
          "that is saturation of " + fits.front().name + " neither as gauge nor as absolute";
    } else {
      evidence += "as gauge that is saturation of " +
                  (gauges > 0 ? listed(fits, &Fit::as_gauge) : "none") + ", as absolute of " +
                  (absolutes > 0 ? listed(fits, &Fit::as_absolute) : "none");
    }
    if (asked > 1) evidence += "; the refrigerant, once it is said, may decide it";
    return Proposal{
        "gauge", header,         "gauge or absolute is not decided by the pressure at rest",
        0.2,     evidence + air, ""};
  }
  const auto wanted = gauge ? PressureReference::gauge : PressureReference::absolute;
  if (said == wanted) return std::nullopt;
  const auto best = std::min_element(fits.begin(), fits.end(), [&](const Fit& a, const Fit& b) {
    return std::abs(a.*mine) < std::abs(b.*mine);
  });
  double confidence = asked == 1 ? 0.85 : 0.7;
  if (rests.size() == 1) confidence -= 0.1;
  std::string what = std::string("the values are ") + (gauge ? "gauge" : "absolute") + " pressures";
  if (said != PressureReference::unstated) what += ", which the unit denies";
  return Proposal{"gauge",
                  header,
                  what,
                  confidence,
                  rest_words(rests, pressure) + ": as " + (gauge ? "gauge" : "absolute") +
                      " that is saturation of " + listed(fits, mine) + ", as " +
                      (gauge ? "absolute" : "gauge") + " " + best->name + " would saturate " +
                      away((*best).*other) + air,
                  "unit = \"" + std::string(signal.unit.symbol) + (gauge ? "(g)\"" : "(a)\"")};
}

}  // namespace

void propose_reference(const std::vector<SourceTable>& tables,
                       std::span<const SaturationCurve> curves, double barometric_pressure,
                       FileSurvey& survey) {
  if (tables.size() != 1 || curves.empty() || survey.clock_error) return;
  const SourceTable& table = tables.front();
  const Machine machine = machine_in(table, survey);
  if (machine.pressures.empty() || machine.cold.empty()) return;
  const std::vector<Rest> rests = standstills(machine, table);
  if (rests.empty()) return;
  for (std::size_t p = 0; p < machine.pressures.size(); ++p) {
    const Signal& signal = machine.pressures[p];
    const auto known = [&](const Proposal& proposal) {
      return proposal.kind == "gauge" && proposal.column == signal.source->header &&
             proposal.confidence > 0.8;
    };
    if (std::isnan(rests.front().pressures[p]) ||
        std::any_of(survey.proposals.begin(), survey.proposals.end(), known)) {
      continue;
    }
    std::vector<Fit> fits;
    for (const SaturationCurve& curve : curves) {
      constexpr double far = 1e3;
      const bool unknown = !machine.indoor;
      const auto gauge = distance(curve, rests, p, barometric_pressure, unknown);
      const auto absolute = distance(curve, rests, p, 0.0, unknown);
      fits.push_back({curve.name, gauge.value_or(far), absolute.value_or(far)});
    }
    auto proposal = decide(signal, rests, p, fits, barometric_pressure, curves.size());
    if (proposal) survey.proposals.push_back(std::move(*proposal));
  }
  std::stable_sort(
      survey.proposals.begin(), survey.proposals.end(),
      [](const Proposal& a, const Proposal& b) { return a.confidence > b.confidence; });
}

}  // namespace cw
