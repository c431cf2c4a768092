#include "server/limits.h"

#include "base/toml_file.h"

namespace cw::server {

Result<LimitSheet> limits_of(const StoredWords& said) {
  if (said.limits.empty()) return LimitSheet::defaults();
  const Result<toml::table> table = parse_toml(said.limits, "limits");
  if (!table) return table.error();
  if (table->contains("inherits")) {
    return Error{ErrorCode::unsupported, "a limit sheet that was sent cannot inherit from a file",
                 "limits, inherits", "Write the figures of both sheets into one"};
  }
  return LimitSheet::parse(said.limits, "limits");
}

}  // namespace cw::server
