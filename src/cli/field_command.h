#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "cli/command.h"
#include "fieldwork/form.h"
#include "fieldwork/sheet.h"

namespace cw::cli {

/// What a field procedure needs to become a command.
struct FieldProcedure {
  std::string_view positional;  ///< flag of the form that takes the positional argument, or empty
  std::span<const field::Question> questions;
  Result<field::FieldSheet> (*run)(const field::Form&, UnitSystem) = nullptr;
};

/// The procedure's questions as flags, with --input, --json, --html and --units behind them.
std::vector<Flag> field_flags(std::span<const field::Question> questions);

/// Fills the form from --input, then from the options; asks one by one when the command is called
/// bare on a terminal; runs and prints.
int run_field(const Arguments& arguments, const FieldProcedure& procedure);

}  // namespace cw::cli
