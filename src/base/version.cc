#include "base/version.h"

namespace cw {

std::string_view version() noexcept { return CW_VERSION; }

}  // namespace cw
