#pragma once

#include <functional>
#include <string_view>

#include "base/reader.h"
#include "base/result.h"
#include "ingest/channel_map.h"
#include "ingest/counters.h"
#include "ingest/file_survey.h"
#include "ingest/source_table.h"

namespace cw {

struct Layout;

/// What a format's reader is given beside the bytes.
struct ReadContext {
  std::string file;  ///< name for messages
  const ChannelMap* map = nullptr;
  double barometric_pressure = 101325.0;            ///< [Pa], for gauge readings
  ImportLog* log = nullptr;                         ///< never null
  std::function<void(std::size_t bytes)> progress;  ///< may be empty; called from one thread
  /// Tells that these bytes of the text, and all before them, have been read; from the first byte
  /// on, in order, by one thread at a time. May be empty. They are seldom looked at again.
  /// `copy` is empty or holds the same bytes, warmer.
  std::function<void(std::string_view text, std::string_view copy)> done_with;
  /// Copies a part of the text without looking at it; false where it cannot. May be empty. Any
  /// thread.
  std::function<bool(std::string_view part, char* to)> copy;
  std::function<bool()> stop;  ///< may be empty; true: leave off and give an error; any thread
  std::size_t threads = 1;
  const Layout* layout = nullptr;        ///< found already, without a map; null: to be found
  Reader reader = Reader::command_line;  ///< of errors that say what can be done
  FileSurvey* survey = nullptr;          ///< not null: read every column and fill this
};

/// Reads delimited text, already decoded to UTF-8: dialect, header and clock are found by the
/// stages in layout.h and clock_plan.h.
/// @error unreadable    no line, no time column, no known channel (see import_recordings)
/// @error inconsistent  day and month cannot be told apart
Result<std::vector<SourceTable>> read_delimited(std::string_view text, const ReadContext& context);

}  // namespace cw
