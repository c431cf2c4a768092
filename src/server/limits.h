#pragma once

#include "checks/limit_sheet.h"
#include "server/store.h"

namespace cw::server {

/// The limits of a case: the defaults, changed by the sheet that was sent, where one was.
/// @error unsupported  a sheet that inherits: it names a file of this machine, which a sheet from
///                     elsewhere must not make the program read
/// @error as LimitSheet::parse
Result<LimitSheet> limits_of(const StoredWords& said);

}  // namespace cw::server
