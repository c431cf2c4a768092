#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ingest/file_survey.h"
#include "ingest/source_table.h"

namespace cw {

/// Adds the zone whose autumn clock change the rows show: an hour that stands twice in stamps
/// without an offset. Zones with the same change at the same wall-clock time cannot be told apart
/// and are all named.
/// @param tables  in file order, before rows are put into order
void propose_zone(const std::vector<SourceTable>& tables, FileSurvey& survey);

/// What is kept of a file to compare its clock with other files' clocks: some columns as they
/// stand.
struct ClockProbe {
  struct Signal {
    std::string header;
    std::string kind;  ///< "temperature", "pressure", ...: signals of one kind are compared first
    std::vector<float> values;
  };
  std::string file;
  std::vector<Instant> time;
  std::vector<Signal> signals;
};

/// @param table  in order of time
ClockProbe clock_probe(const SourceTable& table);

/// How far a clock is ahead of another, by how two signals move together.
struct ClockOffset {
  double seconds = 0.0;       ///< the second clock minus the first
  double correlation = 0.0;   ///< of the two signals' movements with the offset removed, -1..1
  double unmoved = 0.0;       ///< with the clocks as they are
  double elsewhere = 0.0;     ///< the largest at any other offset
  std::string first, second;  ///< headers
};

/// Tries offsets of up to 13 hours. Slow movements (over two hours) are taken out of both signals
/// first: all that warms up in the morning would look alike. Empty where no two signals move
/// together clearly, or where the clocks agree.
std::optional<ClockOffset> clock_offset(const ClockProbe& a, const ClockProbe& b);

/// Compares each file's clock with the first file's and proposes a shift where they differ by a
/// constant time.
void propose_shifts(const std::vector<ClockProbe>& probes, std::vector<FileSurvey>& surveys);

}  // namespace cw
