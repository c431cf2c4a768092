#pragma once

#include <cstddef>

namespace cw {

/// Tells the system that this memory is about to be written to, so that it gives the pages of it at
/// once and need not be interrupted at each: under some hypervisors an interruption costs ten times
/// what is done in it. A hint; what lies there stays as it is, and not all of it need become ready.
void ready_for_writing(void* begin, std::size_t bytes) noexcept;

}  // namespace cw
