#pragma once

namespace cw::server {

/// Tells the allocator that a program with many threads keeps its memory together: else each thread
/// holds what it ever freed. Once, before threads start; of the whole process.
void keep_memory_together() noexcept;

/// Gives memory that is free back to the system; takes milliseconds. Thread-safe.
void give_memory_back() noexcept;

}  // namespace cw::server
