#include "base/unit_text.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "base/text.h"

namespace cw {
namespace {

using D = Dimension;

Unit unit(std::string_view text) {
  const Result<Unit> parsed = parse_unit(text);
  EXPECT_TRUE(parsed) << text << ": " << (parsed ? "" : parsed.error().text());
  return parsed.value_or(Unit{});
}

// ---- published conversion values ----------------------------------------------------------------

/// A factor as the source prints it: mantissa and power of ten.
struct Published {
  std::string_view unit;
  const char* mantissa;  ///< digits as printed, without the groups' blanks
  int exponent;
  bool exact;  ///< printed in bold there: exact
};

// NIST Special Publication 811, 2008 edition, appendix B.8 (factors listed alphabetically) and B.9
// (by kind of quantity): "to convert from ... to SI multiply by". Read in two transcriptions of
// these tables, not in the publication itself. BtuIT is the International Table unit; ton is 12 000
// BtuIT/h; hp is 550 ft lbf/s; gal and oz are the US gallon and the avoirdupois ounce.
constexpr Published sp811[] = {
    {"atm", "1.01325", 5, true},
    {"kgf/cm2", "9.80665", 4, true},  // atmosphere, technical (at)
    {"bar", "1.0", 5, true},
    {"inHg", "3.386389", 3, false},   // inch of mercury, conventional
    {"inH2O", "2.490889", 2, false},  // inch of water, conventional
    {"mmHg", "1.333224", 2, false},   // millimeter of mercury, conventional
    {"torr", "1.333224", 2, false},
    {"psi", "6.894757", 3, false},
    {"Btu", "1.055056", 3, false},
    {"Btu/h", "2.930711", -1, false},
    {"ton", "3.516853", 3, false},
    {"hp", "7.456999", 2, false},
    {"Btu/lb", "2.326", 3, true},
    {"ft", "3.048", -1, true},
    {"in", "2.54", -2, true},
    {"ft2", "9.290304", -2, true},
    {"ft/min", "5.08", -3, true},
    {"lb", "4.535924", -1, false},
    {"oz", "2.834952", -2, false},
    {"lb/ft", "1.488164", 0, false},
    {"lb/ft3", "1.601846", 1, false},
    {"lb/h", "1.259979", -4, false},
    {"lb/min", "7.559873", -3, false},
    {"ft3", "2.831685", -2, false},
    {"in3", "1.638706", -5, false},
    {"gal", "3.785412", -3, false},
    {"L", "1.0", -3, true},
    {"cfm", "4.719474", -4, false},
    {"gpm", "6.30902", -5, false},
    {"min", "6.0", 1, true},
    {"h", "3.6", 3, true},
    {"d", "8.64", 4, true},
};

// Of the same tables or following from definitions, from memory.
constexpr Published from_memory[] = {
    {"kWh", "3.6", 6, true},            // SP 811 B.8
    {"Wh", "3.6", 3, true},             // SP 811 B.8
    {"Btu/(lb R)", "4.1868", 3, true},  // SP 811 B.8
    {"kgf/cm2", "9.80665", 4, true},    // SP 811 B.8: kilogram-force per square centimeter
    {"ft3/lb", "6.242796", -2, false},  // reciprocal of lb/ft3
    {"micron", "1.333224", -1, false},  // a thousandth of mmHg
    {"mbar L/s", "1.0", -1, true},      // 100 Pa * 1e-3 m3/s
    {"rpm", "1.666667", -2, false},     // 1/60 per second
    {"kBtu/h", "2.930711", 2, false},
};

void expect_published(const Published& row) {
  double mantissa = 0.0;
  ASSERT_TRUE(read_number(row.mantissa, mantissa));
  const double power = std::pow(10.0, row.exponent);
  const double published = mantissa * power;
  const double scale = unit(row.unit).scale;
  if (row.exact) {
    EXPECT_NEAR(scale, published, 1e-15 * published * 4.0) << row.unit;  // a few roundings
    return;
  }
  // Half a unit of the last printed digit.
  const auto decimals = static_cast<int>(std::string_view(row.mantissa).size()) - 2;
  EXPECT_NEAR(scale, published, 0.5 * std::pow(10.0, -decimals) * power * (1.0 + 1e-9)) << row.unit;
}

TEST(UnitFactors, AgreeWithSp811ToItsLastDigit) {
  for (const Published& row : sp811) expect_published(row);
}

TEST(UnitFactors, AgreeWithRememberedValuesToTheirLastDigit) {
  for (const Published& row : from_memory) expect_published(row);
}

TEST(UnitFactors, SiPrefixesAreExact) {
  // SI brochure, 9th edition, table 7.
  EXPECT_EQ(unit("hPa").scale, 1e2);
  EXPECT_EQ(unit("kPa").scale, 1e3);
  EXPECT_EQ(unit("MPa").scale, 1e6);
  EXPECT_EQ(unit("mPa").scale, 1e-3);
  EXPECT_EQ(unit("mbar").scale, 1e2);
  EXPECT_EQ(unit("kW").scale, 1e3);
  EXPECT_EQ(unit("MW").scale, 1e6);
  EXPECT_EQ(unit("mW").scale, 1e-3);
  EXPECT_EQ(unit("MJ").scale, 1e6);
  EXPECT_EQ(unit("mJ").scale, 1e-3);
  EXPECT_EQ(unit("mA").scale, 1e-3);
  EXPECT_EQ(unit("g").scale, 1e-3);
  EXPECT_EQ(unit("mL").scale, 1e-6);
  EXPECT_EQ(unit("mm").scale, 1e-3);
  EXPECT_EQ(unit("%").scale, 1e-2);
}

TEST(UnitFactors, TemperatureScales) {
  // SP 811 B.9: T/K = t/degC + 273.15, t/degC = (t/degF - 32)/1.8, T/K = (T/degR)/1.8.
  EXPECT_DOUBLE_EQ(unit("degC").to_si(0.0), 273.15);
  EXPECT_DOUBLE_EQ(unit("degC").to_si(100.0), 373.15);
  EXPECT_NEAR(unit("degF").to_si(32.0), 273.15, 1e-12);
  EXPECT_NEAR(unit("degF").to_si(212.0), 373.15, 1e-12);
  EXPECT_NEAR(unit("degF").to_si(-40.0), unit("degC").to_si(-40.0), 1e-12);
  EXPECT_NEAR(unit("degF").to_si(-459.67), 0.0, 1e-12);
  EXPECT_NEAR(unit("degR").to_si(491.67), 273.15, 1e-12);
  EXPECT_EQ(unit("K").to_si(273.15), 273.15);
}

TEST(UnitFactors, TemperatureDifferencesHaveNoOffset) {
  EXPECT_DOUBLE_EQ(unit("degC").as(D::temperature_difference)->to_si(10.0), 10.0);
  EXPECT_DOUBLE_EQ(unit("degF").as(D::temperature_difference)->to_si(18.0), 10.0);
  EXPECT_DOUBLE_EQ(unit("delta_degF").to_si(18.0), 10.0);
  EXPECT_DOUBLE_EQ(unit("K").as(D::temperature_difference)->to_si(10.0), 10.0);
}

// ---- spellings ----------------------------------------------------------------------------------

struct Spelled {
  std::string_view symbol;
  D dimension;
  std::string_view spellings;  ///< separated by '|'
};

// The whole vocabulary, written down a second time: a spelling that files in the field use must not
// vanish unseen.
constexpr Spelled vocabulary[] = {
    {"K", D::temperature, "kelvin|kelvins"},
    {"degC", D::temperature,
     "C|°C|ºC|˚C|℃|deg C|deg.C|degree C|degrees C|celsius|degree celsius|degrees celsius|DEG_C|°С"},
    {"degF", D::temperature,
     "F|°F|ºF|˚F|℉|deg F|deg.F|degree F|degrees F|fahrenheit|degree fahrenheit|degrees "
     "fahrenheit|DEG_F"},
    {"degR", D::temperature, "R|°R|rankine"},
    {"delta_K", D::temperature_difference, "ΔK|dK|delta K|Δ°C|delta degC|delta C"},
    {"delta_degF", D::temperature_difference, "Δ°F|delta F|delta degF|dF"},
    {"Pa", D::pressure, "pascal|pascals|N/m2"},
    {"hPa", D::pressure, "hectopascal|hectopascals"},
    {"kPa", D::pressure, "kilopascal|kilopascals|кПа"},
    {"MPa", D::pressure, "MPA|Mpa|mpa|megapascal|megapascals|МПа"},
    {"mPa", D::pressure, "millipascal|millipascals"},
    {"bar", D::pressure, "bars|бар"},
    {"mbar", D::pressure, "millibar|millibars"},
    {"psi", D::pressure, "lb/in2|lbf/in2|lbs/in2"},
    {"kgf/cm2", D::pressure, "kg/cm2|kgf/cm²|kg/cm²|at"},
    {"atm", D::pressure, ""},
    {"micron", D::pressure, "microns|um Hg|µmHg|μmHg|umHg|mTorr|um|µm|μm"},
    {"mmHg", D::pressure, "mm Hg|torr"},
    {"inHg", D::pressure, "in Hg|in.Hg|inches of mercury"},
    {"inH2O", D::pressure, "in H2O|inWC|in wc|in. w.c."},
    {"Hz", D::frequency, "hertz|rps|rev/s|1/s|Гц"},
    {"rpm", D::frequency, "r/min|rev/min|1/min|U/min|об/мин"},
    {"%", D::ratio, "percent|pct|%RH|% RH|%rh"},
    {"1", D::ratio, "-|ratio|fraction"},
    {"steps", D::count, "step|pulse|pulses|pls|p|count|counts"},
    {"flag", D::flag, "on/off|0/1|bool|boolean|true/false|yes/no"},
    {"state", D::state, "enum|text|word"},
    {"W", D::power, "watt|watts"},
    {"kW", D::power, "kilowatt|kilowatts|кВт"},
    {"MW", D::power, ""},
    {"mW", D::power, ""},
    {"Btu/h", D::power, "BTU/h|BTU/hr|Btu/hr|BTUH"},
    {"kBtu/h", D::power, "MBH|kBTU/hr"},
    {"ton", D::power, "tons|TR|tons refrigeration"},
    {"hp", D::power, "horsepower"},
    {"J", D::energy, "joule|joules"},
    {"kJ", D::energy, ""},
    {"MJ", D::energy, ""},
    {"mJ", D::energy, ""},
    {"kWh", D::energy, "kW h|kilowatt hour"},
    {"Wh", D::energy, "W h"},
    {"Btu", D::energy, "BTU"},
    {"A", D::current, "amp|amps|ampere|amperes"},
    {"mA", D::current, "milliamp"},
    {"V", D::voltage, "volt|volts|Vac|Vdc"},
    {"kg", D::mass, "kilogram|kilograms"},
    {"g", D::mass, "gram|grams"},
    {"lb", D::mass, "lbs|lbm|pound|pounds"},
    {"oz", D::mass, "ounce|ounces"},
    {"kg/s", D::mass_flow, ""},
    {"g/s", D::mass_flow, ""},
    {"kg/h", D::mass_flow, "kg/hr"},
    {"lb/h", D::mass_flow, "lb/hr|lbm/h|lbm/hr"},
    {"lb/min", D::mass_flow, "lbm/min"},
    {"m3", D::volume, "m³|cubic metre|cubic meter"},
    {"L", D::volume, "l|litre|litres|liter|liters|dm3"},
    {"mL", D::volume, "ml|cm3|cm³|cc"},
    {"ft3", D::volume, "ft³|cubic feet|cu ft|cf"},
    {"in3", D::volume, "in³|cu in"},
    {"gal", D::volume, "gallon|gallons"},
    {"m3/s", D::volume_flow, "m³/s"},
    {"m3/h", D::volume_flow, "m³/h|m3/hr"},
    {"m3/min", D::volume_flow, "m³/min"},
    {"L/s", D::volume_flow, "l/s"},
    {"L/min", D::volume_flow, "l/min|LPM"},
    {"cfm", D::volume_flow, "CFM|ft3/min|ft³/min"},
    {"gpm", D::volume_flow, "GPM"},
    {"m", D::length, "metre|metres|meter|meters"},
    {"cm", D::length, ""},
    {"mm", D::length, ""},
    {"ft", D::length, "feet|foot"},
    {"in", D::length, "inch|inches"},
    {"m2", D::area, "m²|sq m"},
    {"ft2", D::area, "ft²|sq ft|sqft"},
    {"s", D::time, "sec|secs|second|seconds"},
    {"min", D::time, "mins|minute|minutes"},
    {"h", D::time, "hr|hrs|hour|hours"},
    {"d", D::time, "day|days"},
    {"kg/m3", D::density, "kg/m³"},
    {"g/m3", D::density, "g/m³"},
    {"lb/ft3", D::density, "lbm/ft3|lb/ft³"},
    {"m3/kg", D::specific_volume, "m³/kg"},
    {"ft3/lb", D::specific_volume, "ft³/lb|ft3/lbm"},
    {"J/kg", D::specific_energy, ""},
    {"kJ/kg", D::specific_energy, ""},
    {"Btu/lb", D::specific_energy, "BTU/lb|Btu/lbm|BTU/lbm"},
    {"J/(kg K)", D::specific_entropy, "J/kgK|J/(kgK)|J/kg/K|J/(kg.K)|J/(kg*K)"},
    {"kJ/(kg K)", D::specific_entropy, "kJ/kgK|kJ/(kgK)|kJ/kg/K|kJ/(kg.K)|kJ/(kg*K)"},
    {"Btu/(lb R)", D::specific_entropy, "Btu/(lb F)|Btu/lb/R|Btu/lb-F|Btu/lbm-R|Btu/(lb °F)"},
    {"m/s", D::speed, ""},
    {"ft/min", D::speed, "fpm"},
    {"kg/m", D::linear_density, ""},
    {"g/m", D::linear_density, ""},
    {"lb/ft", D::linear_density, ""},
    {"Pa m3/s", D::leak_flow, "Pa·m3/s|Pa*m3/s"},
    {"mbar L/s", D::leak_flow, "mbar·L/s|mbar*L/s|mbar l/s"},
};

std::vector<std::string_view> spellings_of(const Spelled& row) {
  std::vector<std::string_view> all = {row.symbol};
  if (!row.spellings.empty()) {
    for (const std::string_view spelling : split(row.spellings, '|')) all.push_back(spelling);
  }
  return all;
}

TEST(UnitSpelling, EachNamesItsUnit) {
  for (const Spelled& row : vocabulary) {
    for (const std::string_view spelling : spellings_of(row)) {
      const Result<Unit> parsed = parse_unit(spelling);
      ASSERT_TRUE(parsed) << spelling << ": " << parsed.error().text();
      EXPECT_EQ(parsed->symbol, row.symbol) << spelling;
      EXPECT_EQ(parsed->dimension, row.dimension) << spelling;
      EXPECT_EQ(parsed->reference, PressureReference::unstated) << spelling;
    }
  }
}

TEST(UnitSpelling, BracketsAndBlanksArePassedOver) {
  for (const Spelled& row : vocabulary) {
    for (const std::string_view spelling : spellings_of(row)) {
      const std::string text(spelling);
      for (const std::string& dressed :
           {"[" + text + "]", "(" + text + ")", "  " + text + "\t", "[ " + text + " ]",
            "[(" + text + ")]", "\xC2\xA0" + text}) {
        EXPECT_EQ(unit(dressed).symbol, row.symbol) << dressed;
      }
    }
  }
}

TEST(UnitSpelling, ValuesGoToSiAndBack) {
  std::mt19937_64 random(1954);
  std::uniform_real_distribution<double> readings(-500.0, 5000.0);
  for (const Spelled& row : vocabulary) {
    for (const std::string_view spelling : spellings_of(row)) {
      const Unit parsed = unit(spelling);
      for (int round = 0; round < 20; ++round) {
        const double value = readings(random);
        // The offset of a temperature costs the digits above it: an absolute bound of 1e-11.
        EXPECT_NEAR(parsed.from_si(parsed.to_si(value)), value, 1e-11) << spelling;
      }
    }
  }
}

TEST(UnitSpelling, LetterCaseDoesNotMatterWhereOneUnitIsMeant) {
  EXPECT_EQ(unit("DEGC").symbol, "degC");
  EXPECT_EQ(unit("c").symbol, "degC");
  EXPECT_EQ(unit("KPA").symbol, "kPa");
  EXPECT_EQ(unit("Bar").symbol, "bar");
  EXPECT_EQ(unit("PSI").symbol, "psi");
  EXPECT_EQ(unit("HZ").symbol, "Hz");
  EXPECT_EQ(unit("kw").symbol, "kW");
  EXPECT_EQ(unit("RPM").symbol, "rpm");
}

TEST(UnitSpelling, LetterCaseDecidesBetweenMegaAndMilli) {
  EXPECT_EQ(unit("MPa").scale, 1e6);
  EXPECT_EQ(unit("mPa").scale, 1e-3);
  EXPECT_EQ(unit("MW").scale, 1e6);
  EXPECT_EQ(unit("mW").scale, 1e-3);
  EXPECT_EQ(unit("MJ").scale, 1e6);
  EXPECT_EQ(unit("mJ").scale, 1e-3);
  // Files without letter case mean megapascals: refrigerant pressures are not read in millipascals.
  for (const char* text : {"MPA", "Mpa", "mpa", "MPA(G)", "mpa(g)", "Mpa abs", "MPAG", "mpag"}) {
    EXPECT_EQ(unit(text).scale, 1e6) << text;
  }
}

TEST(UnitSpelling, AnUndecidedPrefixIsRefusedWithBothReadings) {
  for (const char* text : {"mw", "Mw", "mj", "[Mj]", "mPA"}) {
    const Result<Unit> parsed = parse_unit(text);
    ASSERT_FALSE(parsed) << text;
    EXPECT_EQ(parsed.error().code, ErrorCode::unit);
    EXPECT_NE(parsed.error().message.find("may be M"), std::string::npos) << parsed.error().message;
  }
}

TEST(UnitSpelling, UnknownUnitsAreRefusedWithTheirText) {
  for (const char* text : {"", " ", "[]", "()", "furlong", "kVA", "Pa Pa", "degX", "kPa(x)", "g)",
                           "degC(g)", "Hz(a)", "kWg", "[kPa", "kPa]", "(kPa)(degC)", "%%"}) {
    const Result<Unit> parsed = parse_unit(text);
    ASSERT_FALSE(parsed) << text;
    EXPECT_EQ(parsed.error().code, ErrorCode::unit);
    EXPECT_NE(parsed.error().message.find("\"" + std::string(trim(text)) + "\""), std::string::npos)
        << parsed.error().message;
    EXPECT_FALSE(parsed.error().fix.empty());
  }
}

TEST(UnitSpelling, RandomTextIsRefusedOrMeansOneOfTheKnownUnits) {
  std::mt19937 random(77);
  constexpr std::string_view letters = "kMmPabargpsi()[]CF /2Wh%° µ\xC2\xFF";
  std::uniform_int_distribution<std::size_t> pick(0, letters.size() - 1);
  std::uniform_int_distribution<int> length(0, 9);
  for (int round = 0; round < 20000; ++round) {
    std::string text;
    for (int i = length(random); i > 0; --i) text += letters[pick(random)];
    const Result<Unit> parsed = parse_unit(text);
    if (!parsed) continue;
    EXPECT_GT(parsed->scale, 0.0) << text;
    const Unit again = unit(parsed->symbol);
    EXPECT_EQ(again.scale, parsed->scale) << text;
    EXPECT_EQ(again.dimension, parsed->dimension) << text;
    if (parsed->reference != PressureReference::unstated) {
      EXPECT_EQ(parsed->dimension, D::pressure) << text;
    }
  }
}

// ---- gauge and absolute pressure ----------------------------------------------------------------

TEST(PressureReference, IsReadBehindEachPressureUnit) {
  constexpr auto gauge = PressureReference::gauge;
  constexpr auto absolute = PressureReference::absolute;
  const struct {
    const char* suffix;
    PressureReference reference;
  } suffixes[] = {{"(ü)", gauge},          {"Ü", gauge},         {" ü", gauge},
                  {"(g)", gauge},          {"(G)", gauge},       {" (g)", gauge},
                  {"[g]", gauge},          {" gauge", gauge},    {" gage", gauge},
                  {"(gauge)", gauge},      {"-g", gauge},        {"_g", gauge},
                  {" g", gauge},           {"g", gauge},         {"(a)", absolute},
                  {"(A)", absolute},       {" (abs)", absolute}, {"(absolute)", absolute},
                  {" abs", absolute},      {" ABS", absolute},   {"abs", absolute},
                  {" absolute", absolute}, {"-a", absolute},     {"_a", absolute},
                  {" a", absolute},        {"a", absolute}};
  for (const Spelled& row : vocabulary) {
    if (row.dimension != D::pressure) continue;
    for (const auto& [suffix, reference] : suffixes) {
      const std::string text = std::string(row.symbol) + suffix;
      EXPECT_EQ(unit(text).symbol, row.symbol) << text;
      EXPECT_EQ(unit(text).reference, reference) << text;
    }
  }
}

TEST(PressureReference, FamiliarSpellings) {
  for (const char* text : {"psig", "PSIG", "psi(g)", "[psi(g)]", "(psig)", "psi gauge", "barg",
                           "kPaG", "kPa(G)", "[kPa](g)", "(kPa) (g)", "kgf/cm2g", "kg/cm2(g)"}) {
    EXPECT_EQ(unit(text).reference, PressureReference::gauge) << text;
  }
  for (const char* text : {"psia", "PSIA", "bar(a)", "bara", "mbar abs", "kPa absolute", "ata"}) {
    EXPECT_EQ(unit(text).reference, PressureReference::absolute) << text;
  }
  for (const char* text : {"psi", "kPa", "bar", "MPa", "mbar", "Pa", "atm"}) {
    EXPECT_EQ(unit(text).reference, PressureReference::unstated) << text;
  }
}

TEST(PressureReference, GaugeReadingsStandOnTheBarometer) {
  EXPECT_DOUBLE_EQ(unit("kPa(g)").to_si(0.0), 101325.0);
  EXPECT_DOUBLE_EQ(unit("kPa(g)").to_si(0.0, 90000.0), 90000.0);
  EXPECT_DOUBLE_EQ(unit("kPa(a)").to_si(100.0, 90000.0), 100000.0);
  // Said of nothing: the number is taken as it is; who reads the file must decide beforehand.
  EXPECT_DOUBLE_EQ(unit("kPa").to_si(100.0, 90000.0), 100000.0);
  // 400 psi(g) at sea level: 400 * 6894.757293 + 101325.
  EXPECT_NEAR(unit("psig").to_si(400.0), 2859227.917, 0.001);
  EXPECT_NEAR(unit("psig").from_si(2859227.917), 400.0, 1e-6);
}

TEST(PressureReference, GaugeRoundTripsAtAnyBarometer) {
  std::mt19937_64 random(1643);
  std::uniform_real_distribution<double> reading(-90.0, 5000.0);
  std::uniform_real_distribution<double> barometer(50e3, 110e3);
  for (const char* text : {"kPa(g)", "psi(g)", "bar(g)", "MPa(g)", "kgf/cm2(g)", "kPa(a)"}) {
    const Unit parsed = unit(text);
    for (int round = 0; round < 500; ++round) {
      const double value = reading(random);
      const double b = barometer(random);
      EXPECT_NEAR(parsed.from_si(parsed.to_si(value, b), b), value, 1e-9) << text;
    }
  }
}

TEST(PressureReference, ADifferenceHasNoBarometer) {
  for (const char* text : {"psi(g)", "psi(a)", "psi"}) {
    const auto difference = unit(text).as(D::pressure_difference);
    ASSERT_TRUE(difference) << text;
    EXPECT_NEAR(difference->to_si(1.0, 80000.0), 6894.757293, 1e-6) << text;
  }
}

// ---- use for another dimension ------------------------------------------------------------------

TEST(UnitAs, KeepsDimensionsApart) {
  EXPECT_TRUE(unit("degC").as(D::temperature));
  EXPECT_FALSE(unit("degC").as(D::pressure));
  EXPECT_FALSE(unit("ΔK").as(D::temperature));  // a difference is no temperature
  EXPECT_FALSE(unit("kW").as(D::energy));
  EXPECT_FALSE(unit("kWh").as(D::power));
  EXPECT_FALSE(unit("kg").as(D::volume));
  EXPECT_TRUE(unit("1").as(D::count));
  EXPECT_TRUE(unit("1").as(D::flag));
  EXPECT_FALSE(unit("%").as(D::count));
  EXPECT_TRUE(unit("steps").as(D::flag));
}

// ---- quantities ---------------------------------------------------------------------------------

TEST(ParseQuantity, ReadsNumberAndUnit) {
  EXPECT_NEAR(*parse_quantity("120F", D::temperature), 322.038888889, 1e-9);
  EXPECT_NEAR(*parse_quantity("-40C", D::temperature), 233.15, 1e-12);
  EXPECT_NEAR(*parse_quantity(" +49 °C ", D::temperature), 322.15, 1e-12);
  EXPECT_NEAR(*parse_quantity("4.15 MPa(g)", D::pressure), 4.15e6 + 101325.0, 1e-6);
  EXPECT_NEAR(*parse_quantity("4.15MPa(g)", D::pressure, 95000.0), 4.15e6 + 95000.0, 1e-6);
  EXPECT_NEAR(*parse_quantity("29.92 inHg", D::pressure), 101320.8, 0.1);
  EXPECT_NEAR(*parse_quantity("60L", D::volume), 0.060, 1e-15);
  EXPECT_NEAR(*parse_quantity("3.0 K", D::temperature_difference), 3.0, 1e-15);
  EXPECT_NEAR(*parse_quantity("5.4 degF", D::temperature_difference), 3.0, 1e-12);
  EXPECT_NEAR(*parse_quantity("2e2kPa", D::pressure), 2e5, 1e-9);
  EXPECT_NEAR(*parse_quantity("20 min", D::time), 1200.0, 1e-12);
}

TEST(ParseQuantity, OnlyPureNumbersGoWithoutAUnit) {
  EXPECT_EQ(*parse_quantity("0.6", D::ratio), 0.6);
  EXPECT_EQ(*parse_quantity("480", D::count), 480.0);
  EXPECT_EQ(*parse_quantity("1", D::flag), 1.0);
  EXPECT_DOUBLE_EQ(*parse_quantity("60%", D::ratio), 0.6);
  for (const D dimension :
       {D::temperature, D::temperature_difference, D::pressure, D::power, D::time, D::length}) {
    const Result<double> bare = parse_quantity("49", dimension);
    ASSERT_FALSE(bare);
    EXPECT_EQ(bare.error().code, ErrorCode::unit);
    EXPECT_NE(bare.error().fix.find("49"), std::string::npos);
  }
}

TEST(ParseQuantity, SaysWhatIsWrong) {
  for (const char* text : {"", "C", "warm", "+", "-", "+-5C", "nan K", "inf Pa", "- 5 C"}) {
    const Result<double> parsed = parse_quantity(text, D::temperature);
    ASSERT_FALSE(parsed) << text;
    EXPECT_EQ(parsed.error().code, ErrorCode::parse) << text;
  }
  for (const char* text : {"4 furlong", "4,15 C", "4 5 C", "4 kPa", "4 ΔK"}) {
    const Result<double> parsed = parse_quantity(text, D::temperature);
    ASSERT_FALSE(parsed) << text;
    EXPECT_EQ(parsed.error().code, ErrorCode::unit) << text;
    EXPECT_FALSE(parsed.error().fix.empty()) << text;
  }
}

// ---- display ------------------------------------------------------------------------------------

TEST(Display, EachDimensionHasAUnitInBothSystems) {
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> readings(0.5, 1000.0);
  for (int i = 0; i <= static_cast<int>(D::leak_flow); ++i) {
    const auto dimension = static_cast<D>(i);
    for (const UnitSystem system : {UnitSystem::si, UnitSystem::ip}) {
      const Unit shown = display_unit(dimension, system);
      EXPECT_EQ(shown.dimension, dimension);
      EXPECT_NE(shown.reference, PressureReference::gauge);
      const double value = readings(random);
      EXPECT_NEAR(shown.from_si(shown.to_si(value)), value, 1e-9) << name_of(dimension);
    }
  }
}

TEST(Display, TextForPeople) {
  EXPECT_EQ(format_si(322.15, D::temperature, UnitSystem::si), "49.0 °C");
  EXPECT_EQ(format_si(322.15, D::temperature, UnitSystem::ip), "120.2 °F");
  EXPECT_EQ(format_si(3.0, D::temperature_difference, UnitSystem::si), "3.0 K");
  EXPECT_EQ(format_si(3.0, D::temperature_difference, UnitSystem::ip), "5.4 °F");
  EXPECT_EQ(format_si(2.75e6, D::pressure, UnitSystem::si), "2750 kPa(a)");
  EXPECT_EQ(format_si(2.75e6, D::pressure, UnitSystem::ip), "398.9 psi(a)");
  EXPECT_EQ(format_si(0.6, D::ratio, UnitSystem::si), "60 %");
  EXPECT_EQ(format_si(3516.853, D::power, UnitSystem::ip), "12\u202f000 Btu/h");
  EXPECT_EQ(format_si(480.0, D::count, UnitSystem::si), "480");
}

TEST(Display, NeverShowsMinusZeroAndSaysWhenAValueIsMissing) {
  EXPECT_EQ(format_si(-0.04, D::temperature_difference, UnitSystem::si), "0.0 K");
  EXPECT_EQ(format_si(273.14, D::temperature, UnitSystem::si), "0.0 °C");
  EXPECT_EQ(format_si(-0.06, D::temperature_difference, UnitSystem::si), "-0.1 K");
  const double missing = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(format_si(missing, D::temperature, UnitSystem::si), "n/a");
  EXPECT_EQ(format_si(-missing, D::pressure, UnitSystem::ip), "n/a");
  EXPECT_EQ(format_si_number(-missing, D::ratio, UnitSystem::si), "n/a");
}

TEST(Display, SymbolsRefuseToPassForTheOtherSystem) {
  EXPECT_EQ(display_symbol(D::temperature, UnitSystem::si), "°C");
  EXPECT_EQ(display_symbol(D::temperature, UnitSystem::ip), "°F");
  EXPECT_EQ(display_symbol(D::count, UnitSystem::si), "");
}

}  // namespace
}  // namespace cw
