#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "base/result.h"

/// Pages of ours as PDF, printed by a browser of this machine without a window.
namespace cw::print {

/// The program that COILWRIGHT_BROWSER names, else `chromium` or `chromium-browser` on the path.
/// @error unsupported  there is none
Result<std::string> find_browser();

/// The bytes of a PDF of a page of HTML.
///
/// The page may come from a person's browser and is not trusted: it runs nothing, loads nothing
/// (neither a file nor from a network; pictures only where they stand in the page itself), and goes
/// nowhere else. The browser has a folder of its own for all that it writes, which goes afterwards,
/// and no way into a network.
/// @param stopped  asked some twenty times a second; true ends the work. Empty: nobody ends it.
/// @error unsupported       no browser
/// @error invalid_argument  the page would go elsewhere by itself; stopped
/// @error unreadable        the browser failed, took longer than two minutes, or wrote no PDF
/// Thread-safe.
Result<std::string> print_pdf(std::string_view html, const std::function<bool()>& stopped = {});

}  // namespace cw::print
