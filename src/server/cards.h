#pragma once

#include <string>
#include <string_view>

#include "server/store.h"

/// The JSON of recordings and intakes, as routes give it and as the store writes it.
namespace cw::server {

/// The files beside a card that can hold the recording's map: one at a time.
inline constexpr const char* first_map = "map.toml";
inline constexpr const char* second_map = "map-2.toml";

std::string words_json(const StoredWords& said);
/// @error parse  no JSON, an unknown key (with the nearest), a value that is no text
Result<StoredWords> read_words(std::string_view json);
/// Refuses words that `check` would refuse, too.
/// @error as read_case, LimitSheet::parse
Status check_words(const StoredWords& said);

/// What the list of recordings says of one. The summary is left out where it is of other words.
std::string recording_json(const StoredRecording& recording);
std::string intake_json(const Intake& intake);
std::string file_json(const StoredFile& file);

/// What the store keeps of a recording in its folder.
std::string card_json(const StoredRecording& recording);
/// Without paths, map, sheet and summary. @error parse
Result<StoredRecording> read_card(std::string_view json);
std::string summary_json(const Summary& summary);
std::optional<Summary> read_summary(std::string_view json);

}  // namespace cw::server
