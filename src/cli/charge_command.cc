#include "fieldwork/charge.h"

#include "cli/field_command.h"

namespace cw::cli {
namespace {

const std::vector<Flag> flags = field_flags(field::charge_questions());

int run(const Arguments& arguments) {
  return run_field(arguments, {"system", field::charge_questions(), field::charge});
}

}  // namespace

const Command charge_command = {
    "charge",
    "Charge worksheet from the pipe tree and the coefficients of the documents",
    "SYSTEM",
    "system sheet (TOML)",
    false,
    flags,
    "coilwright charge system.toml\n"
    "coilwright charge system.toml --coefficient 3/8=0.057kg/m --coefficient 1/4=0.023kg/m",
    run};

}  // namespace cw::cli
