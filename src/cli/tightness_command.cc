#include "fieldwork/tightness.h"

#include "cli/field_command.h"

namespace cw::cli {
namespace {

const std::vector<Flag> flags = field_flags(field::tightness_questions());

int run(const Arguments& arguments) {
  return run_field(arguments, {{}, field::tightness_questions(), field::tightness});
}

}  // namespace

const Command tightness_command = {
    "tightness",
    "Judge a nitrogen pressure test: real gas, uncertainty, the leak it could not have seen",
    "",
    "",
    false,
    flags,
    "coilwright tightness --start \"4.15MPa(g)\" --start-temperature 25C --end \"3.915MPa(g)\"\n"
    "  --end-temperature 10C --volume 60L --hours 24\n"
    "coilwright tightness --log test.csv --volume 60L\n"
    "coilwright tightness --plan --nameplate \"4.15MPa(g)\"",
    run};

}  // namespace cw::cli
