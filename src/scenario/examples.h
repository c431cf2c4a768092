#pragma once

#include <span>

#include "base/embedded_file.h"

namespace cw::scenario {

/// The invented system sheets that are in the program, by file name ("systems/demo_office.toml").
std::span<const EmbeddedFile> example_systems();

}  // namespace cw::scenario
