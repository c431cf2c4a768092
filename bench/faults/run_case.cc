#include "run_case.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <fstream>
#include <limits>
#include <sstream>

#include "checks/judgement.h"
#include "ingest/import.h"
#include "scenario/read.h"
#include "scenario/simulate.h"
#include "system/sheet.h"

namespace cw::faults {
namespace {

/// Changes when the twin does: an old cache must not be taken for a new one.
constexpr std::string_view generation = "3";

std::uint64_t hash_of(std::string_view text) {
  std::uint64_t h = 14695981039346656037ULL;  // FNV-1a
  for (const char c : text) h = (h ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
  return h;
}

/// Mean of one series of truth.json, which has one key a line.
double mean_of(const std::string& truth, const std::string& key) {
  const std::size_t at = truth.find("\"" + key + "\"");
  if (at == std::string::npos) return 0.0;
  std::size_t from = truth.find('[', at);
  const std::size_t end = truth.find(']', from);
  double sum = 0.0;
  double count = 0.0;
  std::istringstream numbers(truth.substr(from + 1, end - from - 1));
  for (std::string part; std::getline(numbers, part, ',');) {
    sum += std::strtod(part.c_str(), nullptr);
    count += 1.0;
  }
  return count > 0.0 ? sum / count : 0.0;
}

void simulate_to(const Base& base, const std::string& text, const std::filesystem::path& place,
                 Recorded& out) {
  std::filesystem::create_directories(place);
  std::ofstream(place / "true.toml") << base.true_sheet;
  const scenario::ScenarioReading reading = scenario::read_scenario_text(text, base.name, place);
  if (!reading.scenario) {
    out.failed = reading.errors.front().text();
    return;
  }
  const Result<scenario::Simulation> run = scenario::simulate(*reading.scenario);
  if (!run) {
    out.failed = run.error().text();
    return;
  }
  for (const scenario::OutputFile& file : run->files) {
    if (file.name == "recording.csv") std::ofstream(out.csv, std::ios::binary) << file.text;
    if (file.name != "truth.json") continue;
    out.heat_W = std::abs(mean_of(file.text, "heat_to_rooms_W"));
    out.power_W = mean_of(file.text, "power_W");
  }
}

}  // namespace

Recorded record(const Base& base, const Case& c, double value, const std::filesystem::path& cache) {
  const std::string text = scenario_of(base, c, value);
  const auto key = hash_of(std::string(generation) + base.true_sheet + text);
  const std::filesystem::path place = cache / fmt::format("{:016x}", key);
  Recorded out;
  out.csv = place / "recording.csv";
  const std::filesystem::path cost = place / "cost.txt";
  if (std::ifstream in(cost); in) {
    in >> out.heat_W >> out.power_W;
    std::getline(in >> std::ws, out.failed);
    return out;
  }
  simulate_to(base, text, place, out);
  std::ofstream(cost) << out.heat_W << " " << out.power_W << "\n" << out.failed << "\n";
  return out;
}

double median_of(const std::filesystem::path& csv, const std::string& place,
                 const std::string& quantity) {
  const auto import = import_recordings({csv}, {});
  if (!import) return std::numeric_limits<double>::quiet_NaN();
  const Channel* channel = import->recording.find(place, quantity);
  if (channel == nullptr) return std::numeric_limits<double>::quiet_NaN();
  std::vector<double> values;
  for (const float v : channel->values) {
    if (!is_missing(v)) values.push_back(static_cast<double>(v));
  }
  if (values.empty()) return std::numeric_limits<double>::quiet_NaN();
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

namespace {

Result<Judgement> judged(const System& system, const std::filesystem::path& csv) {
  ImportOptions import_options;
  import_options.threads = 1;
  auto import = import_recordings({csv}, import_options);
  if (!import) return import.error();
  JudgeOptions judge_options;
  judge_options.refrigerant = std::string(system.refrigerant().name());
  judge_options.system = &system;
  return judge(std::move(import->recording), judge_options);
}

/// What the checks say, for every answer.
Answer checks_of(const Base& base, const Judgement& judgement) {
  Answer out;
  out.heating = !base.cooling;
  out.heating_questions_hold = out.heating;
  // Of the five questions "set-point" is left out: cases force their calls.
  constexpr std::array questions = {"discharge-temperature", "discharge-superheat",
                                    "shell-superheat", "condensing-target", "indoor-coil-heat"};
  for (const char* check : questions) {
    if (verdict_of(judgement.findings, check) != Verdict::ok) out.heating_questions_hold = false;
  }
  for (const Check* check : judgement.asked) {
    if (verdict_of(judgement.findings, check->id) >= Verdict::watch) {
      out.other_findings.push_back(check->id);
    }
  }
  return out;
}

std::vector<Answer> weighed(const System& system, const Judgement& judgement,
                            const Judgement* sound, const Answer& checks,
                            const std::vector<double>& temperatures) {
  diagnose::DiagnoseOptions options;
  options.look_ahead = false;
  options.trial_temperatures = temperatures;
  options.sound = sound;
  const auto diagnosis = diagnose::diagnose(judgement, &system, options);
  std::vector<Answer> out(temperatures.size(), checks);
  if (!diagnosis || !diagnosis->unproven.empty()) {
    for (Answer& a : out) a.unproven = diagnosis ? diagnosis->unproven : diagnosis.error().text();
    return out;
  }
  for (std::size_t t = 0; t < temperatures.size(); ++t) {
    const auto& trial = diagnosis->trials[t];
    out[t].healthy = trial.healthy;
    out[t].unknown = trial.unknown;
    out[t].causes = trial.causes;
    out[t].sound_used = diagnosis->compared_with_sound;
  }
  return out;
}

}  // namespace

Answers answer(const Base& base, const Recorded& recorded, const Recorded& sound,
               const std::vector<double>& temperatures) {
  const auto began = std::chrono::steady_clock::now();
  const auto failed = [&](const Error& error) {
    Answer plain;
    plain.unproven = error.text();
    const std::vector<Answer> all(temperatures.size(), plain);
    return Answers{all, all};
  };
  const auto system = parse_system(base.sheet, base.system);
  if (!system) return failed(system.error());
  const auto judgement = judged(*system, recorded.csv);
  if (!judgement) return failed(judgement.error());
  const Answer checks = checks_of(base, *judgement);
  Answers out;
  out.alone = weighed(*system, *judgement, nullptr, checks, temperatures);
  const double seconds =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
  for (Answer& a : out.alone) a.seconds = seconds;
  out.with_sound = out.alone;
  if (!sound.failed.empty()) return out;
  const auto before = judged(*system, sound.csv);
  if (before) out.with_sound = weighed(*system, *judgement, &*before, checks, temperatures);
  return out;
}

}  // namespace cw::faults
