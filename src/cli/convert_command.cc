#include "fieldwork/convert.h"

#include "cli/field_command.h"

namespace cw::cli {
namespace {

const std::vector<Flag> flags = field_flags(field::convert_questions());

int run(const Arguments& arguments) {
  return run_field(arguments, {"value", field::convert_questions(), field::convert});
}

}  // namespace

const Command convert_command = {
    "convert",
    "A value in the other units of the trade: gauge and absolute, micron, ppm",
    "VALUE",
    "a value with its unit: 500um, 600psig, 77F",
    false,
    flags,
    "coilwright convert 500um\n"
    "coilwright convert 600psig --altitude 1600m\n"
    "coilwright convert --ppm 140000 --refrigerant R-410A",
    run};

}  // namespace cw::cli
