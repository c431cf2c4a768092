// Times the whole check (read, join, derive, cut into phases, judge), and then the causes with a
// sheet, on generated recordings of 400 channels at 1 min: a day, a month and a season of 180 days.
// Each size runs in a process of its own, so that the peak memory is that of one check.
//
//   check_bench [DIRECTORY]     the directory takes the generated files (about 700 MB); default
//   /tmp

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <string>
#include <vector>

#include "checks/judgement.h"
#include "diagnose/diagnose.h"
#include "ingest/import.h"
#include "system/sheet.h"

namespace {

using namespace cw;

/// A column of the generated file and the wave that its readings follow.
struct Column {
  std::string header;
  double mean = 0.0;
  double swing = 0.0;
  int decimals = 1;
};

void add_module(std::vector<Column>& out, const std::string& place) {
  out.push_back({place + ".compressor_frequency [Hz]", 60.0, 20.0, 1});
  out.push_back({place + ".discharge_pressure [kPa(g)]", 2880.0, 60.0, 0});
  out.push_back({place + ".suction_pressure [kPa(g)]", 480.0, 60.0, 0});
  out.push_back({place + ".discharge_temperature [degC]", 82.0, 6.0, 1});
  out.push_back({place + ".suction_temperature [degC]", -6.0, 3.0, 1});
  out.push_back({place + ".shell_temperature [degC]", 30.0, 4.0, 1});
  out.push_back({place + ".coil_temperature [degC]", -13.0, 3.0, 1});
  out.push_back({place + ".outdoor_temperature [degC]", -5.0, 3.0, 1});
  out.push_back({place + ".valve_opening [%]", 40.0, 15.0, 0});
  out.push_back({place + ".current [A]", 18.0, 5.0, 1});
}

void add_unit(std::vector<Column>& out, const std::string& place) {
  out.push_back({place + ".gas_pipe_temperature [degC]", 59.0, 2.0, 1});
  out.push_back({place + ".liquid_pipe_temperature [degC]", 41.0, 2.0, 1});
  out.push_back({place + ".controlled_temperature [degC]", 21.0, 0.4, 1});
  out.push_back({place + ".set_point [degC]", 21.5, 0.0, 1});
  out.push_back({place + ".valve_opening [%]", 45.0, 20.0, 0});
  out.push_back({place + ".call", 1.0, 0.0, 0});
}

std::vector<Column> columns() {
  std::vector<Column> out;
  for (int m = 1; m <= 4; ++m) add_module(out, "outdoor." + std::to_string(m));
  for (int u = 1; u <= 60; ++u) add_unit(out, "indoor." + std::to_string(u));
  return out;  // 4 x 10 + 60 x 6 = 400
}

void generate(const std::filesystem::path& path, std::size_t days) {
  const std::vector<Column> table = columns();
  std::FILE* file = std::fopen(path.c_str(), "wb");
  if (file == nullptr) {
    std::perror(path.c_str());
    std::exit(1);
  }
  std::fputs("time", file);
  for (const Column& column : table) std::fprintf(file, ",%s", column.header.c_str());
  std::fputc('\n', file);
  const std::int64_t start = instant_of({2026, 1, 1, 0, 0, 0, 0})->ms;
  std::uint64_t random = 1;
  char number[32];
  std::string line;
  for (std::size_t minute = 0; minute < days * 1440; ++minute) {
    const Instant now{start + static_cast<std::int64_t>(minute) * 60000};
    line = iso_text(now, Clock{});
    const double wave = std::sin(static_cast<double>(minute) * 6.283185307 / 1440.0);
    for (const Column& column : table) {
      random = random * 6364136223846793005ULL + 1442695040888963407ULL;
      const double noise = static_cast<double>(random >> 40U) / 16777216.0 - 0.5;
      const double value = column.mean + column.swing * (0.7 * wave + 0.3 * noise);
      const int size = std::snprintf(number, sizeof number, ",%.*f", column.decimals, value);
      line.append(number, static_cast<std::size_t>(size));
    }
    line += '\n';
    std::fwrite(line.data(), 1, line.size(), file);
  }
  std::fclose(file);
}

double now_seconds() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// A machine of the recording's modules and units; invented.
constexpr const char* sheet =
    "name = \"season\"\nrefrigerant = \"R-410A\"\n[[outdoor]]\ncount = 4\ncooling = \"56 "
    "kW\"\n[[indoor]]\ncount = 60\ncooling = \"3.6 kW\"\n[piping]\nmain = \"40 m\"\nbranch = "
    "\"6 m\"\n";

/// Processor time of this process, all threads [s].
double processor_seconds() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}

/// Runs in the child: prints one row and ends.
[[noreturn]] void run_once(const std::filesystem::path& path, const char* name) {
  const double begin = now_seconds();
  Result<Import> import = import_recordings({path}, {});
  if (!import) {
    std::fprintf(stderr, "%s\n", import.error().text().c_str());
    std::_Exit(1);
  }
  const double read = now_seconds() - begin;
  const std::size_t rows = import->recording.size();
  const std::size_t values = rows * import->recording.channels.size();
  const Result<System> system = parse_system(sheet, "season");
  if (!system) std::_Exit(1);
  JudgeOptions options;
  options.system = &*system;
  const Result<Judgement> judgement = judge(std::move(import->recording), options);
  if (!judgement) std::_Exit(1);
  const double total = now_seconds() - begin;
  const double processor = processor_seconds();
  const auto diagnosis = diagnose::diagnose(*judgement, &*system, {});
  if (!diagnosis) std::_Exit(1);
  if (!diagnosis->unproven.empty()) std::fprintf(stderr, "%s\n", diagnosis->unproven.c_str());
  const double causes = now_seconds() - begin - total;
  const double megabytes = static_cast<double>(std::filesystem::file_size(path)) * 1e-6;
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  std::printf(
      "| %s | %zu | %.1f M | %.0f MB | %.2f s | %.2f s (%.2f s) | %.2f s (%.2f s) | %.0f | %.0f "
      "MB/s "
      "| %.0f MB |\n",
      name, rows, static_cast<double>(values) * 1e-6, megabytes, read, total, processor, causes,
      processor_seconds() - processor, static_cast<double>(rows) / total, megabytes / read,
      static_cast<double>(usage.ru_maxrss) * 1e-3);
  std::fflush(stdout);
  std::_Exit(0);
}

}  // namespace

int main(int argc, char** argv) {
  const std::filesystem::path directory = argc > 1 ? argv[1] : "/tmp";
  struct Size {
    const char* name;
    std::size_t days;
  };
  std::puts(
      "| recording | rows | values | file | read | check in all (processor) | causes besides "
      "(processor) | rows/s | reading | peak memory |");
  std::puts("|---|---|---|---|---|---|---|---|---|---|");
  std::fflush(stdout);
  for (const Size size : {Size{"day", 1}, Size{"month", 30}, Size{"season", 180}}) {
    const std::filesystem::path path =
        directory / ("coilwright_bench_" + std::string(size.name) + ".csv");
    generate(path, size.days);
    const pid_t child = fork();
    if (child == 0) run_once(path, size.name);
    int status = 0;
    waitpid(child, &status, 0);
    std::filesystem::remove(path);
    if (status != 0) return 1;
  }
  return 0;
}
