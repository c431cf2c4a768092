#include "server/workbench.h"

namespace cw::server {

std::span<const Route> twin_routes() { return {}; }

}  // namespace cw::server
