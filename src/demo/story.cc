#include "demo/story.h"

#include "demo/lag.h"

namespace cw::demo {

const std::array<Defrost, defrost_count> defrosts = {{
    {1, at(6, 48), 6.5},  {2, at(7, 58), 6.0},  {1, at(9, 4), 6.0},
    {2, at(10, 8), 5.5},  {1, at(11, 10), 5.5}, {2, at(12, 11, 30), 5.0},
    {1, at(13, 13), 5.0}, {2, at(14, 14), 5.0}, {1, at(15, 15, 30), 5.5},
    {2, at(16, 18), 5.5}, {1, at(17, 22), 6.0}, {2, at(18, 28, 30), 6.0},
    {1, at(19, 36), 6.5}, {2, at(20, 46), 6.5}, {1, at(21, 57, 30), 7.0},
    {2, at(23, 10), 7.0}, {1, at(0, 26), 7.5},  {2, at(1, 44), 7.5},
    {1, at(3, 4), 7.5},   {2, at(4, 20), 7.0},
}};

const Defrost* defrost_at(double minute) {
  for (const Defrost& defrost : defrosts) {
    if (minute >= defrost.start && minute < defrost.start + defrost.length_min) return &defrost;
  }
  return nullptr;
}

double outdoor_temperature(double minute) {
  return -9.4 - 0.8 * smooth_rise(minute, at(5, 0), at(7, 0)) +
         6.2 * smooth_rise(minute, at(7, 0), at(15, 0)) -
         12.0 * smooth_rise(minute, at(15, 0), at(4, 59, 30));
}

double carry_over(double minute) {
  return smooth_rise(minute, at(2, 8), at(2, 12)) - smooth_rise(minute, at(2, 48), at(2, 54));
}

double occupied(double minute) {
  return smooth_rise(minute, at(7, 45), at(8, 45)) - smooth_rise(minute, at(17, 0), at(18, 30));
}

}  // namespace cw::demo
