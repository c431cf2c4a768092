#pragma once

#include <string_view>
#include <vector>

#include "ingest/delimited/layout.h"

namespace cw {

/// A column of words that says which readings of another one are good.
struct QualityColumn {
  std::size_t column = 0;  ///< position of the words
  std::size_t of = 0;      ///< position of the readings
};

/// "hp.value, hp.quality", "HP (bar), HP status": columns whose header is another one's with a word
/// for quality behind it, and whose cells are words for good and bad and nothing else, some good
/// among them. A column "Quality" alone belongs to the one in front of it where each reading has
/// one.
std::vector<QualityColumn> find_quality_columns(const Layout& layout);

/// A word that says that a reading is good, in any letter case.
bool is_good_word(std::string_view cell);

}  // namespace cw
