#include "server/memory.h"

#include <cstdlib>
#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace cw::server {

#ifdef __GLIBC__
void keep_memory_together() noexcept { ::mallopt(M_ARENA_MAX, 2); }
void give_memory_back() noexcept { ::malloc_trim(0); }
#else
void keep_memory_together() noexcept {}
void give_memory_back() noexcept {}
#endif

}  // namespace cw::server
