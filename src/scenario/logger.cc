#include "scenario/logger.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "base/text.h"
#include "base/zone.h"
#include "scenario/detail/chance.h"

namespace cw::scenario {
namespace {

using D = Dimension;
constexpr double day_s = 86400.0;

double figure(const ByDimension& figures, D dimension) {
  const auto found = figures.find(dimension);
  return found == figures.end() ? 0.0 : found->second;
}

/// The unit as headers write it; empty for flags, states and counts.
std::string unit_text(D dimension, UnitSystem units, bool gauge) {
  const bool si = units == UnitSystem::si;
  switch (dimension) {
    case D::temperature:
      return si ? "degC" : "degF";
    case D::pressure:
      return std::string(si ? "kPa" : "psi") + (gauge ? "(g)" : "(a)");
    case D::frequency:
      return "Hz";
    case D::ratio:
      return "%";
    case D::power:
      return si ? "kW" : "Btu/h";
    default:
      return "";
  }
}

/// Digits after the point that show a multiple of `step` in full, at most 4.
int decimals_for(double step) {
  int decimals = 0;
  double scaled = step;
  while (decimals < 4 && std::abs(scaled - std::round(scaled)) > 1e-6 * scaled) {
    scaled *= 10.0;
    ++decimals;
  }
  return decimals;
}

/// Local minus UTC [min] as a stamp at this instant shows it.
int offset_at(const Clock& clock, Instant instant) {
  if (clock.kind == Clock::Kind::offset) return clock.offset_minutes;
  if (clock.kind == Clock::Kind::zone) {
    return zone_offset_minutes(clock.zone, instant).value_or(0);
  }
  return 0;
}

}  // namespace

ByDimension usual_resolution(UnitSystem units) {
  if (units == UnitSystem::ip) {
    // 0.1 degF, 1 psi, 1 Hz, 1 %, 50 Btu/h
    return {{D::temperature, 0.1 / 1.8},
            {D::pressure, parse_unit("psi(a)")->to_si(1.0)},
            {D::frequency, 1.0},
            {D::ratio, 0.01},
            {D::power, parse_unit("Btu/h")->to_si(50.0)}};
  }
  return {{D::temperature, 0.1},
          {D::pressure, 10e3},
          {D::frequency, 1.0},
          {D::ratio, 0.01},
          {D::power, 10.0}};
}

ByDimension usual_noise() { return {{D::temperature, 0.1}, {D::pressure, 3e3}, {D::ratio, 0.01}}; }

Logger::Logger(LoggerSheet sheet, const System& system, std::uint64_t seed, std::size_t index,
               Instant start, Clock clock, double duration_s, const std::vector<std::string>& head)
    : sheet_(std::move(sheet)),
      channels_(channels_of(system)),
      start_(start),
      clock_(std::move(clock)),
      barometer_Pa_(standard_pressure_at(Metre{system.site().altitude_m}).value) {
  const std::uint64_t own = detail::stream_of(seed, "logger " + std::to_string(index));
  const char separator = sheet_.decimal_comma ? ';' : ',';
  for (const std::string& line : head) text_ += "# " + line + "\n";
  if (sheet_.gauge) {
    text_ += fmt::format("# Gauge pressures are above {:.{}f} kPa.\n", barometer_Pa_ * 1e-3, 3);
  }
  text_ += "time";
  const auto any = [](const std::vector<std::string>& patterns, const std::string& name) {
    return std::any_of(patterns.begin(), patterns.end(),
                       [&](const std::string& pattern) { return matches(pattern, name); });
  };
  for (std::size_t c = 0; c < channels_.size(); ++c) {
    const ChannelSource& channel = channels_[c];
    if (!any(sheet_.channels, channel.name) || any(sheet_.without, channel.name)) continue;
    columns_.push_back(column_of(c, own));
    text_ += separator + channel.name;
    const std::string unit = unit_text(channel.quantity->dimension, sheet_.units, sheet_.gauge);
    if (!unit.empty()) text_ += " [" + unit + "]";
  }
  text_ += "\n";
  draw_gaps(own, duration_s);
}

Logger::Column Logger::column_of(std::size_t channel, std::uint64_t seed) const {
  const ChannelSource& source = channels_[channel];
  const D dimension = source.quantity->dimension;
  Column out;
  out.channel = channel;
  const std::string unit = unit_text(dimension, sheet_.units, sheet_.gauge);
  out.unit.dimension = dimension;
  if (!unit.empty()) out.unit = *parse_unit(unit);
  out.stream = detail::stream_of(seed, source.name);
  const bool plain = dimension == D::flag || dimension == D::state || dimension == D::count;
  out.step = plain ? 1.0 : figure(sheet_.resolution, dimension) / out.unit.scale;
  // Steps such as 0.1/1.8 K must be 0.1 degF to the last digit.
  if (out.step > 0.0) out.step = std::round(out.step * 1e9) * 1e-9;
  out.decimals = out.step > 0.0 ? decimals_for(out.step) : 4;
  if (!source.measured) return out;
  out.noise = figure(sheet_.noise, dimension);
  std::uint64_t sensor = detail::stream_of(seed, source.name + " accuracy");
  out.offset = figure(sheet_.accuracy, dimension) * (2.0 * detail::uniform(sensor) - 1.0);
  return out;
}

void Logger::draw_gaps(std::uint64_t seed, double duration_s) {
  std::uint64_t stream = detail::stream_of(seed, "gaps");
  const RandomGaps& chance = sheet_.random_gaps;
  const auto count = static_cast<int>(std::round(chance.per_day * duration_s / day_s));
  for (int i = 0; i < count; ++i) {
    const double from = detail::uniform(stream) * duration_s;
    sheet_.gaps.push_back({from, from + detail::uniform(stream) * chance.longest_s});
  }
}

bool Logger::in_gap(double time_s) const noexcept {
  return std::any_of(sheet_.gaps.begin(), sheet_.gaps.end(), [&](const LoggerGap& gap) {
    return time_s >= gap.from_s && time_s < gap.until_s;
  });
}

void Logger::take(const Moment& now, const std::vector<double>& offsets) {
  const double time_s = next_s();
  ++next_;
  // Chance goes on in a gap, so that a gap changes nothing around it.
  const bool lost = in_gap(time_s);
  const std::size_t before = text_.size();
  add_stamp(time_s);
  for (Column& column : columns_) add_cell(column, now, offsets[column.channel]);
  text_ += '\n';
  if (lost) {
    text_.resize(before);
  } else {
    ++rows_;
  }
}

void Logger::add_stamp(double time_s) {
  const Instant instant{start_.ms + static_cast<std::int64_t>(std::llround(time_s * 1e3))};
  if (sheet_.stamps == StampForm::iso) {
    text_ += iso_text(instant, clock_);
    return;
  }
  if (sheet_.stamps == StampForm::epoch) {
    fmt::format_to(std::back_inserter(text_), "{}", instant.ms / 1000);
    return;
  }
  const CivilTime t =
      civil_of({instant.ms + static_cast<std::int64_t>(offset_at(clock_, instant)) * 60'000});
  const auto out = std::back_inserter(text_);
  switch (sheet_.stamps) {
    case StampForm::day_month_year:
      fmt::format_to(out, "{:02}.{:02}.{:04}", t.day, t.month, t.year);
      break;
    case StampForm::month_day_year:
      fmt::format_to(out, "{:02}/{:02}/{:04}", t.month, t.day, t.year);
      break;
    default:
      fmt::format_to(out, "{:04}-{:02}-{:02}", t.year, t.month, t.day);
  }
  fmt::format_to(out, " {:02}:{:02}:{:02}", t.hour, t.minute, t.second);
}

void Logger::add_cell(Column& column, const Moment& now, double fault) {
  const ChannelSource& source = channels_[column.channel];
  double si = source.read(now) + fault + column.offset;
  if (column.noise > 0.0) si += column.noise * detail::normal(column.stream);
  const bool lost = sheet_.lost_share > 0.0 && detail::uniform(column.stream) < sheet_.lost_share;
  text_ += sheet_.decimal_comma ? ';' : ',';
  if (lost || !std::isfinite(si)) return;
  if (source.quantity->dimension == D::state) {
    text_ += source.quantity->words[static_cast<std::size_t>(si)];
    return;
  }
  double value = column.unit.from_si(si, barometer_Pa_);
  if (column.step > 0.0) value = std::round(value / column.step) * column.step;
  std::string cell = fmt::format("{:.{}f}", value, column.decimals);
  // "-0.0" is no reading.
  if (cell.front() == '-' && cell.find_first_not_of("-0.") == std::string::npos) cell.erase(0, 1);
  if (sheet_.decimal_comma) std::replace(cell.begin(), cell.end(), '.', ',');
  text_ += cell;
}

std::string Logger::map_text() const {
  const bool wall_clock = sheet_.stamps != StampForm::iso && sheet_.stamps != StampForm::epoch;
  const bool stated = clock_.kind != Clock::Kind::unstated;
  const bool ordered =
      sheet_.stamps == StampForm::day_month_year || sheet_.stamps == StampForm::month_day_year;
  const bool barometer = sheet_.gauge && barometer_Pa_ != standard_atmosphere;
  const bool clock = wall_clock && (stated || ordered);
  if (!clock && !barometer) return "";
  std::string out = "# What " + sheet_.file + " does not say of itself.\n";
  if (barometer) out += fmt::format("barometer = \"{:.3f} kPa\"\n", barometer_Pa_ * 1e-3);
  out += "[clock]\ncolumn = \"time\"\n";
  if (!clock) return out;
  if (sheet_.stamps == StampForm::day_month_year) out += "order = \"day-month-year\"\n";
  if (sheet_.stamps == StampForm::month_day_year) out += "order = \"month-day-year\"\n";
  if (clock_.kind == Clock::Kind::zone) out += "zone = \"" + clock_.zone + "\"\n";
  if (clock_.kind == Clock::Kind::offset) {
    const int minutes = std::abs(clock_.offset_minutes);
    out += fmt::format("offset = \"{}{:02}:{:02}\"\n", clock_.offset_minutes < 0 ? '-' : '+',
                       minutes / 60, minutes % 60);
  }
  return out;
}

}  // namespace cw::scenario
