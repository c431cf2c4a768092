#include "scenario/write.h"

#include <unistd.h>

#include <nlohmann/json.hpp>

#include "base/file.h"

namespace cw::scenario {
namespace {

namespace fs = std::filesystem;

/// Removes what an earlier simulation left here: a stale recording would be read with the new one.
void remove_earlier(const fs::path& directory) {
  const Result<std::string> text = read_file(directory / "truth.json");
  if (!text) return;
  const auto truth = nlohmann::json::parse(*text, nullptr, false);
  if (!truth.is_object() || truth.value("schema", "") != "coilwright.truth/1") return;
  const auto files = truth.find("files");
  if (files == truth.end() || !files->is_array()) return;
  for (const auto& entry : *files) {
    if (!entry.is_string()) continue;
    const fs::path name = entry.get<std::string>();
    if (name != name.filename() || name == "." || name == "..") continue;  // only right here
    std::error_code ignored;
    if (fs::is_regular_file(directory / name, ignored)) fs::remove(directory / name, ignored);
  }
}

}  // namespace

Status check_directory(const fs::path& directory, bool force) {
  std::error_code error;
  const fs::file_status status = fs::status(directory, error);
  if (!fs::exists(status)) return Done{};
  if (!fs::is_directory(status)) {
    return Error{ErrorCode::invalid_argument, "is no directory", directory.string(),
                 "Name a directory with -o"};
  }
  if (::access(directory.c_str(), W_OK | X_OK) != 0) {
    return Error{ErrorCode::unreadable, "cannot be written", directory.string(),
                 "Check the permissions"};
  }
  const bool empty = fs::is_empty(directory, error);
  if (error) {
    return Error{ErrorCode::unreadable, error.message(), directory.string(),
                 "Check the permissions"};
  }
  if (!empty && !force) {
    return Error{ErrorCode::invalid_argument, "there is something in the directory already",
                 directory.string(),
                 "Name another one, or overwrite an earlier simulation with --force"};
  }
  return Done{};
}

Status write_simulation(const fs::path& directory, bool force, const Simulation& simulation) {
  if (Status s = check_directory(directory, force); !s) return s;
  std::error_code error;
  fs::create_directories(directory, error);
  if (error) {
    return Error{ErrorCode::unreadable, "cannot make the directory: " + error.message(),
                 directory.string(), "Check the path and the permissions"};
  }
  if (force) remove_earlier(directory);
  for (const OutputFile& file : simulation.files) {
    if (Status s = write_file(directory / file.name, file.text); !s) return s;
  }
  return Done{};
}

}  // namespace cw::scenario
