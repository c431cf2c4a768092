#include "fieldwork/convert.h"

#include "cli/field_command.h"

namespace cw::cli {
namespace {

const std::vector<Flag> flags = field_flags(field::altitude_questions());

int run(const Arguments& arguments) {
  return run_field(arguments, {{}, field::altitude_questions(), field::altitude});
}

}  // namespace

const Command altitude_command = {
    "altitude",
    "Barometer of a site, and what gauge readings mean there",
    "",
    "",
    false,
    flags,
    "coilwright altitude --altitude 1600m --reading \"0.75MPa(g)\" --refrigerant R-410A",
    run};

}  // namespace cw::cli
