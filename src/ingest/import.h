#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/reader.h"
#include "base/result.h"
#include "base/units.h"
#include "ingest/channel_map.h"
#include "ingest/counters.h"
#include "ingest/file_survey.h"
#include "ingest/standing.h"
#include "series/recording.h"

namespace cw {

/// How far an import has come; `read` and `total` are bytes of all files.
struct ImportProgress {
  std::string file;
  std::size_t read = 0;
  std::size_t total = 0;
};

struct ImportOptions {
  std::vector<ChannelMap> maps;  ///< each file takes the map that knows most of its columns
  /// Turns gauge readings absolute [Pa]; without it a map's barometer, else standard_pressure_at().
  std::optional<Pascal> barometric_pressure;
  std::optional<Metre> altitude;
  std::function<void(const ImportProgress&)> progress;  ///< may be empty; called from this thread
  std::function<bool()> stop;  ///< may be empty; true ends the import with an error; any thread
  std::size_t threads = 0;     ///< 0: as many as the machine has processors
  /// What files are called in results and messages, one for each path, where they lie under other
  /// names (uploads); then every path is a file. Empty: by their own names.
  std::vector<std::string> names;
  /// Also pass over named files that are no recordings, as those of a directory are; an error only
  /// where none can be read.
  bool skip_unreadable = false;
  /// Also read columns that are no channel, and say in Import::surveys what every file is like. A
  /// file without known channels is then no error.
  bool survey = false;
  /// The refrigerant of the machine, or all that it may be: a survey then says from the pressures
  /// at rest whether they are gauge or absolute (standing.h). A map's refrigerant picks from these
  /// by name. None: not asked.
  std::vector<SaturationCurve> saturation;
  Reader reader = Reader::command_line;  ///< of sentences that say what can be done
  /// A folder where recordings that were read are kept, to be opened at once the next time; made
  /// when needed. Empty: none is kept. Has no effect on a survey. What cannot be kept is not an
  /// error.
  std::filesystem::path shelf;
  std::size_t shelf_from = 8U << 20U;  ///< smaller recordings [bytes] are not kept
  std::uintmax_t shelf_size = std::uintmax_t{4} << 30U;  ///< bound of all that is kept [bytes]
};

/// What an import gives: the recording and everything a reader of a verdict must know about it.
struct Import {
  Recording recording;
  ImportLog log;
  std::vector<std::string> understood;      ///< "file: header -> channel"
  std::vector<std::string> not_understood;  ///< "file: header"
  std::vector<std::string> assumptions;     ///< sentences
  Pascal barometric_pressure{standard_atmosphere};
  std::vector<FileSurvey> surveys;  ///< one a file; only with ImportOptions::survey
  bool from_shelf = false;          ///< was a stored recording opened?
};

/// Reads recordings and joins them into one time axis. A path may be a file or a directory, of
/// which every file with a recording's name ending is read (not its sub-directories).
///
/// Several files may follow each other in time or carry different channels of the same time. Where
/// two files give the same channel at the same time, the first one counts.
///
/// @error not_found   a path that does not exist, a directory without recordings
/// @error unreadable  an empty or binary file, no time column, no known channel; with the columns
/// that
///                    were and were not understood and how to write a map
/// @error inconsistent  files whose clocks cannot be brought together
/// @error invalid_argument  stopped by ImportOptions::stop
Result<Import> import_recordings(const std::vector<std::filesystem::path>& paths,
                                 const ImportOptions& options);

/// The columns that were not understood, each file named once: "a.csv: X, Y and 12 more; b.csv: X".
std::string not_understood_text(const Import& import, std::size_t shown_per_file = 20);

}  // namespace cw
