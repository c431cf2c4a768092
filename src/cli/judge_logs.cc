#include "cli/judge_logs.h"

#include <filesystem>

#include "cli/progress.h"

namespace cw::cli {

Result<JudgedLogs> judge_logs(const std::vector<std::string>& logs, ImportOptions reading,
                              JudgeOptions judging) {
  ProgressLine progress;
  reading.progress = [&](const ImportProgress& p) { progress.show(p.file, p.read, p.total); };
  Result<Import> import =
      import_recordings(std::vector<std::filesystem::path>(logs.begin(), logs.end()), reading);
  progress.clear();
  if (!import) return import.error();
  judging.progress = [&](std::string_view step, std::size_t done, std::size_t total) {
    progress.say("judging: " + std::string(step) +
                 (total == 0 ? ""
                             : " (" + std::to_string(done) + " of " + std::to_string(total) +
                                   " checks done)"));
  };
  Result<Judgement> judgement = judge(std::move(import->recording), judging);
  progress.clear();
  if (!judgement) return judgement.error();
  return JudgedLogs{std::move(*import), std::move(*judgement)};
}

}  // namespace cw::cli
