#include "base/pages.h"

#include <sys/mman.h>
#include <unistd.h>

#include <cstdint>

namespace cw {

void ready_for_writing(void* begin, std::size_t bytes) noexcept {
#if defined(MADV_POPULATE_WRITE)
  static const auto page = static_cast<std::uintptr_t>(::sysconf(_SC_PAGESIZE));
  // Whole pages inside: the neighbours' memory at both ends need not be there.
  const std::uintptr_t from = (reinterpret_cast<std::uintptr_t>(begin) + page - 1) / page * page;
  const std::uintptr_t to = (reinterpret_cast<std::uintptr_t>(begin) + bytes) / page * page;
  // An older system does not know it, and then nothing is lost.
  if (to > from) (void)::madvise(reinterpret_cast<void*>(from), to - from, MADV_POPULATE_WRITE);
#else
  (void)begin;
  (void)bytes;
#endif
}

}  // namespace cw
