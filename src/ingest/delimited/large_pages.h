#pragma once

#include <sys/mman.h>

#include <cstddef>
#include <cstdint>

namespace cw {

/// Asks the system to back reserved memory that will be filled wholly with large pages: half a
/// year's columns are a hundred thousand small ones, and a fault for each takes a tenth of the
/// reading's time. A wish that may go unheard; nothing depends on it.
inline void prefer_large_pages([[maybe_unused]] const void* begin,
                               [[maybe_unused]] std::size_t bytes) noexcept {
#if defined(MADV_HUGEPAGE)
  constexpr std::uintptr_t page = 4096;
  const auto at = reinterpret_cast<std::uintptr_t>(begin);
  const std::uintptr_t from = at / page * page;
  const std::uintptr_t to = (at + bytes + page - 1) / page * page;
  ::madvise(reinterpret_cast<void*>(from), to - from, MADV_HUGEPAGE);  // NOLINT
#endif
}

}  // namespace cw
