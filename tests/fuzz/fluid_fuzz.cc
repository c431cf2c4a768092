// libFuzzer target: two bytes choose refrigerant and entry, sixteen are two doubles of any bits.
#include <cstddef>
#include <cstring>

#include "fluid_entries.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 18) return 0;
  double a = 0.0;
  double b = 0.0;
  std::memcpy(&a, data + 2, sizeof a);
  std::memcpy(&b, data + 10, sizeof b);
  cw::fluid::fuzz::feed(data[0], data[1], a, b);
  return 0;
}
