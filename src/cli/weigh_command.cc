#include "fieldwork/weigh.h"

#include "cli/field_command.h"

namespace cw::cli {
namespace {

const std::vector<Flag> flags = field_flags(field::weigh_questions());

int run(const Arguments& arguments) {
  return run_field(arguments, {{}, field::weigh_questions(), field::weigh});
}

}  // namespace

const Command weigh_command = {
    "weigh",
    "Charging and recovery by scale readings, cylinder tare and 80 % fill",
    "",
    "",
    false,
    flags,
    "coilwright weigh --readings 30.20kg,28.95kg,27.40kg --refrigerant R-410A --tare 12.0kg\n"
    "  --water-capacity 21.6kg",
    run};

}  // namespace cw::cli
