#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "ingest/delimited/dialect.h"
#include "ingest/encoding.h"
#include "ingest/source_lines.h"

namespace cw {

/// One delimited text out of a file: the file itself, a sheet of a workbook, a member of an
/// archive.
struct OpenedText {
  std::string name;
  std::string format;  ///< for people: "delimited text", "workbook, sheet \"Data\""
  Text text;           ///< UTF-8
  std::vector<Observation> findings;
  std::vector<std::string> assumptions;
  SourceLines source;  ///< where the text's lines stand in the file
};

struct OpenOptions {
  std::optional<Encoding> encoding;  ///< stated by a map
  std::vector<std::string> sheets;   ///< of a workbook; none: the one with most numbers
};

/// Opens a file's bytes: unpacks what is packed, turns other formats into delimited text, decodes.
/// The texts may point into `bytes`.
/// @error unreadable   binary or broken
/// @error unsupported  a known format that is not read, with its name
/// @error out_of_range an archive that unpacks to more than is plausible
Result<std::vector<OpenedText>> open_texts(std::string_view bytes, const std::string& name,
                                           const OpenOptions& options);

}  // namespace cw
