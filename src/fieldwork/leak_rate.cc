#include "fieldwork/leak_rate.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "base/text.h"
#include "fieldwork/detail/rules.h"
#include "fieldwork/leak_register.h"

namespace cw::field {
namespace {

using D = Dimension;
constexpr std::string_view rules = "leak_rate.toml";
constexpr double day = 86400.0;
constexpr Shown a_year{"%/yr", "%/yr", 2};
constexpr Shown kilograms{"kg", "lb", 3};

constexpr std::array questions = {
    Question{"--full", "MASS", "full charge of the system: 80lb", false, true},
    Question{"--added", "MASS",
             "added; with its day where known, several for rolling: 6lb or 2026-01-10:6lb", true,
             true},
    Question{"--days", "DAYS",
             "days since the addition before the last one (or since first filled)", false, true},
    Question{"--method", "annualizing|rolling", "how the rate is worked out (default annualizing)",
             false, true},
    Question{"--rule", "NAME", "what you hold to apply: us-82-157, us-84-106, eu-2024-573 or none",
             false, true},
    Question{"--appliance", "KIND",
             "comfort, commercial or industrial, for the rules of the US (default comfort)"},
    Question{"--refrigerant", "NAME", "for t CO2e: R-410A", false, true},
    Question{"--leak-detection", "",
             "a leak detection system is installed (doubles the EU interval)"},
    Question{"--last-check", "DAY", "day of the last leak check, for the next one"},
    Question{"--repaired", "DAY", "day of a repair, for the verification dates"},
    Question{"--verified", "DAY",
             "last successful follow-up verification (shortens the rolling window)"},
    Question{"--on", "DAY", "the day that is judged (default: the newest dated addition)"},
    Question{"--register", "FILE", "leak register (TOML): its additions are used"},
    Question{"--record", "ENTRY",
             "write an entry into --register: \"2026-01-10 addition 6lb flare at unit 3\"", true},
    Question{"--date", "DAY", "day of the work for the sheet"},
};

const Range charges{0.05, 5e3, "a VRF system holds grams to tonnes",
                    "Give the full charge, for example 80lb"};
const Range additions{1e-3, 5e3, "something was added",
                      "Give what was added, for example 6lb or 2026-01-10:6lb"};

struct Addition {
  std::optional<Instant> on;
  double mass = 0.0;
  std::string note;
};

struct Inputs {
  double full = 0.0;
  std::vector<Addition> additions;
  std::optional<Instant> judged, verified, last_check, repaired;
  std::optional<double> days;
  std::string method, rule, appliance;
  std::optional<detail::RuleRefrigerant> refrigerant;
  bool leak_detection = false;
};

Status read_additions(const Form& form, Inputs& out) {
  for (const std::string& text : form.all("--added")) {
    for (const std::string_view part : split(text, ',')) {
      Addition addition;
      std::string_view mass = part;
      if (const std::size_t colon = part.find(':'); colon != std::string_view::npos) {
        const Result<Instant> on = read_date(part.substr(0, colon), "--added");
        if (!on) return on.error();
        addition.on = *on;
        mass = part.substr(colon + 1);
      }
      const Result<double> kg = read_quantity(mass, D::mass, additions, "--added");
      if (!kg) return kg.error();
      addition.mass = *kg;
      out.additions.push_back(std::move(addition));
    }
  }
  return Done{};
}

Status read_from_register(const Form& form, Inputs& out) {
  const auto path = form.text("--register");
  const std::vector<std::string> records = form.all("--record");
  if (!path) {
    if (records.empty()) return Done{};
    return Error{ErrorCode::not_found, "an entry needs a register to stand in", "--register",
                 "Name the register's file, too"};
  }
  if (form.is_attached("--register") && !records.empty()) {
    return Error{ErrorCode::unsupported, "an entry cannot be written into a file that was sent",
                 "--record", "Write it into your own file: coilwright leak-rate --record"};
  }
  for (const std::string& record : records) {
    const Result<RegisterEntry> entry = read_entry(record, "--record");
    if (!entry) return entry.error();
    if (Status s = add_to_register(*path, *entry); !s) return s.error();
  }
  const auto attached =
      form.is_attached("--register") ? form.file("--register") : Result<Form::File>(Form::File{});
  const Result<std::vector<RegisterEntry>> entries =
      form.is_attached("--register") ? parse_register(attached->text, attached->name)
                                     : read_register(*path);
  if (!entries) return entries.error();
  for (const RegisterEntry& entry : *entries) {
    if (entry.kind == EntryKind::addition)
      out.additions.push_back({entry.day, entry.mass, entry.note});
    if (entry.kind == EntryKind::verification) out.verified = entry.day;
    if (entry.kind == EntryKind::check) out.last_check = entry.day;
    if (entry.kind == EntryKind::repair) out.repaired = entry.day;
  }
  return Done{};
}

Status read_dates(const Form& form, Inputs& out) {
  const auto date = [&](std::string_view flag, std::optional<Instant>& into) -> Status {
    const auto value = form.date(flag);
    if (!value) return value.error();
    if (*value) into = **value;
    return Done{};
  };
  if (Status s = date("--on", out.judged); !s) return s.error();
  if (Status s = date("--verified", out.verified); !s) return s.error();
  if (Status s = date("--last-check", out.last_check); !s) return s.error();
  if (Status s = date("--repaired", out.repaired); !s) return s.error();
  std::stable_sort(out.additions.begin(), out.additions.end(),
                   [](const auto& a, const auto& b) { return a.on && b.on && *a.on < *b.on; });
  for (const Addition& addition : out.additions) {
    if (addition.on && !form.has("--on") && (!out.judged || *out.judged < *addition.on)) {
      out.judged = addition.on;
    }
    if (addition.on && form.has("--on") && *addition.on > *out.judged) {
      return Error{ErrorCode::inconsistent,
                   "an addition on " + day_text(*addition.on) + " is later than the day judged",
                   "--on", "Judge a day on or after the last addition"};
    }
  }
  for (const auto& [flag, when] :
       {std::pair{"--verified", out.verified}, std::pair{"--last-check", out.last_check},
        std::pair{"--repaired", out.repaired}}) {
    if (!form.has("--on") || !when || *when <= *out.judged) continue;
    return Error{ErrorCode::inconsistent, day_text(*when) + " is later than the day judged", flag,
                 "Check both dates"};
  }
  return Done{};
}

Status read_choices(const Form& form, Inputs& out) {
  constexpr std::string_view methods[] = {"annualizing", "annualising", "rolling"};
  constexpr std::string_view rule_names[] = {"us-82-157", "us-84-106", "eu-2024-573", "none"};
  constexpr std::string_view appliances[] = {"comfort", "commercial", "industrial"};
  const auto method = form.word("--method", methods, "annualizing");
  if (!method) return method.error();
  out.method = *method == "annualising" ? "annualizing" : *method;
  const auto rule = form.word("--rule", rule_names, "none");
  if (!rule) return rule.error();
  out.rule = *rule;
  const auto appliance = form.word("--appliance", appliances, "comfort");
  if (!appliance) return appliance.error();
  out.appliance = *appliance;
  if (const auto name = form.text("--refrigerant")) {
    Result<detail::RuleRefrigerant> found = detail::rule_refrigerant(*name);
    if (!found) return found.error();
    out.refrigerant = std::move(*found);
  }
  out.leak_detection = form.has("--leak-detection");
  return Done{};
}

Result<Inputs> read_inputs(const Form& form) {
  Inputs out;
  const auto full = form.need("--full", D::mass, charges);
  if (!full) return full.error();
  out.full = *full;
  if (Status s = read_choices(form, out); !s) return s.error();
  const auto days = form.duration("--days",
                                  {day, 36500.0 * day, "at least a day lies between two additions",
                                   "Give days, for example 95"},
                                  "d");
  if (!days) return days.error();
  if (*days) out.days = **days / day;
  if (Status s = read_additions(form, out); !s) return s.error();
  if (Status s = read_from_register(form, out); !s) return s.error();
  if (Status s = read_dates(form, out); !s) return s.error();
  for (const Addition& addition : out.additions) {
    if (addition.mass <= 3.0 * out.full) continue;
    return Error{ErrorCode::inconsistent, "an addition is more than three full charges", "--added",
                 "Check the units of the full charge and of what was added"};
  }
  if (out.additions.empty() && !out.refrigerant) {
    return Error{
        ErrorCode::not_found, "nothing was added and no refrigerant is named", "--added",
        told(form.reader,
             "Give --added 6lb for a leak rate, or --refrigerant R-410A for the check interval",
             "Give what was added, for example 6lb, for a leak rate, or the refrigerant for the "
             "check interval")};
  }
  return out;
}

/// Days since the addition before the last, from the dates where --days is not given.
Result<double> days_between(const Inputs& in) {
  if (in.days) return *in.days;
  const std::size_t n = in.additions.size();
  if (n >= 2 && in.additions[n - 1].on && in.additions[n - 2].on) {
    const double days = seconds_between(*in.additions[n - 2].on, *in.additions[n - 1].on) / day;
    if (days >= 1.0) return days;
  }
  return Error{ErrorCode::not_found, "the days since the addition before are missing", "--days",
               "Give for example 95, or at least two additions with their days"};
}

Result<double> add_annualized(const Inputs& in, const Writer& w, FieldSheet& sheet) {
  const Result<double> days = days_between(in);
  if (!days) return days.error();
  const double added = in.additions.back().mass;
  const double rate = annualized_leak_rate(Kilogram{added}, Kilogram{in.full}, *days);
  sheet.inputs.push_back(figure_of("added", "Added last", added, D::mass, "as entered", kilograms));
  sheet.inputs.push_back(figure_of("time_since_addition", "Days since the addition before",
                                   *days * day, D::time, in.days ? "as entered" : "from the dates",
                                   Shown{"days", "days", 0}));
  sheet.formulas.push_back({"Leak rate, annualizing", "100 x added/full x 365/min(days, 365)",
                            "100 x " + w.mass(added) + " / " + w.mass(in.full) + " x 365 / " +
                                fixed(std::min(*days, 365.0), 0),
                            fixed(rate * 100, 2) + " % a year",
                            "40 CFR 82.152, by way of the EPA 608 course, ch. 7.3"});
  return rate;
}

Result<double> add_rolling(const Inputs& in, const Writer& w, FieldSheet& sheet) {
  double sum = 0.0;
  std::string numbers;
  bool undated = false;
  for (const Addition& addition : in.additions) {
    undated = undated || !addition.on;
    const bool old = addition.on && seconds_between(*addition.on, *in.judged) >= 365.0 * day;
    const bool before = addition.on && in.verified && *addition.on <= *in.verified;
    if (old || before) continue;
    sum += addition.mass;
    numbers += (numbers.empty() ? "" : " + ") + w.mass(addition.mass);
  }
  const double rate = rolling_leak_rate(Kilogram{sum}, Kilogram{in.full});
  sheet.inputs.push_back(
      figure_of("added", "Added in the window", sum, D::mass,
                undated ? "as entered; additions without a day are all counted" : "by their days",
                kilograms));
  sheet.formulas.push_back(
      {"Leak rate, rolling", "100 x sum of additions/full",
       "100 x (" + (numbers.empty() ? "0" : numbers) + ") / " + w.mass(in.full),
       fixed(rate * 100, 2) + " % a year",
       "365 days, or since the last successful follow-up verification if that "
       "is shorter"});
  return rate;
}

void add_us(const Inputs& in, double rate, FieldSheet& sheet) {
  const std::string title = detail::rule_text(rules, in.rule, "title");
  const std::string source = detail::rule_text(rules, in.rule, "source");
  const double least =
      parse_quantity(detail::rule_text(rules, in.rule, "least_charge"), D::mass).value_or(0.0);
  const detail::Sourced threshold = detail::rule_figure(rules, "us", in.appliance);
  sheet.because.push_back("You chose " + title + ". " +
                          detail::rule_text(rules, in.rule, "applies"));
  sheet.results.push_back(figure_of("threshold", "Threshold of the rule for " + in.appliance,
                                    threshold.value, D::ratio, threshold.source, a_year));
  sheet.results.push_back(figure_of("least_charge", "Charge from which the rule speaks", least,
                                    D::mass, source, kilograms));
  if (in.full < least) {
    sheet.verdict = "below the charge from which this rule speaks, as entered";
  } else {
    sheet.alarm = rate > threshold.value;
    sheet.verdict = sheet.alarm ? "over" : "within this rule as entered";
  }
  if (in.repaired) {
    const detail::Sourced follow = detail::rule_figure(rules, "us", "follow_up_days");
    const Instant last{in.repaired->ms + std::llround(follow.value * day * 1e3)};
    sheet.results.push_back(
        word_of("follow_up_until", "Follow-up verification until", day_text(last), follow.source));
  }
  sheet.sources.push_back(source);
}

void add_eu(const Inputs& in, const detail::Sourced& gwp, FieldSheet& sheet) {
  const std::string source = detail::rule_text(rules, "eu-2024-573", "source");
  const Kilogram co2e = co2_equivalent(Kilogram{in.full}, gwp.value);
  const int months = check_interval_months(co2e, in.leak_detection);
  sheet.because.push_back("You chose " + detail::rule_text(rules, "eu-2024-573", "title") + ". " +
                          detail::rule_text(rules, "eu-2024-573", "applies"));
  sheet.results.push_back({"check_interval_months",
                           "Months between leak checks",
                           static_cast<double>(months),
                           D::count,
                           source,
                           {},
                           {},
                           {},
                           months == 0 ? "none: below 5 t CO2e" : ""});
  if (months > 0 && in.last_check) {
    sheet.results.push_back(word_of("next_check", "Next leak check by",
                                    day_text(months_later(*in.last_check, months)), source));
  }
  if (in.repaired) {
    sheet.results.push_back(word_of("recheck_from", "Check after the repair: not before",
                                    "24 operating hours after " + day_text(*in.repaired), source));
    sheet.results.push_back(word_of("recheck_until", "Check after the repair: until",
                                    day_text(months_later(*in.repaired, 1)), source));
  }
  if (sheet.verdict.empty()) {
    sheet.verdict = months == 0 ? "below the lowest band, as entered"
                                : "leak check every " + std::to_string(months) + " months";
  }
  sheet.sources.push_back(source);
}

void add_additions_table(const Inputs& in, FieldSheet& sheet) {
  if (in.additions.size() < 2) return;
  Table table{"additions",
              "Additions",
              {{"date", "Day", D::ratio, {}},
               {"mass", "Added", D::mass, kilograms},
               {"note", "Note", D::ratio, {}}},
              {}};
  for (const Addition& a : in.additions) {
    table.rows.push_back({a.on ? day_text(*a.on) : std::string("no day"), a.mass, a.note});
  }
  sheet.tables.push_back(std::move(table));
}

Status add_co2(const Inputs& in, FieldSheet& sheet) {
  if (!in.refrigerant) {
    if (in.rule != "eu-2024-573") return Done{};
    return Error{ErrorCode::not_found, "the refrigerant is missing", "--refrigerant",
                 "CO2 equivalents need it: give for example R-410A"};
  }
  const auto gwp = in.refrigerant->gwp_eu ? in.refrigerant->gwp_eu : in.refrigerant->gwp_ar4;
  if (!gwp) return Done{};
  sheet.inputs.push_back(
      figure_of("gwp", "GWP of " + in.refrigerant->name, gwp->value, D::count, gwp->source));
  sheet.results.push_back(figure_of("co2_equivalent", "Charge as CO2",
                                    co2_equivalent(Kilogram{in.full}, gwp->value).value, D::mass,
                                    "kg x GWP", Shown{"t", "t", 1}));
  sheet.formulas.push_back({"CO2 equivalent", "t CO2e = kg x GWP / 1000",
                            fixed(in.full, 2) + " kg x " + fixed(gwp->value, 0) + " / 1000",
                            fixed(in.full * gwp->value / 1000, 1) + " t CO2e", gwp->source});
  if (in.rule != "eu-2024-573") return Done{};
  if (!in.refrigerant->gwp_eu) {
    return Error{ErrorCode::unsupported,
                 in.refrigerant->name + " is no gas of that regulation's Annex I", "--rule",
                 "Choose another rule"};
  }
  add_eu(in, *in.refrigerant->gwp_eu, sheet);
  return Done{};
}

void close_sheet(const Inputs& in, FieldSheet& sheet) {
  if (in.rule == "none") {
    sheet.because.push_back(
        "No rule was chosen: the figures stand alone. Which law applies to this system is your "
        "choice; we do not make it.");
  }
  sheet.next = {
      "Write the addition, the place of the leak and the repair into the register on the day.",
      "Keep records: 3 years (US), 5 years (EU)."};
  sheet.limits = {
      "What was added is not always what leaked: a charge set right after a wrong first filling "
      "looks like a leak.",
      "The annualizing method spikes after a short interval; the rolling method lags behind."};
  sheet.cautions = refrigerant_cautions(in.refrigerant && in.refrigerant->flammable());
  sheet.sources.push_back("40 CFR 82.157; 40 CFR 84.106; Regulation (EU) 2024/573, Arts 5 to 7");
  sheet.signed_by = {"Technician", "Owner or operator"};
}

}  // namespace

double annualized_leak_rate(Kilogram added, Kilogram full, double days) noexcept {
  return added.value / full.value * 365.0 / std::min(days, 365.0);
}

double rolling_leak_rate(Kilogram added_in_window, Kilogram full) noexcept {
  return added_in_window.value / full.value;
}

Kilogram co2_equivalent(Kilogram charge, double gwp) noexcept { return {charge.value * gwp}; }

int check_interval_months(Kilogram co2e, bool leak_detection) {
  const std::vector<double> bands = detail::rule_list(rules, "eu-2024-573", "bands_t");
  const std::vector<double> months = detail::rule_list(rules, "eu-2024-573", "months");
  int out = 0;
  for (std::size_t i = 0; i < bands.size(); ++i) {
    if (co2e.value >= bands[i] * 1e3) out = static_cast<int>(months[i]);
  }
  return leak_detection ? 2 * out : out;
}

std::span<const Question> leak_rate_questions() noexcept { return questions; }

Result<FieldSheet> leak_rate(const Form& form, UnitSystem units) {
  if (form.has("--date")) {
    if (const auto on = form.date("--date"); !on) return on.error();
  }
  const Result<Inputs> in = read_inputs(form);
  if (!in) return in.error();
  FieldSheet sheet;
  sheet.procedure = "leak-rate";
  sheet.title = "Leak rate and leak checks";
  sheet.date = form.text_or("--date", "");
  sheet.inputs = {
      figure_of("full_charge", "Full charge", in->full, D::mass, "as entered", kilograms)};
  const Writer w(units, standard_atmosphere);
  double rate = 0.0;
  if (!in->additions.empty()) {
    const Result<double> worked =
        in->method == "rolling" ? add_rolling(*in, w, sheet) : add_annualized(*in, w, sheet);
    if (!worked) return worked.error();
    rate = *worked;
    sheet.results.push_back(figure_of("leak_rate", "Leak rate, " + in->method, rate, D::ratio,
                                      "share of the full charge a year", a_year));
  }
  if (in->rule.starts_with("us-")) add_us(*in, rate, sheet);
  if (Status s = add_co2(*in, sheet); !s) return s.error();
  add_additions_table(*in, sheet);
  close_sheet(*in, sheet);
  return sheet;
}

}  // namespace cw::field
