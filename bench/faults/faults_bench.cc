// Scores the causes module on simulated faults: faults_bench CACHE [--only TEXT] [--svg FILE]
// [--calibration FILE] [--minutes N] [--list]. Recordings are kept in CACHE; remove it after a
// change of the twin.
#include <fmt/format.h>

#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <random>
#include <thread>

#include "score.h"
#include "system/sheet.h"

namespace {

using namespace cw::faults;

struct Options {
  std::filesystem::path cache;
  std::string only, svg, calibration;
  double minutes = 1e9;  ///< cases that are not begun by then are left out
  bool list = false;
};

/// Systems that fit the calibration; the others are scored. What was changed was
/// chosen by looking at cases of all of them: docs/design/diagnose.md.
bool fits(const Base& base) {
  return base.system == "split" || base.system == "house" || base.system == "clinic" ||
         base.system == "office";
}

/// Two workers; what they do is independent.
template <class Work>
void in_parallel(std::size_t count, const char* what, Work work) {
  std::atomic<std::size_t> next{0};
  const auto worker = [&] {
    for (std::size_t k = next++; k < count; k = next++) {
      work(k);
      if (k % 50 == 0) std::fprintf(stderr, "%s %zu of %zu\n", what, k, count);
    }
  };
  std::jthread other(worker);
  worker();
}

double charge_of(const Base& base) {
  const auto system = cw::parse_system(base.true_sheet, base.system);
  return system ? system->charge().total_kg() : 0.0;
}

/// What a case's severity is measured against.
double reference_of(const Base& base, const Case& c, const Recorded& healthy) {
  if (!c.relative_opening) return charge_of(base);
  const double opening = median_of(healthy.csv, c.place, "valve_opening");
  return std::isfinite(opening) ? opening : 0.1;
}

void score_case(const Base& base, const Recorded& healthy, const Recorded& sound,
                const Options& options, const std::vector<double>& temperatures, Scored& out) {
  const double reference = out.healthy() ? 0.0 : reference_of(base, *out.c, healthy);
  const Recorded recorded =
      out.healthy() ? healthy : record(base, *out.c, reference, options.cache);
  out.failed = recorded.failed;
  if (!out.failed.empty()) return;
  if (healthy.heat_W > 0.0 && healthy.power_W > 0.0) {
    out.capacity_lost = 1.0 - recorded.heat_W / healthy.heat_W;
    out.efficiency_lost = 1.0 - (recorded.heat_W / std::max(recorded.power_W, 1.0)) /
                                    (healthy.heat_W / healthy.power_W);
  }
  Answers answers = answer(base, recorded, sound, temperatures);
  out.answers = std::move(answers.alone);
  out.with_sound = std::move(answers.with_sound);
}

void list_case(const Scored& s, const Calibration& k) {
  std::printf("%s: ", s.c->name.c_str());
  if (!s.failed.empty()) {
    std::printf("not simulated: %s\n", s.failed.c_str());
    return;
  }
  const Answer& a = s.answers[k.temperature];
  std::printf("capacity -%.0f %%, efficiency -%.0f %%; healthy %.2f unknown %.2f",
              100 * s.capacity_lost, 100 * s.efficiency_lost, a.healthy, a.unknown);
  for (std::size_t i = 0; i < std::min<std::size_t>(a.causes.size(), 3); ++i) {
    std::printf(", %s %.2f", a.causes[i].first.c_str(), a.causes[i].second);
  }
  const Answer& plain = s.answers.front();
  std::printf(" [uncalibrated: healthy %.2f", plain.healthy);
  for (std::size_t i = 0; i < std::min<std::size_t>(plain.causes.size(), 3); ++i) {
    std::printf(", %s %.2f", plain.causes[i].first.c_str(), plain.causes[i].second);
  }
  std::printf("]");
  std::printf("%s\n", a.unproven.empty() ? "" : (" unproven: " + a.unproven).c_str());
}

bool read_options(int argc, char** argv, Options& out) {
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = argv[i];
    const auto next = [&] { return i + 1 < argc ? std::string(argv[++i]) : std::string(); };
    if (word == "--only") {
      out.only = next();
    } else if (word == "--svg") {
      out.svg = next();
    } else if (word == "--calibration") {
      out.calibration = next();
    } else if (word == "--minutes") {
      out.minutes = std::strtod(next().c_str(), nullptr);
    } else if (word == "--list") {
      out.list = true;
    } else {
      out.cache = word;
    }
  }
  return !out.cache.empty();
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  if (!read_options(argc, argv, options)) {
    std::fprintf(stderr,
                 "faults_bench CACHE [--only TEXT] [--svg FILE] [--calibration FILE] [--list]\n");
    return 2;
  }
  const std::vector<double> temperatures = {1.0, 1.5, 2.0, 3.0};
  const std::vector<Base> bases = make_bases();
  const std::vector<Case> cases = make_cases(bases);
  std::vector<Scored> all;
  std::vector<bool> needed(bases.size(), false);
  for (std::size_t k = 0; k < cases.size(); ++k) {
    if (cases[k].name.find(options.only) == std::string::npos) continue;
    Scored s;
    s.c = &cases[k];
    s.base = &bases[cases[k].base];
    s.training = fits(bases[cases[k].base]);
    needed[cases[k].base] = true;
    all.push_back(std::move(s));
  }
  // In a mixed order, so that a run that is cut short has some of everything.
  std::mt19937 random(3);
  for (std::size_t k = all.size(); k > 1; --k) std::swap(all[k - 1], all[random() % k]);
  const auto began = std::chrono::steady_clock::now();
  const auto late = [&] {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count() >
           60.0 * options.minutes;
  };
  std::vector<Recorded> healthy(bases.size());
  std::vector<Recorded> sound(bases.size());
  in_parallel(bases.size(), "healthy recordings", [&](std::size_t b) {
    if (!needed[b]) return;
    healthy[b] = record(bases[b], Case{}, 0.0, options.cache);
    sound[b] = record(sound_of(bases[b]), Case{}, 0.0, options.cache);
  });
  in_parallel(all.size(), "cases", [&](std::size_t k) {
    const std::size_t b = all[k].c->base;
    if (!late()) score_case(bases[b], healthy[b], sound[b], options, temperatures, all[k]);
  });
  std::erase_if(all, [](const Scored& s) { return s.answers.empty() && s.failed.empty(); });
  const Calibration calibration = fit(all, temperatures);
  std::vector<Scored> before = all;
  for (Scored& s : before) s.answers = s.with_sound;
  const Calibration with_sound = fit_threshold(before, calibration);
  if (options.list) {
    for (std::size_t k = 0; k < all.size(); ++k) {
      list_case(all[k], calibration);
      std::printf("  with a sound recording, ");
      list_case(before[k], with_sound);
    }
  }
  const auto tell = [&](const char* title, const std::vector<Scored>& scored, const Calibration& k,
                        bool all_systems) {
    std::printf("\n# %s\n\n%s", title, report(scored, k, temperatures, all_systems).c_str());
  };
  tell("Recording and sheet alone", all, calibration, false);
  tell("Recording and sheet alone, all systems", all, calibration, true);
  tell("With a recording of the sound machine", before, with_sound, false);
  tell("With a recording of the sound machine, all systems", before, with_sound, true);
  std::printf("\n# The trade's claim\n\n%s", claim(all, calibration).c_str());
  if (!options.svg.empty()) std::ofstream(options.svg) << reliability_svg(all, calibration);
  if (!options.calibration.empty()) {
    std::ofstream(options.calibration) << fmt::format(
        "# How far the probabilities are drawn together, and below which probability of "
        "\"nothing\" and\n# \"something else\" together a cause is named: alone, and where the "
        "sound machine was learnt\n# from an earlier recording. Written by bench/faults.\n"
        "temperature = {:.1f}\ncall_above = {:.3f}\ncall_above_sound = {:.3f}\nfitted_on = \"{} "
        "simulated cases of four invented machines (those of bench/faults that are not scored), "
        "not "
        "on real machines\"\n",
        temperatures[calibration.temperature], calibration.call_above, with_sound.call_above,
        std::count_if(all.begin(), all.end(), [](const Scored& s) { return s.training; }));
  }
  return 0;
}
