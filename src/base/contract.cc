#include "base/contract.h"

#include <cstdio>
#include <cstdlib>

namespace cw {

void contract_failed(const char* kind, const char* condition, const char* file, int line) noexcept {
  std::fprintf(stderr, "coilwright: broken %s: %s (%s:%d)\n", kind, condition, file, line);
  std::abort();
}

}  // namespace cw
