#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace cw {

/// Tables that stand beside each other in one text, as trend tools and spreadsheets write them:
/// each with a clock of its own, an empty column between them or the clock's header again. One
/// text a table (see CellText), whose lines are those of the whole; nothing where there is but one.
std::vector<std::string> tables_beside(std::string_view text);

}  // namespace cw
