#pragma once

#include <memory>
#include <optional>
#include <string>

#include "base/result.h"
#include "fluid/detail/model.h"
#include "fluid/detail/table_data.h"
#include "fluid/table.h"

namespace cw::fluid::detail {

/// Where tables are kept between runs: $COILWRIGHT_CACHE, else $XDG_CACHE_HOME/coilwright, else
/// $HOME/.cache/coilwright. Empty where there is no such place, where COILWRIGHT_CACHE is set and
/// empty, and under WebAssembly.
std::string cache_directory();

/// A hash of the embedded data files of all refrigerants (a mixture needs more than its own), as 16
/// hex digits.
std::string data_fingerprint(std::span<const EmbeddedFile> files);

/// The name of a refrigerant's file in the directory.
std::string cache_file_name(const Model& model, const std::string& fingerprint);

struct CachedTable {
  Result<std::unique_ptr<TableData>> data;
  TableOrigin origin;
};
/// The table from its file in `directory`; where there is none, or it is not whole and made by this
/// very equation, made afresh and written there. The disk can fail in any way: then the table is
/// made and `origin` says what was wrong.
/// @param directory  empty: no files
/// @error no_convergence as make_table
CachedTable cached_table(const Model& model, const std::string& fingerprint,
                         const std::string& directory);

}  // namespace cw::fluid::detail
