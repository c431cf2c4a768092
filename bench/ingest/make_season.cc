// Writes the recording that the ingest benchmark reads: invented numbers of half a year, one row a
// minute, ISO stamps, 400 channels in our own header form. The same every time.
//
//   make_season FILE [DAYS]
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "base/instant.h"

namespace {

struct Signal {
  std::string header;
  double middle, swing, noise;
  int decimals;
};

std::vector<Signal> signals() {
  std::vector<Signal> out;
  for (int module = 1; module <= 4; ++module) {
    const std::string place = "outdoor." + std::to_string(module) + ".";
    out.push_back({place + "discharge_temperature [degC]", 78, 12, 0.4, 1});
    out.push_back({place + "suction_temperature [degC]", 4, 6, 0.3, 1});
    out.push_back({place + "discharge_pressure [kPa]", 2700, 300, 9, 0});
    out.push_back({place + "suction_pressure [kPa]", 780, 80, 4, 0});
    out.push_back({place + "compressor_frequency [Hz]", 58, 22, 0.6, 1});
    out.push_back({place + "coil_temperature [degC]", -3, 5, 0.3, 2});
    out.push_back({place + "power [kW]", 8.2, 3, 0.06, 2});
    out.push_back({place + "shell_temperature [degC]", 66, 9, 0.2, 1});
  }
  for (int unit = 1; unit <= 61; ++unit) {
    const std::string place = "indoor." + std::to_string(unit) + ".";
    out.push_back({place + "controlled_temperature [degC]", 21.4, 1.2, 0.05, 2});
    out.push_back({place + "gas_pipe_temperature [degC]", 52, 8, 0.5, 2});
    out.push_back({place + "liquid_pipe_temperature [degC]", 36, 5, 0.4, 2});
    out.push_back({place + "set_point [degC]", 21, 0.0, 0.0, 1});
    out.push_back({place + "valve_opening [%]", 42, 20, 1.0, 1});
    out.push_back({place + "supply_air_temperature [degC]", 38, 4, 0.3, 2});
  }
  out.push_back({"site.outdoor_temperature [degC]", 2, 9, 0.1, 2});
  out.push_back({"site.outdoor_humidity [%]", 71, 12, 0.5, 1});
  return out;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) {
    std::fprintf(stderr, "usage: make_season FILE [DAYS]\n");
    return 2;
  }
  const int days = argc > 2 ? std::atoi(argv[2]) : 180;
  std::FILE* file = std::fopen(argv[1], "wb");
  if (file == nullptr) return 2;
  const std::vector<Signal> all = signals();
  std::string line = "time";
  for (const Signal& signal : all) line += "," + signal.header;
  line += "\n";
  std::fwrite(line.data(), 1, line.size(), file);
  const cw::Instant begin = *cw::instant_of({2025, 11, 1, 0, 0, 0, 0});
  std::uint32_t state = 12345;
  char cell[32];
  for (int minute = 0; minute < days * 1440; ++minute) {
    const cw::CivilTime t = cw::civil_of({begin.ms + minute * std::int64_t{60000}});
    std::snprintf(cell, sizeof cell, "%04d-%02d-%02d %02d:%02d:%02d", t.year, t.month, t.day,
                  t.hour, t.minute, t.second);
    line = cell;
    const double turn = std::sin(minute * (2.0 * 3.14159265 / 1440.0));
    for (const Signal& signal : all) {
      state = state * 1664525U + 1013904223U;
      const double noise = (static_cast<double>(state >> 8U) / 16777216.0 - 0.5) * 2.0;
      std::snprintf(cell, sizeof cell, ",%.*f", signal.decimals,
                    signal.middle + signal.swing * turn + signal.noise * noise);
      line += cell;
    }
    line += "\n";
    std::fwrite(line.data(), 1, line.size(), file);
  }
  return std::fclose(file) == 0 ? 0 : 2;
}
