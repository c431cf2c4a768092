// The fluid command as a person runs it: arguments in, exit code, stdout and stderr out.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "support/run_program.h"

namespace {

using cw::test::Ran;
using cw::test::Scratch;
using testing::HasSubstr;
using testing::Not;
using Json = nlohmann::json;

constexpr double psi = 6894.757293168361;
constexpr double atmosphere = 101325.0;

class Fluid : public testing::Test {
 protected:
  Ran run(const std::string& arguments) {
    return cw::test::run_program(scratch, "fluid " + arguments);
  }
  std::string text(const std::string& arguments) {
    const Ran ran = run(arguments);
    EXPECT_EQ(ran.exit, 0) << ran.err;
    EXPECT_EQ(ran.err, "");
    return ran.out;
  }
  Json json(const std::string& arguments) {
    return Json::parse(text(arguments + " --json"), nullptr, false);
  }
  /// Refused: exit 2, nothing on stdout, one line on stderr.
  std::string refusal(const std::string& arguments) {
    const Ran ran = run(arguments);
    EXPECT_EQ(ran.exit, 2) << arguments;
    EXPECT_EQ(ran.out, "") << arguments;
    EXPECT_EQ(std::count(ran.err.begin(), ran.err.end(), '\n'), 1) << ran.err;
    EXPECT_THAT(ran.err, testing::StartsWith("coilwright: ")) << arguments;
    return ran.err;
  }

  Scratch scratch;
};

// --- numbers that a technician knows

struct Known {
  const char* arguments;
  double psig;
  double tolerance;  // relative, of the gauge pressure
};

// R-410A pressure-temperature charts: equipment installation data (32 to 110 degF, the chart's
// grain) and common practice (120 degF is 418 psig; 32 degF is 101 psig). A chart gives one
// pressure: dew (gas) side.
TEST_F(Fluid, known_pressures_of_r410a) {
  for (const Known& known :
       {Known{"R-410A --T 32F --q 1", 101.0, 0.005}, Known{"R-410A --T 40F --q 1", 118.0, 0.007},
        Known{"R-410A --T 60F --q 1", 169.6, 0.007}, Known{"R-410A --T 90F --q 1", 274.1, 0.005},
        Known{"R-410A --T 100F --q 1", 317.2, 0.005}, Known{"R-410A --T 110F --q 1", 365.0, 0.005},
        Known{"R-410A --T 120F --q 1", 418.0, 0.005},
        Known{"R-410A --T 120F --q 0", 418.0, 0.005}}) {
    const Json state = json(known.arguments);
    const double psig = (state["p"].get<double>() - atmosphere) / psi;
    EXPECT_NEAR(psig, known.psig, known.tolerance * known.psig) << known.arguments;
  }
}

// Normal boiling points and saturation pressures: ASHRAE Fundamentals ch. 30 (from memory),
// producers' tables for R-134a and R-32.
TEST_F(Fluid, known_boiling_points_and_pressures) {
  EXPECT_NEAR(json("R-410A --p 1atm")["bubble"]["T"].get<double>(), 273.15 - 51.44, 0.02);
  EXPECT_NEAR(json("R-410A --p 1atm")["dew"]["T"].get<double>(), 273.15 - 51.36, 0.02);
  EXPECT_NEAR(json("R-134a --p 1atm")["dew"]["T"].get<double>(), 273.15 - 26.06, 0.02);
  EXPECT_NEAR(json("R-22 --p 1atm")["dew"]["T"].get<double>(), 273.15 - 40.81, 0.01);
  EXPECT_NEAR(json("R-32 --T 0C")["dew"]["p"].get<double>(), 813.9e3, 1.5e-3 * 813.9e3);
  const Json r32 = json("R-32 --T 0C");
  EXPECT_NEAR(r32["dew"]["h"].get<double>() - r32["bubble"]["h"].get<double>(), 317.2e3, 2.3e3);
}

// --- inputs

TEST_F(Fluid, a_pressure_alone_gives_both_lines) {
  const Json at = json("R-410A --p 418psig");
  EXPECT_NEAR(at["bubble"]["p"].get<double>(), 418.0 * psi + atmosphere, 1.0);
  EXPECT_EQ(at["bubble"]["p"], at["dew"]["p"]);
  EXPECT_EQ(at["bubble"]["q"], 0.0);
  EXPECT_EQ(at["dew"]["q"], 1.0);
  EXPECT_GT(at["glide"].get<double>(), 0.05);
  EXPECT_LT(at["glide"].get<double>(), 0.2);
  EXPECT_FALSE(json("R-32 --p 20bar").contains("glide")) << "a pure fluid has none";
}

TEST_F(Fluid, negative_values_are_values) {
  EXPECT_NEAR(json("R-454B --T -20C")["dew"]["T"].get<double>(), 253.15, 1e-9);
  EXPECT_NEAR(json("R-410A --T -4F --q 0.5")["T"].get<double>(), 253.15, 1.0);
  EXPECT_NEAR(json("R-410A --T=-20C --q 1")["T"].get<double>(), 253.15, 1e-9);
  const Json ashrae = json("R-410A --p 1bar --h -5kJ/kg --reference ashrae");
  EXPECT_NEAR(ashrae["h"].get<double>(), -5e3, 1e-6);
}

TEST_F(Fluid, every_pair_leads_to_the_same_state) {
  const Json state = json("R-410A --p 2.4MPa --T 70C");
  EXPECT_EQ(state["phase"], "vapour");
  const auto number = [&](const char* key) {
    char text[40];
    std::snprintf(text, sizeof text, "%.17g", state[key].get<double>());
    return std::string(text);
  };
  const std::string T = " --T " + number("T") + "K", p = " --p " + number("p") + "Pa",
                    h = " --h '" + number("h") + " J/kg'",
                    s = " --s '" + number("s") + " J/(kg K)'",
                    u = " --u '" + number("u") + " J/kg'",
                    rho = " --rho '" + number("rho") + " kg/m3'";
  for (const std::string& pair : {T + p, T + rho, p + h, p + s, h + s, rho + h, rho + u}) {
    const Json other = json("R-410A" + pair);
    for (const char* key : {"T", "p", "rho", "h", "s", "u", "cp", "cv", "w", "mu", "k"}) {
      const double wanted = state[key].get<double>();
      EXPECT_NEAR(other[key].get<double>(), wanted, 1e-7 * std::abs(wanted)) << pair << " " << key;
    }
  }
  const Json wet = json("R-410A --p 10bar --q 30%");
  EXPECT_NEAR(wet["q"].get<double>(), 0.3, 1e-12);
  EXPECT_EQ(wet["phase"], "two-phase");
}

TEST_F(Fluid, superheat_and_subcooling) {
  const Json hot = json("R-410A --p 8bar --superheat 8K");
  EXPECT_NEAR(hot["superheat"].get<double>(), 8.0, 1e-9);
  EXPECT_NEAR(hot["T"].get<double>() - hot["dew_T"].get<double>(), 8.0, 1e-9);
  EXPECT_EQ(hot["phase"], "vapour");
  const Json cold = json("R-32 --p 400psig --subcooling 10F");
  EXPECT_NEAR(cold["subcooling"].get<double>(), 10.0 / 1.8, 1e-9);
  EXPECT_EQ(cold["phase"], "liquid");
  const Json by_T = json("R-410A --T 10C --superheat 8K");
  EXPECT_NEAR(by_T["superheat"].get<double>(), 8.0, 1e-6);
  EXPECT_EQ(json("R-32 --p 20bar --superheat 0K")["q"], 1.0);
  EXPECT_EQ(json("R-32 --T 20C --subcooling 0K")["q"], 0.0);
}

// --- JSON

TEST_F(Fluid, json_has_the_documented_keys) {
  const Json state = json("R-410A --T 120F --q 1");
  for (const char* key : {"T", "p", "rho", "h", "s", "u", "cp", "cv", "w", "q", "mu", "k", "sigma",
                          "phase", "refrigerant", "reference_state"}) {
    EXPECT_TRUE(state.contains(key)) << key;
  }
  EXPECT_EQ(state["schema"], "coilwright.fluid/1");
  EXPECT_EQ(state["refrigerant"], "R-410A");
  EXPECT_EQ(state["reference_state"], "IIR");
  EXPECT_EQ(state["barometric_pressure"], atmosphere);
}

TEST_F(Fluid, what_is_not_available_is_absent) {
  const Json wet = json("R-410A --p 10bar --q 0.5");
  for (const char* key : {"cp", "cv", "w", "mu", "k"}) EXPECT_FALSE(wet.contains(key)) << key;
  EXPECT_TRUE(wet.contains("sigma"));
  const Json mixture = json("R-454B --p 10bar --q 1");
  for (const char* key : {"mu", "k", "sigma"}) EXPECT_FALSE(mixture.contains(key)) << key;
  EXPECT_TRUE(mixture.contains("cp"));
  EXPECT_THAT(text("R-454B --p 10bar"), HasSubstr("not available"));
  EXPECT_FALSE(json("R-410A --p 10bar --T 60C").contains("q"));
}

TEST_F(Fluid, json_is_si_whatever_the_units) {
  EXPECT_EQ(text("R-410A --p 418psig --json"), text("R-410A --p 418psig --json --units ip"));
}

TEST_F(Fluid, reference_states_are_chosen_and_named) {
  const Json iir = json("R-134a --T 0C --q 0 --reference iir");
  EXPECT_NEAR(iir["h"].get<double>(), 200e3, 1.0);
  EXPECT_NEAR(iir["s"].get<double>(), 1000.0, 0.02);
  const Json ashrae = json("R-134a --T -40C --q 0 --reference ASHRAE");
  EXPECT_NEAR(ashrae["h"].get<double>(), 0.0, 1e-6);
  EXPECT_EQ(ashrae["reference_state"], "ASHRAE");
  const Json nbp = json("R-134a --p 1atm --q 0 --reference nbp");
  EXPECT_NEAR(nbp["s"].get<double>(), 0.0, 1e-8);
  EXPECT_THAT(text("R-134a --p 1atm --reference nbp"), HasSubstr("reference state NBP"));
  EXPECT_THAT(text("R-134a --p 1atm"), HasSubstr("reference state IIR"));
}

// --- text

TEST_F(Fluid, text_says_gauge_absolute_and_the_barometer) {
  const std::string out = text("R-410A --p 418psig --units ip");
  EXPECT_THAT(out, HasSubstr("418.00 psi(g), 432.70 psi(a)"));
  EXPECT_THAT(out, HasSubstr("bubble 119.7"));
  EXPECT_THAT(out, HasSubstr("glide 0.2"));
  EXPECT_THAT(out, HasSubstr("14.70 psi(a), standard atmosphere at sea level"));
  EXPECT_THAT(out, HasSubstr("± "));
  EXPECT_THAT(text("R-32 --p 20bar"), Not(HasSubstr("glide")));
}

TEST_F(Fluid, altitude_and_barometer_move_gauge_pressures) {
  // 1600 m: 83.52 kPa, so a gauge reads 17.8 kPa more for the same state.
  const double sea = json("R-410A --p '750kPa(g)'")["dew"]["T"].get<double>();
  const double high = json("R-410A --p '750kPa(g)' --altitude 1600m")["dew"]["T"].get<double>();
  EXPECT_NEAR(sea - high, 0.67, 0.02);
  EXPECT_THAT(text("R-410A --p 100psig --altitude 5280ft --units ip"),
              HasSubstr("standard atmosphere at 5280"));
  const Json given = json("R-410A --p '0kPa(g)' --barometer 98kPa");
  EXPECT_NEAR(given["dew"]["p"].get<double>(), 98e3, 1e-6);
  EXPECT_EQ(given["barometric_pressure"], 98e3);
  // An absolute pressure stays what it is.
  EXPECT_EQ(json("R-410A --p 8bar")["dew"]["T"],
            json("R-410A --p 8bar --altitude 1600m")["dew"]["T"]);
}

// --- table, list, chart

TEST_F(Fluid, a_table_has_a_row_a_step) {
  const Json table = json("R-410A --table -40C:65C:5C");
  ASSERT_EQ(table["rows"].size(), 22u);
  EXPECT_NEAR(table["rows"][0]["dew"]["T"].get<double>(), 233.15, 1e-9);
  EXPECT_NEAR(table["rows"][21]["bubble"]["T"].get<double>(), 338.15, 1e-9);
  EXPECT_EQ(json("R-410A --table 65C:-40C:5C")["rows"].size(), 22u) << "either way";
  const Json pressures = json("R-32 --table 100psig:500psig:50psi");
  ASSERT_EQ(pressures["rows"].size(), 9u);
  EXPECT_NEAR(pressures["rows"][0]["dew"]["p"].get<double>(), 100.0 * psi + atmosphere, 1.0);
  const std::string out = text("R-454B --table -10C:10C:10C");
  EXPECT_THAT(out, HasSubstr("p bubble"));
  EXPECT_THAT(out, HasSubstr("p dew"));
  EXPECT_THAT(text("R-32 --table -10C:10C:10C"), Not(HasSubstr("p bubble")));
}

TEST_F(Fluid, the_list_names_every_refrigerant) {
  const std::string out = text("--list");
  for (const char* name : {"R-410A", "R-32", "R-454B", "R-407C", "R-134a", "R-22", "nitrogen"}) {
    EXPECT_THAT(out, HasSubstr(name));
  }
  const Json list = json("--list");
  EXPECT_EQ(list["refrigerants"][0]["refrigerant"], "R-410A");
  EXPECT_GT(list["refrigerants"][0]["critical_T"].get<double>(), 344.0);
}

TEST_F(Fluid, a_chart_is_written) {
  const std::string file = scratch.path("chart.svg");
  const Ran ran = run("R-410A --chart " + file + " --units ip --reference ashrae");
  EXPECT_EQ(ran.exit, 0) << ran.err;
  EXPECT_EQ(ran.out, "");
  EXPECT_THAT(ran.err, HasSubstr("Chart written to"));
  const std::string svg = cw::test::slurp(file);
  EXPECT_THAT(svg, testing::StartsWith("<svg "));
  EXPECT_THAT(svg, HasSubstr("Reference state ASHRAE"));
  EXPECT_THAT(svg, HasSubstr("[Btu/lb]"));
}

// --- refusals: limits and a way out

TEST_F(Fluid, refusals_say_limits_and_what_to_do) {
  EXPECT_THAT(refusal("R-999 --T 0C"), HasSubstr("known are R-410A"));
  EXPECT_THAT(refusal("--T 0C"), HasSubstr("--list"));
  EXPECT_THAT(refusal("R-410A R-32 --T 0C"), HasSubstr("one refrigerant at a time"));
  EXPECT_THAT(refusal("R-410A"), HasSubstr("Give one of: T and p"));
  EXPECT_THAT(refusal("R-410A --T 20C --h 400kJ/kg"), HasSubstr("Give one of: T and p"));
  EXPECT_THAT(refusal("R-410A --T 20C --p 1bar --q 1"), HasSubstr("Give one of: T and p"));
  EXPECT_THAT(refusal("R-410A --T 20"), HasSubstr("has no unit"));
  EXPECT_THAT(refusal("R-410A --T 20psi"), HasSubstr("--T"));
  EXPECT_THAT(refusal("R-410A --T 20C --units us"), HasSubstr("Use si or ip"));
  EXPECT_THAT(refusal("R-410A --T 20C --reference abc"), HasSubstr("iir, ashrae, nbp"));
  EXPECT_THAT(refusal("R-410A --T 20C --altitude 9000m"), HasSubstr("6000 m"));
  EXPECT_THAT(refusal("R-410A --p 8bar --superheat -3K"), HasSubstr("quality"));
  EXPECT_THAT(refusal("R-410A --p 8bar --T 3C --superheat 3K"), HasSubstr("T or p alone"));
  EXPECT_THAT(refusal("R-32 --p 20bar --T 30C --table 0C:1C:1C"), HasSubstr("table"));
}

TEST_F(Fluid, states_outside_the_model_are_refused_with_its_limits) {
  for (const char* arguments :
       {"R-410A --T 100C", "R-410A --T 71.3C --q 0", "R-410A --p 60bar", "R-410A --T 300C --p 1bar",
        "R-410A --T 20C --p 900bar", "R-410A --T 20C --q 1.5", "R-410A --p 0Pa",
        "R-410A --p 8bar --h 5000kJ/kg", "R-410A --p -300psig", "R-410A --table -40C:90C:5C"}) {
    const std::string error = refusal(arguments);
    EXPECT_THAT(error, testing::ContainsRegex("Limits of R-410A: -73.[12] °C to 226.[89] °C"))
        << arguments;
  }
  EXPECT_THAT(refusal("R-410A --p 900psi --units ip"), HasSubstr("psi(a)"));
  EXPECT_THAT(refusal("R-410A --T 100C"), HasSubstr("give a pressure, too"));
}

TEST_F(Fluid, tables_that_make_no_sense_are_refused) {
  for (const char* table : {"-40C:65C", "-40C:65C:0C", "-40C:65C:-5C", "-40C:65C:1mK", "x:y:z",
                            "-40C:65C:5", "1bar:20C:1bar"}) {
    EXPECT_THAT(refusal("R-410A --table " + std::string(table)), HasSubstr("--table")) << table;
  }
}

}  // namespace
