#pragma once

#include "system/detail/table_reader.h"

namespace cw::detail {

/// Reads [[outdoor]], [[branch]], [[room]] and [[indoor]] into `parts` (refrigerant set before, or
/// null where it could not be read). Factory charges that the sheet leaves open are nan and ports
/// 0 until the rest of the sheet is known.
void read_outdoor(const TableReader& sheet, SystemParts& parts, Notes& notes);
void read_branches(const TableReader& sheet, SystemParts& parts, Notes& notes);
void read_rooms(const TableReader& sheet, SystemParts& parts, Notes& notes);
/// After read_rooms.
void read_indoor(const TableReader& sheet, SystemParts& parts, Notes& notes);

/// Reads [charge]; what it leaves open is settled by settle_charge.
void read_charge(const TableReader& sheet, SystemParts& parts, Notes& notes);
/// Fills factory charges and, where the sheet has no movements, what was weighed in on site.
/// @param system  made from `parts`
void settle_charge(const TableReader& sheet, const System& system, SystemParts& parts,
                   Notes& notes);

}  // namespace cw::detail
