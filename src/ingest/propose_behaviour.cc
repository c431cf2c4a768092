#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <optional>

#include "base/text.h"
#include "base/unit_text.h"
#include "ingest/header.h"
#include "ingest/propose.h"
#include "series/recording.h"

namespace cw {
namespace {

/// Headers that number the inputs of a logger and say no more: "CH1", "Channel 2", "AI_03", "#4".
bool numbers_only(std::string_view header) {
  std::string word;
  for (const char c : to_lower(header)) {
    if (c >= 'a' && c <= 'z') word += c;
    if ((c < 'a' || c > 'z') && (c < '0' || c > '9') && !std::strchr(" _-#.:", c)) return false;
  }
  constexpr std::array<std::string_view, 17> words = {
      "",      "ch",   "chan", "channel", "col",   "column", "input",  "in",    "ai",
      "probe", "port", "var",  "value",   "point", "sensor", "series", "signal"};
  return std::find(words.begin(), words.end(), word) != words.end();
}

/// A column whose header says nothing, with how its numbers lie.
struct Signal {
  ColumnSurvey column;
  const SourceColumn* source = nullptr;
  std::optional<Dimension> dimension;  ///< of its unit
  bool degrees = false;                ///< a temperature in degC, by its unit or its name
  bool nameless = false;               ///< neither a name nor a unit
  double p5 = 0.0, p50 = 0.0, p95 = 0.0;
  double step = 0.0;     ///< mean size of a change from reading to reading
  double changes = 0.0;  ///< share of readings that differ from the one before
  bool halves = true;    ///< all numbers are multiples of a half
};

Signal look_at(const SourceColumn& source, const ColumnSurvey& column) {
  Signal out;
  out.column = column;
  out.source = &source;
  if (const Result<Unit> unit = parse_unit(column.unit_text)) {
    out.dimension = unit->dimension;
    out.degrees = unit->symbol == "degC";
  }
  const std::string name = to_lower(split_header(column.header).name);
  const bool called = name == "t" || name.starts_with("t_") || name.starts_with("t ") ||
                      name.find("temp") != std::string::npos ||
                      (name.size() > 1 && name[0] == 't' && name[1] >= '0' && name[1] <= '9');
  out.degrees = out.degrees || (called && column.unit_text.empty());
  out.nameless = numbers_only(column.header) && column.unit_text.empty();
  std::vector<double> values;
  double last = NAN;
  std::size_t changed = 0;
  for (const float value : source.values) {
    if (is_missing(value)) continue;
    const auto v = static_cast<double>(value);
    if (!std::isnan(last)) {
      out.step += std::abs(v - last);
      changed += v != last ? 1U : 0U;
    }
    last = v;
    out.halves = out.halves && 2.0 * v == std::floor(2.0 * v);
    values.push_back(v);
  }
  if (values.empty()) return out;
  out.step /= static_cast<double>(values.size());
  out.changes = static_cast<double>(changed) / static_cast<double>(values.size());
  std::sort(values.begin(), values.end());
  const auto at = [&](double p) {
    return values[static_cast<std::size_t>(p * static_cast<double>(values.size() - 1))];
  };
  out.p5 = at(0.05);
  out.p50 = at(0.5);
  out.p95 = at(0.95);
  return out;
}

/// Correlation over the rows where both have a reading; 0 with fewer than 100.
double correlation(const Signal& a, const Signal& b) {
  const std::vector<float>& x = a.source->values;
  const std::vector<float>& y = b.source->values;
  const std::size_t n = std::min(x.size(), y.size());
  const std::size_t stride = n / 20000 + 1;
  double sx = 0, sy = 0, sxx = 0, syy = 0, sxy = 0, count = 0;
  for (std::size_t i = 0; i < n; i += stride) {
    if (is_missing(x[i]) || is_missing(y[i])) continue;
    const double u = static_cast<double>(x[i]) - a.p50;
    const double v = static_cast<double>(y[i]) - b.p50;
    sx += u;
    sy += v;
    sxx += u * u;
    syy += v * v;
    sxy += u * v;
    count += 1.0;
  }
  const double spread = (count * sxx - sx * sx) * (count * syy - sy * sy);
  return count < 100 || !(spread > 0.0) ? 0.0 : (count * sxy - sx * sy) / std::sqrt(spread);
}

/// Means of `of` while `gate` stands at zero and while it does not.
struct Gated {
  double off = 0.0, on = 0.0;
  std::size_t off_count = 0, on_count = 0;
};

Gated gated_mean(const Signal& of, const Signal& gate) {
  Gated out;
  const std::vector<float>& x = of.source->values;
  const std::vector<float>& g = gate.source->values;
  for (std::size_t i = 0; i < std::min(x.size(), g.size()); ++i) {
    if (is_missing(x[i]) || is_missing(g[i])) continue;
    if (g[i] == 0.0F) {
      out.off += static_cast<double>(x[i]);
      ++out.off_count;
    } else {
      out.on += static_cast<double>(x[i]);
      ++out.on_count;
    }
  }
  if (out.off_count > 0) out.off /= static_cast<double>(out.off_count);
  if (out.on_count > 0) out.on /= static_cast<double>(out.on_count);
  return out;
}

/// What stands at zero for a while and else between 10 and 140: a frequency in Hz or rev/s.
bool may_be_frequency(const Signal& s) {
  if (s.degrees || (s.dimension && *s.dimension != Dimension::frequency)) return false;
  return s.column.lowest == 0.0 && s.p95 > 15.0 && s.column.highest <= 160.0 &&
         s.column.distinct >= 8;
}

bool may_be_pressure(const Signal& s) {
  if (s.degrees || (s.dimension && *s.dimension != Dimension::pressure)) return false;
  return s.p5 > 0.0 && s.column.distinct >= 20;
}

struct Pair {
  const Signal* high = nullptr;
  const Signal* low = nullptr;
  double rise = 0.0, fall = 0.0;  ///< correlations with the frequency
  double met = 1.0;               ///< their distance at rest by that when running
};

/// Whether these means of a running machine can be the pressures of a circuit in any usual unit
/// (bar, kPa, MPa, psi, kgf/cm2): a hot discharge line and a cold coil part and meet as pressures
/// do. The bounds are those of the refrigerants in such machines with room to spare (common
/// practice, no source).
bool sized_as_pressures(double high, double low) {
  constexpr std::array<double, 4> units = {1.0, 100.0, 0.1, 14.504};  // in a bar
  return low > 0.0 && high < 12.0 * low &&
         std::any_of(units.begin(), units.end(),
                     [&](double unit) { return high > 10.0 * unit && high < 50.0 * unit; });
}

/// Two signals of which one rises and the other falls when the compressor runs, and which meet when
/// it rests: nothing else in a machine does that.
std::optional<Pair> pressure_pair(const std::vector<Signal>& all, const Signal& frequency) {
  std::optional<Pair> best;
  for (const Signal& high : all) {
    for (const Signal& low : all) {
      if (&high == &low || &high == &frequency || &low == &frequency || !may_be_pressure(high) ||
          !may_be_pressure(low) || high.dimension != low.dimension || high.p50 <= low.p50) {
        continue;
      }
      Pair pair{&high, &low, correlation(high, frequency), correlation(low, frequency), 1.0};
      if (pair.rise < 0.4 || pair.fall > -0.4) continue;
      const Gated h = gated_mean(high, frequency);
      const Gated l = gated_mean(low, frequency);
      if (h.off_count < 10 || h.on_count < 10 || h.on <= l.on) continue;
      if (!high.dimension && !sized_as_pressures(h.on, l.on)) continue;
      pair.met = std::abs(h.off - l.off) / (h.on - l.on);
      if (pair.met > 0.5) continue;
      if (!best || pair.rise - pair.fall > best->rise - best->fall) best = pair;
    }
  }
  return best;
}

std::string r_text(double r) { return number_text(r, 2); }

/// The frequency is the candidate that makes the clearest pair of pressures.
const Signal* propose_circuit(const std::vector<Signal>& all, FileSurvey& survey) {
  const Signal* frequency = nullptr;
  std::optional<Pair> pair;
  for (const Signal& candidate : all) {
    if (!may_be_frequency(candidate)) continue;
    const auto found = pressure_pair(all, candidate);
    if (!found || (pair && found->rise - found->fall <= pair->rise - pair->fall)) continue;
    pair = found;
    frequency = &candidate;
  }
  if (!pair) return nullptr;
  propose_channel("outdoor.1", *find_quantity("compressor_frequency"), frequency->column, 0.5,
                  "stands at zero or runs up to " + number_text(frequency->column.highest, 4) +
                      ", and two pressures part when it runs",
                  survey);
  const std::string meet = ", and the two come together when it stands (to " +
                           number_text(100.0 * pair->met, 2) + " % of their distance)";
  propose_channel("outdoor.1", *find_quantity("discharge_pressure"), pair->high->column, 0.55,
                  "rises with \"" + frequency->column.header + "\" (correlation " +
                      r_text(pair->rise) + ") while \"" + pair->low->column.header + "\" falls" +
                      meet,
                  survey);
  propose_channel("outdoor.1", *find_quantity("suction_pressure"), pair->low->column, 0.55,
                  "falls with \"" + frequency->column.header + "\" (correlation " +
                      r_text(pair->fall) + ") while \"" + pair->high->column.header + "\" rises" +
                      meet,
                  survey);
  return frequency;
}

const Signal* hottest_of(const std::vector<const Signal*>& all) {
  return *std::max_element(all.begin(), all.end(),
                           [](const Signal* a, const Signal* b) { return a->p95 < b->p95; });
}

/// Without pressures: the candidate that the hottest line follows most closely.
const Signal* propose_frequency(const std::vector<Signal>& all,
                                const std::vector<const Signal*>& degrees, FileSurvey& survey) {
  if (degrees.empty()) return nullptr;
  const Signal* hottest = hottest_of(degrees);
  const Signal* best = nullptr;
  double r = 0.5;
  for (const Signal& candidate : all) {
    if (&candidate == hottest || !may_be_frequency(candidate)) continue;
    const Gated heat = gated_mean(*hottest, candidate);
    const double with = correlation(*hottest, candidate);
    if (heat.off_count < 10 || heat.on_count < 10 || heat.on < heat.off + 10.0 || with <= r)
      continue;
    best = &candidate;
    r = with;
  }
  if (best == nullptr) return nullptr;
  propose_channel("outdoor.1", *find_quantity("compressor_frequency"), best->column,
                  0.4 * (best->nameless ? 0.75 : 1.0),
                  "stands at zero or runs up to " + number_text(best->column.highest, 4) +
                      ", and \"" + hottest->column.header + "\" is hot when it runs (correlation " +
                      r_text(r) + ")",
                  survey);
  return best;
}

/// Two temperatures that part together from room air when the compressor runs and come back to it:
/// the ends of an indoor coil. The end of the hot or superheated gas is the warmer one.
struct CoilEnds {
  const Signal* gas = nullptr;
  const Signal* liquid = nullptr;
  double together = 0.0;  ///< correlation of the two
  double apart = 0.0;     ///< mean distance when running [K]
  bool heating = false;
};

std::optional<CoilEnds> coil_ends(const std::vector<const Signal*>& all, const Signal& frequency,
                                  const Signal* outdoor) {
  std::optional<CoilEnds> best;
  const double outdoors = outdoor == nullptr ? -1e9 : gated_mean(*outdoor, frequency).off;
  struct End {
    const Signal* signal;
    Gated mean;
  };
  std::vector<End> from_room;
  for (const Signal* s : all) {
    const Gated g = gated_mean(*s, frequency);
    const bool from = g.off_count >= 10 && g.on_count >= 10 && g.off >= 15.0 && g.off <= 30.0 &&
                      std::abs(g.off - outdoors) >= 4.0 && std::abs(g.on - g.off) > 5.0;
    if (from) from_room.push_back({s, g});
  }
  for (const auto& [gas, warm] : from_room) {
    for (const auto& [liquid, cool] : from_room) {
      const bool heating = warm.on > warm.off;
      if (liquid == gas || (cool.on > cool.off) != heating) continue;
      const double apart = warm.on - cool.on;
      // Less than that may be two probes at one place.
      if (apart < (heating ? 3.0 : 1.0) || std::abs(warm.off - cool.off) > 0.5 * apart) continue;
      const double together = correlation(*gas, *liquid);
      if (together < 0.8 || (best && together * apart <= best->together * best->apart)) continue;
      best = CoilEnds{gas, liquid, together, apart, heating};
    }
  }
  return best;
}

void propose_coil(const std::vector<const Signal*>& all, const Signal& frequency,
                  const Signal* outdoor, FileSurvey& survey) {
  const auto ends = coil_ends(all, frequency, outdoor);
  if (!ends) return;
  const double confidence = 0.3 * (ends->gas->nameless ? 0.8 : 1.0);
  const auto words = [&](const Signal& other, const char* end) {
    return std::string(ends->heating ? "warms up" : "cools down") +
           " from room air when the compressor runs, together with \"" + other.column.header +
           "\" (correlation " + r_text(ends->together) + ", " + number_text(ends->apart, 2) +
           " K apart): the " + end + " end of an indoor coil, or supply air";
  };
  propose_channel("indoor.1", *find_quantity("gas_pipe_temperature"), ends->gas->column, confidence,
                  words(*ends->liquid, "gas"), survey);
  propose_channel("indoor.1", *find_quantity("liquid_pipe_temperature"), ends->liquid->column,
                  confidence, words(*ends->gas, "liquid"), survey);
}

void propose_hottest(const std::vector<const Signal*>& all, const Signal* frequency,
                     FileSurvey& survey) {
  const Signal* hottest = hottest_of(all);
  double second = -1e9;
  for (const Signal* s : all) {
    if (s != hottest) second = std::max(second, s->p95);
  }
  if (hottest->p95 <= 50.0 || hottest->p95 >= 130.0 || hottest->p95 <= second + 6.0) return;
  const double r = frequency == nullptr ? 0.0 : correlation(*hottest, *frequency);
  std::string evidence = "the hottest of the temperatures by " +
                         number_text(hottest->p95 - second, 2) +
                         " K: a discharge line, if one was measured";
  if (r > 0.3) evidence += "; it warms up when the compressor runs (correlation " + r_text(r) + ")";
  propose_channel("outdoor.1", *find_quantity("discharge_temperature"), hottest->column,
                  (r > 0.3 ? 0.55 : 0.45) * (hottest->nameless ? 0.6 : 1.0), std::move(evidence),
                  survey);
}

const Signal* propose_outdoor(const std::vector<const Signal*>& all, FileSurvey& survey) {
  // Outdoor air is the calmest temperature that is not a room's.
  const Signal* calm = nullptr;
  for (const Signal* s : all) {
    const bool room = s->p50 > 16.0 && s->p50 < 27.0 && s->p95 - s->p5 < 6.0;
    if (room || s->p95 > 45.0 || s->p95 - s->p5 < 0.5) continue;
    if (calm == nullptr || s->step < calm->step) calm = s;
  }
  if (calm == nullptr) return nullptr;
  propose_channel("site", *find_quantity("outdoor_temperature"), calm->column,
                  calm->nameless ? 0.2 : 0.35, "the calmest of the temperatures that is no room's",
                  survey);
  return calm;
}

void propose_coldest(const std::vector<const Signal*>& all, const Signal& frequency,
                     const Signal* outdoor, FileSurvey& survey) {
  const Signal* coldest = nullptr;
  double r = 0.0;
  for (const Signal* s : all) {
    if (s == outdoor || (coldest != nullptr && s->p5 >= coldest->p5)) continue;
    const double with = correlation(*s, frequency);
    if (with > -0.3) continue;
    coldest = s;
    r = with;
  }
  if (coldest == nullptr || coldest->p5 > 18.0) return;
  propose_channel("outdoor.1", *find_quantity("suction_temperature"), coldest->column,
                  0.35 * (coldest->nameless ? 0.6 : 1.0),
                  "the coldest of those that cool down when the compressor runs (correlation " +
                      r_text(r) + ")",
                  survey);
}

/// Set points stand still for hours and step by halves; flags are zero or one.
void propose_steps(const Signal& s, FileSurvey& survey) {
  const std::size_t readings = s.column.numbers;
  if (s.column.lowest == 0.0 && s.column.highest == 1.0 && s.column.distinct == 2) {
    double on = 0.0;
    std::size_t times = 0;
    float last = 0.0F;
    for (const float value : s.source->values) {
      if (is_missing(value)) continue;
      on += static_cast<double>(value);
      times += value == 1.0F && last == 0.0F ? 1U : 0U;
      last = value;
    }
    survey.proposals.push_back({"kind", s.column.header, "a flag: something that is on or off", 0.8,
                                "only 0 and 1; on for " +
                                    number_text(100.0 * on / static_cast<double>(readings), 2) +
                                    " % of the readings, " + std::to_string(times) + " times",
                                ""});
    return;
  }
  if (s.dimension && *s.dimension != Dimension::temperature) return;
  const bool celsius = s.column.lowest >= 10.0 && s.column.highest <= 32.0;
  const bool fahrenheit = s.column.lowest >= 50.0 && s.column.highest <= 90.0;
  if ((celsius || fahrenheit) && s.halves && s.column.distinct >= 2 && s.column.distinct <= 20 &&
      s.changes < 0.02) {
    propose_channel("indoor.1", *find_quantity("set_point"), s.column, 0.4,
                    "stands still for long and moves in steps of a half or more, between " +
                        number_text(s.column.lowest, 4) + " and " +
                        number_text(s.column.highest, 4),
                    survey);
    return;
  }
  if (!s.dimension && !s.degrees && s.column.lowest == 0.0 && s.column.highest == 100.0) {
    survey.proposals.push_back({"kind", s.column.header, "a percentage", 0.5,
                                "between exactly 0 and exactly 100: a valve, a fan or a load", ""});
  }
}

}  // namespace

void propose_by_behaviour(const std::vector<SourceTable>& tables,
                          const std::set<std::string>& understood, FileSurvey& survey) {
  if (tables.size() != 1) return;  // signals are compared row by row
  std::vector<Signal> all;
  for (const SourceColumn& source : tables.front().columns) {
    if (source.quantity != nullptr) continue;
    const auto seen = std::find_if(
        survey.columns.begin(), survey.columns.end(),
        [&](const ColumnSurvey& c) { return c.header == source.header && c.role == "number"; });
    if (seen == survey.columns.end() || seen->numbers < 100) continue;
    if (understood.count(seen->header) > 0) continue;
    all.push_back(look_at(source, *seen));
  }
  if (all.size() > 200) return;
  const Signal* frequency = propose_circuit(all, survey);
  std::vector<const Signal*> degrees;
  const auto taken = [&](const Signal& s) {
    return std::any_of(survey.proposals.begin(), survey.proposals.end(), [&](const Proposal& p) {
      return p.kind == "channel" && p.column == s.column.header;
    });
  };
  for (const Signal& s : all) {
    // "t" may be time; no temperature of a machine lies outside this, in degC or degF.
    const bool may = (s.degrees && s.p5 > -80.0 && s.p95 < 320.0) ||
                     (s.nameless && s.p5 > -45.0 && s.p95 < 130.0);
    if (may && s.column.distinct >= 20 && !taken(s)) degrees.push_back(&s);
  }
  if (degrees.size() >= 3) {
    if (frequency == nullptr) frequency = propose_frequency(all, degrees, survey);
    degrees.erase(std::remove(degrees.begin(), degrees.end(), frequency), degrees.end());
    propose_hottest(degrees, frequency, survey);
    const Signal* outdoor = propose_outdoor(degrees, survey);
    if (frequency != nullptr) {
      // The coil first: in cooling its liquid end is the coldest of all.
      const auto drop_taken = [&] {
        degrees.erase(std::remove_if(degrees.begin(), degrees.end(),
                                     [&](const Signal* s) { return taken(*s); }),
                      degrees.end());
      };
      drop_taken();
      propose_coil(degrees, *frequency, outdoor, survey);
      drop_taken();
      propose_coldest(degrees, *frequency, outdoor, survey);
    }
  }
  for (const Signal& s : all) {
    if (!taken(s)) propose_steps(s, survey);
  }
}

}  // namespace cw
