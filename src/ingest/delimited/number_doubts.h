#pragma once

#include <optional>

#include "ingest/channel_map.h"
#include "ingest/delimited/layout.h"

namespace cw {

/// "3,2-" for -3,2, as business programs write: only where no number of the file has its minus in
/// front, and none has another sign behind it, which would be a mark.
void take_minus_behind(Layout& layout);

/// Rows that have more cells than the header names, all of them whole numbers: the file seems to
/// write decimal commas between commas, as 27,5,8,3 for 27.5 and 8.3, and nothing tells them apart.
/// @returns  the error that says so; nothing where a map states what commas are
std::optional<Error> commas_of_two_kinds(const Layout& layout, const ChannelMap* map);

}  // namespace cw
