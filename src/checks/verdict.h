#pragma once

#include <string_view>

namespace cw {

/// What a check says, from good to bad. `unproven` stands between ok and watch: the log does not
/// show what the check needs.
enum class Verdict { ok, unproven, watch, fault };

std::string_view name_of(Verdict verdict) noexcept;

}  // namespace cw
