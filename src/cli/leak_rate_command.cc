#include "fieldwork/leak_rate.h"

#include "cli/field_command.h"

namespace cw::cli {
namespace {

const std::vector<Flag> flags = field_flags(field::leak_rate_questions());

int run(const Arguments& arguments) {
  return run_field(arguments, {{}, field::leak_rate_questions(), field::leak_rate});
}

}  // namespace

const Command leak_rate_command = {
    "leak-rate",
    "Leak rate a year, EU check intervals and dates, and the leak register",
    "",
    "",
    false,
    flags,
    "coilwright leak-rate --full 80lb --added 6lb --days 95 --method annualizing\n"
    "coilwright leak-rate --full 24kg --refrigerant R-410A --rule eu-2024-573 --last-check "
    "2026-01-10\n"
    "coilwright leak-rate --full 80lb --register leaks.toml --record \"2026-01-10 addition 6lb "
    "flare\"\n"
    "  --method rolling",
    run};

}  // namespace cw::cli
