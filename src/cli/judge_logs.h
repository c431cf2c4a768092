#pragma once

#include <string>
#include <vector>

#include "checks/judgement.h"
#include "ingest/import.h"

namespace cw::cli {

/// Recordings, read and judged.
struct JudgedLogs {
  Import import;  ///< its recording has moved into the judgement
  Judgement judgement;
};

/// Reads the recordings and judges them, with progress on stderr.
/// @error as import_recordings and judge
Result<JudgedLogs> judge_logs(const std::vector<std::string>& logs, ImportOptions reading,
                              JudgeOptions judging);

}  // namespace cw::cli
