#pragma once

#include <filesystem>

#include "base/result.h"
#include "scenario/simulate.h"

/// Putting a simulation on the disk.
namespace cw::scenario {

/// Can a simulation be written here? Asked before a long run, not after it.
/// @error invalid_argument  the directory holds something and `force` is false, or is no directory
/// @error unreadable        it cannot be made or written
Status check_directory(const std::filesystem::path& directory, bool force);

/// Writes every file whole or not at all, truth.json last; makes the directory. With `force`,
/// files of an earlier simulation (those that its truth.json lists) are removed first; others stay.
/// @error as check_directory, and those of write_file
Status write_simulation(const std::filesystem::path& directory, bool force,
                        const Simulation& simulation);

}  // namespace cw::scenario
