#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/unit_text.h"
#include "series/recording.h"

namespace cw::test {

inline constexpr double nothing = std::numeric_limits<double>::quiet_NaN();

/// A signal over time in minutes, in the unit that its channel names. Ends of times are compared
/// with a hair's breadth, so that "minute 10" means the sample stamped 10 min.
class Signal {
 public:
  Signal(double constant)  // NOLINT(google-explicit-constructor): a number is a constant signal
      : value_([constant](double) { return constant; }) {}
  explicit Signal(std::function<double(double)> value) : value_(std::move(value)) {}

  double at(double minute) const { return value_(minute); }

  /// `value` from `from` up to, not including, `to`.
  Signal during(double from, double to, const Signal& value) const {
    return pick([=](double m) { return m > from - hair && m < to - hair; }, value);
  }
  /// As during, with the sample at `to`: first and last sample lie exactly to - from apart.
  Signal through(double from, double to, const Signal& value) const {
    return pick([=](double m) { return m > from - hair && m < to + hair; }, value);
  }
  Signal from(double minute, const Signal& value) const {
    return during(minute, std::numeric_limits<double>::infinity(), value);
  }
  Signal missing_during(double from, double to) const { return during(from, to, nothing); }

  /// Uniform noise of the given amplitude; the same for the same seed and minute.
  Signal noise(double amplitude, std::uint32_t seed) const {
    return Signal([base = value_, amplitude, seed](double m) {
      std::mt19937 random(seed + static_cast<std::uint32_t>(std::llround(m * 60.0)));
      const double unit = static_cast<double>(random()) / 4294967295.0;
      return base(m) + amplitude * (2.0 * unit - 1.0);
    });
  }

 private:
  static constexpr double hair = 1e-6;

  template <class When>
  Signal pick(When when, const Signal& value) const {
    return Signal([base = value_, when, other = value.value_](double m) {
      return when(m) ? other(m) : base(m);
    });
  }

  std::function<double(double)> value_;
};

/// Straight lines between (minute, value) corners; constant outside them.
inline Signal ramp(std::vector<std::pair<double, double>> corners) {
  return Signal([corners = std::move(corners)](double m) {
    if (m <= corners.front().first) return corners.front().second;
    for (std::size_t k = 1; k < corners.size(); ++k) {
      if (m > corners[k].first) continue;
      const double share = (m - corners[k - 1].first) / (corners[k].first - corners[k - 1].first);
      return corners[k - 1].second + share * (corners[k].second - corners[k - 1].second);
    }
    return corners.back().second;
  });
}

/// The number that stores a word of a state quantity.
inline double word(std::string_view quantity, std::string_view text) {
  const Quantity* found = find_quantity(quantity);
  if (found == nullptr || !found->number_of(text)) {
    ADD_FAILURE() << quantity << " has no word " << text;
    return nothing;
  }
  return *found->number_of(text);
}
inline double mode(std::string_view text) { return word("mode", text); }

/// 2026-01-20 00:00 in the recording's own clock.
inline constexpr Instant first_stamp{1768867200000};
inline Instant minute(double m) {
  return {first_stamp.ms + static_cast<std::int64_t>(std::llround(m * 60e3))};
}

/// Builds a recording in memory:
///   RecordingBuilder(30, 120).with("outdoor.1.discharge_temperature [degC]", 80).build()
class RecordingBuilder {
 public:
  /// @param step     time between samples [s]
  /// @param minutes  length; the first sample is at 0, the last one at `minutes`
  RecordingBuilder(double step, double minutes) : step_(step), minutes_(minutes) {}

  /// Sets or replaces a channel, "place.quantity [unit]"; flags and states need no unit.
  RecordingBuilder& with(std::string_view name, const Signal& signal) {
    for (Column& column : columns_) {
      if (key(column.name) == key(name)) {
        column = {std::string(name), signal, 1, 0};
        return *this;
      }
    }
    columns_.push_back({std::string(name), signal, 1, 0});
    return *this;
  }
  /// Readings of a channel at every n-th sample only, starting at sample `first`.
  RecordingBuilder& every(std::string_view name, std::size_t n, std::size_t first = 0) {
    for (Column& column : columns_) {
      if (key(column.name) != key(name)) continue;
      column.every = n;
      column.first = first;
    }
    return *this;
  }
  RecordingBuilder& without(std::string_view name) {
    std::erase_if(columns_, [&](const Column& column) { return key(column.name) == key(name); });
    return *this;
  }
  /// The logger was down: no samples at all strictly between `from` and `to`.
  RecordingBuilder& gap(double from, double to) {
    gaps_.emplace_back(from, to);
    return *this;
  }

  Recording build() const {
    Recording out;
    const auto steps = static_cast<std::int64_t>(std::llround(minutes_ * 60.0 / step_));
    for (std::int64_t k = 0; k <= steps; ++k) {
      const double m = static_cast<double>(k) * step_ / 60.0;
      bool down = false;
      for (const auto& [from, to] : gaps_) down |= m > from + 1e-6 && m < to - 1e-6;
      if (!down) out.time.push_back(minute(m));
    }
    for (const Column& column : columns_) out.channels.push_back(channel(column, out));
    return out;
  }

 private:
  struct Column {
    std::string name;
    Signal signal;
    std::size_t every = 1;
    std::size_t first = 0;
  };

  static std::string_view key(std::string_view name) { return name.substr(0, name.find(" [")); }

  static Channel channel(const Column& column, const Recording& recording) {
    Channel out;
    const std::string full(key(column.name));
    const std::size_t dot = full.rfind('.');
    const auto place = parse_place(full.substr(0, dot));
    out.quantity = find_quantity(full.substr(dot + 1));
    if (!place || out.quantity == nullptr) {
      ADD_FAILURE() << "no such channel: " << column.name;
      std::abort();
    }
    out.place = *place;
    out.origin = "test";
    Unit unit;
    if (const std::size_t at = column.name.find('['); at != std::string::npos) {
      const std::string_view text = std::string_view(column.name).substr(at);
      unit = parse_unit(text).value().as(out.quantity->dimension).value();
    }
    for (std::size_t i = 0; i < recording.size(); ++i) {
      const double m = seconds_between(first_stamp, recording.time[i]) / 60.0;
      const bool read = i >= column.first && (i - column.first) % column.every == 0;
      const double value = read ? column.signal.at(m) : nothing;
      out.values.push_back(std::isnan(value) ? missing : static_cast<float>(unit.to_si(value)));
    }
    measure_interval(recording, out);
    return out;
  }

  double step_;
  double minutes_;
  std::vector<Column> columns_;
  std::vector<std::pair<double, double>> gaps_;
};

/// One outdoor module and one indoor unit in healthy steady heating at -5 degC; the machine runs
/// already when the recording begins. Every check can judge it and finds nothing, except that the
/// frost check needs 3 h of it.
inline RecordingBuilder healthy_heating(double minutes, double step = 30.0) {
  RecordingBuilder out(step, minutes);
  out.with("outdoor.1.mode", mode("heating"))
      .with("outdoor.1.defrost", 0)
      .with("outdoor.1.compressor_frequency [Hz]", 60)
      .with("outdoor.1.discharge_temperature [degC]", 80)
      .with("outdoor.1.saturated_condensing_temperature [degC]", 49)
      .with("outdoor.1.saturated_evaporating_temperature [degC]", -14)
      .with("outdoor.1.shell_temperature [degC]", 16)
      .with("outdoor.1.coil_temperature [degC]", -13)
      .with("site.outdoor_temperature [degC]", -5)
      .with("indoor.1.gas_pipe_temperature [degC]", 58)
      .with("indoor.1.controlled_temperature [degC]", 21.5)
      .with("indoor.1.set_point [degC]", 22)
      .with("indoor.1.call", 1);
  return out;
}

/// One outdoor module and one indoor unit in healthy steady cooling at 32 degC: every check that is
/// asked in cooling can judge it and finds nothing.
inline RecordingBuilder healthy_cooling(double minutes, double step = 30.0) {
  RecordingBuilder out(step, minutes);
  out.with("outdoor.1.mode", mode("cooling"))
      .with("outdoor.1.compressor_frequency [Hz]", 55)
      .with("outdoor.1.discharge_temperature [degC]", 72)
      .with("outdoor.1.saturated_condensing_temperature [degC]", 44)
      .with("outdoor.1.saturated_evaporating_temperature [degC]", 6)
      .with("outdoor.1.suction_superheat [K]", 9)
      .with("outdoor.1.subcooling [K]", 7)
      .with("outdoor.1.shell_temperature [degC]", 40)
      .with("site.outdoor_temperature [degC]", 32)
      .with("indoor.1.gas_pipe_temperature [degC]", 13)
      .with("indoor.1.liquid_pipe_temperature [degC]", 8)
      .with("indoor.1.controlled_temperature [degC]", 24.5)
      .with("indoor.1.set_point [degC]", 24)
      .with("indoor.1.call", 1);
  return out;
}

/// One outdoor module, one branch box and two indoor units, one of which heats while the other
/// cools, all of it well. R-410A: 2730 kPa is 45 degC, 960 kPa 6 degC, the box's liquid is 6 K
/// subcooled (our own equation; checked against published tables in fluid).
inline RecordingBuilder healthy_recovery(double minutes, double step = 30.0) {
  RecordingBuilder out(step, minutes);
  out.with("outdoor.1.mode", mode("mixed"))
      .with("outdoor.1.compressor_frequency [Hz]", 50)
      .with("outdoor.1.discharge_pressure [kPa(a)]", 2730)
      .with("outdoor.1.suction_pressure [kPa(a)]", 960)
      .with("outdoor.1.discharge_temperature [degC]", 72)
      .with("outdoor.1.shell_temperature [degC]", 40)
      .with("site.outdoor_temperature [degC]", 12)
      .with("branch.1.liquid_pressure [kPa(a)]", 2600)
      .with("branch.1.liquid_temperature [degC]", 36.5)
      .with("indoor.1.mode", mode("heating"))
      .with("indoor.1.call", 1)
      .with("indoor.1.gas_pipe_temperature [degC]", 55)
      .with("indoor.1.liquid_pipe_temperature [degC]", 38)
      .with("indoor.1.controlled_temperature [degC]", 21.5)
      .with("indoor.1.set_point [degC]", 22)
      .with("indoor.2.mode", mode("cooling"))
      .with("indoor.2.call", 1)
      .with("indoor.2.gas_pipe_temperature [degC]", 12)
      .with("indoor.2.liquid_pipe_temperature [degC]", 8)
      .with("indoor.2.controlled_temperature [degC]", 24.5)
      .with("indoor.2.set_point [degC]", 24);
  return out;
}

/// A machine that rests from the first reading on, in air of 5 degC beside rooms of 21 degC. R-410A
/// has 933 kPa at 5 degC (as above).
inline RecordingBuilder resting(double minutes = 300) {
  RecordingBuilder out(60, minutes);
  out.with("outdoor.1.compressor_frequency [Hz]", 0)
      .with("outdoor.1.discharge_pressure [kPa(a)]", 940)
      .with("outdoor.1.suction_pressure [kPa(a)]", 935)
      .with("outdoor.1.coil_temperature [degC]", 5.5)
      .with("outdoor.1.suction_temperature [degC]", 5.2)
      .with("site.outdoor_temperature [degC]", 5)
      .with("indoor.1.gas_pipe_temperature [degC]", 20)
      .with("indoor.1.controlled_temperature [degC]", 21);
  return out;
}

}  // namespace cw::test
