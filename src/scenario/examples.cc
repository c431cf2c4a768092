#include "scenario/examples.h"

#include "embedded/demo_systems.h"

namespace cw::scenario {

std::span<const EmbeddedFile> example_systems() { return embedded::demo_systems(); }

}  // namespace cw::scenario
