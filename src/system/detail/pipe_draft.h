#pragma once

#include "system/detail/table_reader.h"

namespace cw::detail {

/// A pipe as the sheet has it, before it is known whether the pipes form a tree.
struct PipeDraft {
  std::string id;  ///< "pipe.4"
  std::string from;
  std::string to;
  double length_m = 0.0;
  double rise_m = 0.0;
  bool has_rise = false;         ///< the sheet says so, be it 0
  const Tube* liquid = nullptr;  ///< null: by capacity
  const Tube* gas = nullptr;
  const Tube* third = nullptr;
  std::vector<Fitting> fittings;
  int line = 0;
  bool from_piping = false;  ///< made from [piping]; `line` is then that table's
};

/// Reads [[pipe]] or makes the pipes that [piping] describes. Empty, with errors noted, where the
/// ends of some pipe cannot be read: then nothing can be said of the tree.
std::vector<PipeDraft> read_pipes(const TableReader& sheet, const SystemParts& parts, Notes& notes);

/// Checks that the pipes form one tree from outdoor to indoor and fills nodes, segments (without
/// sizes) and root. False where they do not; everything that is wrong is noted.
bool build_tree(const std::vector<PipeDraft>& drafts, SystemParts& parts, Notes& notes);

/// For each node: is it a branch box, or is one behind it? Needs sorted nodes.
std::vector<bool> leads_to_branch(const SystemParts& parts);

/// Sizes that the sheet leaves open, and what sizes must keep to. Needs the tree.
void settle_sizes(SystemParts& parts, Notes& notes);

}  // namespace cw::detail
