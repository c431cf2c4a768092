#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/instant.h"
#include "base/unit_text.h"
#include "scenario/channels.h"

/// A data logger: which channels, how often, how well, and in which form.
namespace cw::scenario {

/// How a logger writes its time stamps.
enum class StampForm {
  iso,             ///< 2026-01-20T05:00:00-06:00; without offset where the clock is not stated
  local,           ///< 2026-01-20 05:00:00, wall clock
  day_month_year,  ///< 20.01.2026 05:00:00, wall clock
  month_day_year,  ///< 01/20/2026 05:00:00, wall clock
  epoch            ///< seconds since 1970, UTC
};

/// Figures by dimension, SI. What is not listed is exact.
using ByDimension = std::map<Dimension, double>;

/// A time without readings.
struct LoggerGap {
  double from_s = 0.0, until_s = 0.0;
};

/// Gaps by chance.
struct RandomGaps {
  double per_day = 0.0;
  double longest_s = 600.0;
};

struct LoggerSheet {
  std::string file = "recording.csv";
  double interval_s = 30.0;
  std::vector<std::string> channels = {"*"};  ///< patterns over "<place>.<quantity>"
  std::vector<std::string> without;           ///< patterns of what is left out of them
  ByDimension noise;                          ///< standard deviation
  ByDimension accuracy;                       ///< each sensor is off by a fixed amount, up to this
  ByDimension resolution;   ///< readings are whole multiples of it in the logger's own unit
  double lost_share = 0.0;  ///< of single cells, left blank
  RandomGaps random_gaps;
  std::vector<LoggerGap> gaps;
  UnitSystem units = UnitSystem::si;
  bool gauge = false;  ///< pressures above the site's air pressure
  StampForm stamps = StampForm::iso;
  bool decimal_comma = false;  ///< then columns stand apart by ';'
};

/// Like a real logger: 0.1 K, 10 kPa, 1 Hz, 1 %, 10 W (inch-pound: 0.1 degF, 1 psi, 1 Hz, 1 %,
/// 50 Btu/h). Own choice.
ByDimension usual_resolution(UnitSystem units);
/// 0.1 K, 3 kPa, 1 %: standard deviations. Own choice.
ByDimension usual_noise();

/// Records one file. The same sheet, channels and seed give the same bytes.
class Logger {
 public:
  /// @param seed   of the scenario
  /// @param index  of the logger in it: each has chance of its own, and each channel again
  /// @param head   comment lines above the header, without '#'
  Logger(LoggerSheet sheet, const System& system, std::uint64_t seed, std::size_t index,
         Instant start, Clock clock, double duration_s, const std::vector<std::string>& head);

  double next_s() const noexcept { return static_cast<double>(next_) * sheet_.interval_s; }
  /// Takes the reading that is due. `offsets` are the sensor faults that the machine does not see,
  /// by position in channels_of(system).
  void take(const Moment& now, const std::vector<double>& offsets);

  const LoggerSheet& sheet() const { return sheet_; }
  const std::string& text() const { return text_; }
  std::size_t columns() const { return columns_.size(); }
  std::size_t rows() const { return rows_; }
  /// What `check` must be told to read the file; empty when nothing.
  std::string map_text() const;

 private:
  struct Column {
    std::size_t channel = 0;  ///< in channels_
    Unit unit;
    double step = 0.0;  ///< in `unit`; 0 when not rounded
    int decimals = 0;
    double noise = 0.0;        ///< SI
    double offset = 0.0;       ///< SI
    std::uint64_t stream = 0;  ///< state of its own chance
  };
  Column column_of(std::size_t channel, std::uint64_t seed) const;
  void add_cell(Column& column, const Moment& now, double fault);
  void add_stamp(double time_s);
  bool in_gap(double time_s) const noexcept;
  void draw_gaps(std::uint64_t seed, double duration_s);

  LoggerSheet sheet_;
  std::vector<ChannelSource> channels_;
  std::vector<Column> columns_;
  Instant start_;
  Clock clock_;
  double barometer_Pa_;
  std::int64_t next_ = 0;
  std::size_t rows_ = 0;
  std::string text_;
};

}  // namespace cw::scenario
