#pragma once

#include <array>
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
/// among them. It belongs to the nearest column of that name to its left, and to none where another
/// one does, too. A column "Quality" alone belongs to the readings in front of it where each such
/// column has some.
std::vector<QualityColumn> find_quality_columns(const Layout& layout);

/// Is each filled cell of a column a word for good or bad, and some of them good?
bool holds_qualities(const Layout& layout, std::size_t column);

/// Positions of columns called after a quality that are not among those that are applied.
std::vector<std::size_t> quality_columns_beside(const Layout& layout,
                                                const std::vector<QualityColumn>& applied);

/// "bad" and its like, but no word that may be a machine's state ("error").
bool warns_of_reading(std::string_view cell);

/// What is said of such a column in which such a word stands.
std::string marks_not_applied(const std::string& header);

/// Words that say that a reading is good; common practice, no source.
inline constexpr std::array good_words = {"good", "ok",    "valid",        "gut",
                                          "bon",  "bueno", "g\xC3\xBCltig"};
/// In any letter case.
bool is_good_word(std::string_view cell);

}  // namespace cw
