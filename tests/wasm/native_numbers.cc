// Prints what the entries of tools/wasm answer natively, for compare.mjs to ask the WebAssembly
// module the same. One call a line, tab-separated: kind, inputs, then result and numbers; doubles
// as the hexadecimal digits of their 64 bits, so that nothing is lost.
#include <array>
#include <bit>
#include <cinttypes>
#include <cstdio>
#include <span>

#include "wasm/entries.h"

namespace {

void print(double value) { std::printf("\t%016" PRIx64, std::bit_cast<std::uint64_t>(value)); }

void print_answer(int result, std::span<const double> numbers) {
  std::printf("\t%d", result);
  if (result >= 0) {
    for (const double number : numbers) print(number);
  }
  std::printf("\n");
}

void fluid(const char* name, int pair, double first, double second) {
  std::array<double, 13> out{};
  const int result = cw_fluid_state(name, pair, first, second, 0, out.data());
  std::printf("fluid\t%s\t%d", name, pair);
  print(first);
  print(second);
  print_answer(result, out);
}

void table(const char* name, double p, double h) {
  std::array<double, 8> out{};
  const int result = cw_fluid_table(name, p, h, out.data());
  std::printf("table\t%s", name);
  print(p);
  print(h);
  print_answer(result, out);
}

void air(double t, double p, int known, double value) {
  std::array<double, 9> out{};
  const int result = cw_air_state(t, p, known, value, out.data());
  std::printf("air\t%d", known);
  print(t);
  print(p);
  print(value);
  print_answer(result, out);
}

void quantity(const char* text, const char* dimension) {
  std::array<double, 1> out{};
  const int result = cw_quantity(text, dimension, 101325.0, out.data());
  std::printf("quantity\t%s\t%s", text, dimension);
  print_answer(result, out);
}

}  // namespace

int main() {
  for (const char* name : {"R-410A", "R-32", "R-454B", "R-407C", "R-134a", "R-22", "nitrogen"}) {
    for (double T = 220.0; T < 420.0; T += 23.0) {
      for (const double p : {1e5, 5e5, 1e6, 2.4e6, 4e6, 8e6}) fluid(name, 0, T, p);
      for (const double rho : {5.0, 60.0, 1100.0}) fluid(name, 1, T, rho);
      for (const double q : {0.0, 0.4, 1.0}) fluid(name, 6, T, q);
    }
    for (double h = 120e3; h < 500e3; h += 37e3) {
      for (const double p : {1e5, 8e5, 2.4e6}) fluid(name, 2, p, h);
    }
    for (double s = 900.0; s < 2000.0; s += 190.0) fluid(name, 3, 1.1e6, s);
    for (double p = 1e5; p < 3e6; p *= 1.7) fluid(name, 5, p, 0.5);
    fluid(name, 0, -1.0, 1e5);  // refused on both sides
    for (double p = 1.4e5; p < 4.6e6; p *= 1.13) {
      for (double h = 130e3; h < 500e3; h += 17e3) table(name, p, h);
    }
  }
  for (double t = 233.15; t < 340.0; t += 13.0) {
    for (const double p : {101325.0, 83520.0}) {
      for (const double rh : {0.0, 0.2, 0.7, 1.0, 1.2}) air(t, p, 0, rh);
    }
  }
  quantity("120F", "temperature");
  quantity("418psig", "pressure");
  quantity("-40 °C", "temperature");
  quantity("12 furlong", "length");
  return 0;
}
