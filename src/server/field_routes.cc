#include "server/workbench.h"

namespace cw::server {

std::span<const Route> field_routes() { return {}; }

}  // namespace cw::server
