#pragma once

#include <filesystem>
#include <string_view>

#include "base/result.h"

namespace cw::cli {

/// Prints a page of ours to PDF with the browser of this machine, without a window. The browser is
/// the program that COILWRIGHT_BROWSER names, else `chromium` or `chromium-browser` on the path.
/// @error not_found   no browser
/// @error unreadable  the browser failed, took longer than two minutes, or wrote no PDF
Status print_pdf(std::string_view html, const std::filesystem::path& pdf);

}  // namespace cw::cli
