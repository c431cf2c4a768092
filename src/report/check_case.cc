#include "report/check_case.h"

#include "base/text.h"
#include "fluid/refrigerant.h"

namespace cw {
namespace {

/// A text as SI; errors name where it was typed.
Result<std::optional<double>> quantity_of(const std::optional<std::string>& text,
                                          const std::string& where, Dimension dimension) {
  if (!text) return std::optional<double>{};
  const Result<double> si = parse_quantity(*text, dimension);
  if (!si) {
    Error error = si.error();
    error.where = where;
    return error;
  }
  return std::optional<double>{*si};
}

Status read_target(const CaseWords& words, LimitSheet& limits, Reader reader) {
  const std::string where = told(reader, "--target", "Condensing target");
  const auto target = quantity_of(words.target, where, Dimension::temperature);
  if (!target) return target.error();
  if (!*target) return Done{};
  if (**target < 273.15 || **target > 348.15) {
    return Error{
        ErrorCode::out_of_range,
        "a condensing target of " + format_si(**target, Dimension::temperature, UnitSystem::si),
        where, "Give a temperature between 0 degC and 75 degC (32 degF and 167 degF)"};
  }
  limits.set("condensing-target.target", **target, *words.target,
             told(reader, "--target", "said for this recording"));
  return Done{};
}

Status read_mode(const CaseWords& words, JudgeOptions& judge, Reader reader) {
  if (!words.mode) return Done{};
  if (*words.mode == "heating") {
    judge.stated_mode = PhaseKind::heating;
  } else if (*words.mode == "cooling") {
    judge.stated_mode = PhaseKind::cooling;
  } else {
    return Error{ErrorCode::invalid_argument, "\"" + *words.mode + "\" is no mode",
                 told(reader, "--mode", "Mode"), "Use heating or cooling"};
  }
  return Done{};
}

/// Changes `out` where a day was given.
Status read_day(const std::optional<std::string>& said, const std::string& where, double from_K,
                double to_K, double& out) {
  const auto value = quantity_of(said, where, Dimension::temperature);
  if (!value) return value.error();
  if (!*value) return Done{};
  const auto text = [](double si) { return format_si(si, Dimension::temperature, UnitSystem::si); };
  if (**value < from_K || **value > to_K) {
    return Error{ErrorCode::out_of_range, "no design day has outdoor air of " + text(**value),
                 where, "Give a temperature from " + text(from_K) + " to " + text(to_K)};
  }
  out = **value;
  return Done{};
}

}  // namespace

Result<twin::DesignDays> read_design_days(const std::optional<std::string>& coldest,
                                          const std::optional<std::string>& hottest,
                                          Reader reader) {
  twin::DesignDays out;
  const Status cold = read_day(coldest, told(reader, "--coldest", "Coldest day here"),
                               twin::coldest_from_K, twin::coldest_to_K, out.coldest_K);
  if (!cold) return cold.error();
  const Status hot = read_day(hottest, told(reader, "--hottest", "Hottest day here"),
                              twin::hottest_from_K, twin::hottest_to_K, out.hottest_K);
  if (!hot) return hot.error();
  return out;
}

Barometer SiteAir::barometer(UnitSystem units) const {
  if (barometric_pressure) return {*barometric_pressure, "as given"};
  if (altitude) {
    return {standard_pressure_at(*altitude),
            "standard atmosphere at " +
                number_text(display_unit(Dimension::length, units).from_si(altitude->value), 5) +
                " " + std::string(display_symbol(Dimension::length, units))};
  }
  return {Pascal{standard_atmosphere},
          "standard atmosphere at sea level (" +
              told(reader, "--altitude or --barometer", "the altitude or the barometer") +
              " sets it)"};
}

Result<SiteAir> read_site_air(const std::optional<std::string>& altitude,
                              const std::optional<std::string>& barometer, Reader reader) {
  SiteAir site;
  site.reader = reader;
  const std::string at_height = told(reader, "--altitude", "Altitude of the site");
  const std::string at_barometer = told(reader, "--barometer", "Barometer");
  const auto height = quantity_of(altitude, at_height, Dimension::length);
  if (!height) return height.error();
  if (*height) {
    if (**height < -500.0 || **height > 6000.0) {
      return Error{ErrorCode::out_of_range, "an altitude of " + number_text(**height) + " m",
                   at_height, "Give a height between -500 m and 6000 m"};
    }
    site.altitude = Metre{**height};
  }
  const auto pressure = quantity_of(barometer, at_barometer, Dimension::pressure);
  if (!pressure) return pressure.error();
  if (*pressure) {
    if (**pressure < 45e3 || **pressure > 112e3) {
      return Error{ErrorCode::out_of_range,
                   "a barometric pressure of " + number_text(**pressure / 1e3) + " kPa",
                   at_barometer, "Give the absolute pressure of the air, 45 kPa to 112 kPa"};
    }
    site.barometric_pressure = Pascal{**pressure};
  }
  return site;
}

Result<CaseOptions> read_case(const CaseWords& words, LimitSheet limits, UnitSystem units,
                              Reader reader) {
  CaseOptions out;
  out.import.reader = out.judge.reader = reader;
  const Result<SiteAir> site = read_site_air(words.altitude, words.barometer, reader);
  if (!site) return site.error();
  out.import.altitude = site->altitude;
  out.import.barometric_pressure = site->barometric_pressure;
  out.judge.limits = std::move(limits);
  if (Status s = read_target(words, out.judge.limits, reader); !s) return s.error();
  if (Status s = read_mode(words, out.judge, reader); !s) return s.error();
  out.judge.units = units;
  out.judge.refrigerant = words.refrigerant.value_or("R-410A");
  return out;
}

void fill_from_sheet(const System& system, const CaseWords& words, ImportOptions& import,
                     JudgeOptions& judge) {
  if (!words.refrigerant) judge.refrigerant = std::string(system.refrigerant().name());
  if (!import.altitude && !import.barometric_pressure && !system.is_assumed("site", "altitude")) {
    import.altitude = Metre{system.site().altitude_m};
  }
}

Status settle_refrigerant(const CaseWords& words, const System* system,
                          const std::vector<ChannelMap>& maps, JudgeOptions& judge) {
  const ChannelMap* saying = nullptr;
  std::string mapped;
  for (const ChannelMap& map : maps) {
    if (map.refrigerant.empty()) continue;
    const auto known = fluid::find_refrigerant(map.refrigerant);
    if (!known) {
      Error error = known.error();
      error.where = map.name;
      return error;
    }
    const std::string name((*known)->name());
    if (saying != nullptr && name != mapped) {
      return Error{
          ErrorCode::invalid_argument,
          "the map " + saying->name + " says " + mapped + ", the map " + map.name + " says " + name,
          "refrigerant", "One machine has one refrigerant: correct a map"};
    }
    saying = &map;
    mapped = name;
  }
  const std::string sheet = system == nullptr ? "" : std::string(system->refrigerant().name());
  if (words.refrigerant) {
    const auto known = fluid::find_refrigerant(*words.refrigerant);
    if (!known) return known.error();
    const std::string_view said = (*known)->name();
    std::string others;
    if (!sheet.empty() && sheet != said) others += "; the sheet says " + sheet;
    if (saying != nullptr && mapped != said) {
      others += "; the map " + saying->name + " says " + mapped;
    }
    if (!others.empty()) judge.refrigerant_source = "as was said for this judgement" + others;
    return Done{};
  }
  if (saying == nullptr) return Done{};
  if (!sheet.empty() && sheet != mapped) {
    return Error{ErrorCode::invalid_argument,
                 "the sheet says " + sheet + ", the map " + saying->name + " says " + mapped,
                 "refrigerant",
                 "Correct one of them, or say which holds" +
                     told(judge.reader, " with --refrigerant", " under \"What was understood\"")};
  }
  judge.refrigerant = mapped;
  if (sheet.empty()) judge.refrigerant_source = "as the map " + saying->name + " says";
  return Done{};
}

Status same_refrigerant(const System& system, const std::string& said, const std::string& who,
                        const std::string& where) {
  const auto refrigerant = fluid::find_refrigerant(said);
  if (!refrigerant) return refrigerant.error();
  const std::string sheet(system.refrigerant().name());
  if ((*refrigerant)->name() == sheet) return Done{};
  return Error{
      ErrorCode::invalid_argument,
      "the sheet says " + sheet + ", " + who + " says " + std::string((*refrigerant)->name()),
      where, "Leave it out, or correct the sheet: the machine is compared with the sheet's twin"};
}

}  // namespace cw
