#include "fieldwork/rooms.h"

#include "cli/field_command.h"

namespace cw::cli {
namespace {

const std::vector<Flag> flags = field_flags(field::rooms_questions());

int run(const Arguments& arguments) {
  return run_field(arguments, {"system", field::rooms_questions(), field::rooms});
}

}  // namespace

const Command rooms_command = {
    "rooms",
    "Every room against refrigerant limits, worst first, with what brings it within",
    "SYSTEM",
    "system sheet (TOML)",
    false,
    flags,
    "coilwright rooms system.toml\n"
    "coilwright rooms system.toml --releasable 12kg --altitude 1600m",
    run};

}  // namespace cw::cli
