#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

namespace cw::field {

/// A procedure as a form fills it; its command has the same name.
struct Procedure {
  std::string_view name;  ///< "leak-rate"
  std::string_view title;
  std::span<const Question> (*questions)() noexcept = nullptr;
  Result<FieldSheet> (*run)(const Form&, UnitSystem) = nullptr;
};

/// All procedures, in the order of the work. Thread-safe.
std::span<const Procedure> procedures() noexcept;

/// Null when there is none of that name.
const Procedure* find_procedure(std::string_view name) noexcept;

enum class AnswerKind { quantity, one_of, text, day, toggle, file };
std::string_view name_of(AnswerKind kind) noexcept;

/// What an answer looks like, for a form.
struct AnswerForm {
  AnswerKind kind = AnswerKind::text;
  std::vector<std::string_view> units;    ///< that a quantity may carry, the usual one of SI first
  std::vector<std::string_view> choices;  ///< of one_of
};
AnswerForm answer_form(const Question& question);

}  // namespace cw::field
