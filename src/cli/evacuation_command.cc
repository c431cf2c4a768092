#include "fieldwork/evacuation.h"

#include "cli/field_command.h"

namespace cw::cli {
namespace {

const std::vector<Flag> flags = field_flags(field::evacuation_questions());

int run(const Arguments& arguments) {
  return run_field(arguments, {{}, field::evacuation_questions(), field::evacuation});
}

}  // namespace

const Command evacuation_command = {
    "evacuation",
    "Pump-down time and what throttles it; what a vacuum rise says: leak, moisture, outgassing",
    "",
    "",
    false,
    flags,
    "coilwright evacuation --rise 0min:500um,10min:700um,20min:900um,60min:1700um --volume 60L\n"
    "  --coldest 25C\n"
    "coilwright evacuation --pump-speed 142L/min --hose \"9.5mm x 1.5m\" --cores out --volume 60L",
    run};

}  // namespace cw::cli
