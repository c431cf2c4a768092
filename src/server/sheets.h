#pragma once

#include <functional>
#include <optional>
#include <string>

#include "base/unit_text.h"
#include "server/http.h"
#include "server/router.h"
#include "system/sheet.h"

namespace cw::server {

/// A system sheet of the program by its id ("demo_office").
std::optional<std::string> example_sheet(const std::string& id);

/// `{"toml", "sheet": <sheet --json>, "svg"}`, or 422 with all that is wrong; as system_of.
Response sheet_response(const std::string& toml, UnitSystem units);

/// Takes in the sheet of a call's body: refused where it is wrong, else handed to `keep` and
/// answered as sheet_response does.
Response take_sheet(const Call& call, const std::function<Status(const std::string&)>& keep);

/// The machine of a sheet that was sent, fit for judging and for the twin.
/// @error as parse_system, check_names_no_file
Result<System> system_of(const std::string& toml);

/// Refuses a sheet that names a compressor's map: that is a file of this machine, which a sheet
/// from elsewhere must not make the twin read.
/// @error unsupported
Status check_names_no_file(const System& system);

/// 422 with every error of a sheet.
Response sheet_refusal(const SheetReading& reading);

}  // namespace cw::server
