#include "quantity/unit.h"

#include <cmath>
#include <numbers>
#include <set>
#include <string>
#include <tuple>

#include <gtest/gtest.h>

namespace fettle::quantity {
namespace {

double factor(Dimension dimension, std::string_view spelling) {
  const Unit* unit = find_unit(dimension, spelling);
  if (unit == nullptr) {
    ADD_FAILURE() << spelling;
    return std::nan("");
  }
  return unit->factor;
}

// A factor as it is printed with seven digits.
struct Printed {
  Dimension dimension;
  std::string_view unit;
  double factor;
  double last_place;
};

class PrintedFactor : public testing::TestWithParam<Printed> {};

TEST_P(PrintedFactor, AgreesToTheDigitsPrinted) {
  const Printed& printed = GetParam();
  EXPECT_NEAR(factor(printed.dimension, printed.unit), printed.factor, 0.5 * printed.last_place)
      << printed.unit;
}

// NIST Special Publication 811 (2008), Appendix B.9, "Factors for units listed by kind of quantity or field
// of science".
INSTANTIATE_TEST_SUITE_P(
    NistSp811AppendixB9, PrintedFactor,
    testing::Values(
        Printed{Dimension::angle, "arcmin", 2.908882e-4, 1e-10},
        Printed{Dimension::angle, "arcsec", 4.848137e-6, 1e-12},
        Printed{Dimension::angle, "rev", 6.283185, 1e-6}, Printed{Dimension::force, "kgf", 9.80665, 1e-15},
        Printed{Dimension::force, "ozf", 2.780139e-1, 1e-7}, Printed{Dimension::force, "lbf", 4.448222, 1e-6},
        Printed{Dimension::length, "ft", 0.3048, 1e-15}, Printed{Dimension::length, "in", 0.0254, 1e-17},
        Printed{Dimension::length, "micron", 1e-6, 1e-21}, Printed{Dimension::length, "thou", 2.54e-5, 1e-20},
        Printed{Dimension::mass, "oz", 2.834952e-2, 1e-8}, Printed{Dimension::mass, "lb", 4.535924e-1, 1e-7},
        Printed{Dimension::power, "hp", 7.456999e2, 1e-4},
        Printed{Dimension::power, "metric horsepower", 7.354988e2, 1e-4},
        Printed{Dimension::pressure, "atm", 1.01325e5, 1e-9},
        Printed{Dimension::pressure, "kgf/cm2", 9.80665e4, 1e-9},
        Printed{Dimension::pressure, "bar", 1e5, 1e-9},
        Printed{Dimension::pressure, "inHg", 3.386389e3, 1e-3},
        Printed{Dimension::pressure, "inH2O", 2.490889e2, 1e-4},
        Printed{Dimension::pressure, "mmHg", 1.333224e2, 1e-4},
        Printed{Dimension::pressure, "mmH2O", 9.80665, 1e-14},
        Printed{Dimension::pressure, "psi", 6.894757e3, 1e-3}, Printed{Dimension::time, "min", 60, 1e-12},
        Printed{Dimension::time, "h", 3600, 1e-12}, Printed{Dimension::volume, "L", 1e-3, 1e-17}));

// NIST Special Publication 811 (2008), Appendix B.8, from memory; each recomputed from the exact definitions
// of the inch, the pound and standard gravity.
INSTANTIATE_TEST_SUITE_P(NistSp811AppendixB8, PrintedFactor,
                         testing::Values(Printed{Dimension::rate, "lb/in", 1.751268e2, 1e-4},
                                         Printed{Dimension::torque, "ft lb", 1.355818, 1e-6},
                                         Printed{Dimension::torque, "in lb", 1.129848e-1, 1e-7},
                                         Printed{Dimension::volume, "cu in", 1.638706e-5, 1e-11},
                                         Printed{Dimension::flow, "cfm", 4.719474e-4, 1e-10},
                                         Printed{Dimension::velocity, "mph", 4.4704e-1, 1e-15},
                                         Printed{Dimension::velocity, "ft/min", 5.08e-3, 1e-17},
                                         Printed{Dimension::area, "sq in", 6.4516e-4, 1e-18},
                                         Printed{Dimension::speed, "rpm", 1.047198e-1, 1e-7}));

// The exact products of 0.0254 m, 0.45359237 kg and 9.80665 m/s2 (NIST SP 811, B.8), recomputed in rational
// arithmetic.
TEST(Unit, FactorsAreTheExactProductsOfTheDefinitions) {
  EXPECT_DOUBLE_EQ(factor(Dimension::force, "lbf"), 4.4482216152605);
  EXPECT_DOUBLE_EQ(factor(Dimension::rate, "lb/in"), 175.12683524647639);
  EXPECT_DOUBLE_EQ(factor(Dimension::pressure, "psi"), 6894.7572931683617);
  EXPECT_DOUBLE_EQ(factor(Dimension::torque, "ft lb"), 1.3558179483314003);
  EXPECT_DOUBLE_EQ(factor(Dimension::volume, "cu in"), 1.6387064e-5);
  EXPECT_DOUBLE_EQ(factor(Dimension::power, "hp"), 745.69987158227022);
  EXPECT_DOUBLE_EQ(factor(Dimension::pressure, "inHg"), 3386.388640341);
}

// Fixed points: t/C = (t/F - 32)/1.8 and T/K = t/C + 273.15 (NIST SP 811, B.9, Temperature).
TEST(Unit, TemperatureScalesMeetAtTheirFixedPoints) {
  const Unit* fahrenheit = find_unit(Dimension::temperature, "F");
  const Unit* celsius = find_unit(Dimension::temperature, "C");
  ASSERT_TRUE(fahrenheit != nullptr && celsius != nullptr);
  EXPECT_NEAR(to_si(32, *fahrenheit), 273.15, 1e-12);
  EXPECT_NEAR(to_si(212, *fahrenheit), 373.15, 1e-12);
  EXPECT_NEAR(to_si(-40, *fahrenheit), to_si(-40, *celsius), 1e-12);
  EXPECT_NEAR(to_si(-459.67, *fahrenheit), 0, 1e-12);
  EXPECT_NEAR(from_si(293.15, *fahrenheit), 68, 1e-12);
}

// '|' separated, as in the table.
std::vector<std::string> spellings_of(const Unit& unit) {
  std::vector<std::string> spellings(1);
  for (const char c : unit.spellings) {
    if (c == '|') {
      spellings.emplace_back();
    } else {
      spellings.back() += c;
    }
  }
  return spellings;
}

TEST(Unit, EverySpellingFindsItsOwnUnit) {
  for (const Unit& unit : all_units()) {
    for (const std::string& spelling : spellings_of(unit)) {
      EXPECT_EQ(find_unit(unit.dimension, spelling), &unit) << spelling;
    }
    EXPECT_EQ(find_unit(unit.dimension, unit.symbol), &unit) << unit.symbol;
  }
}

TEST(Unit, NoSpellingStandsForTwoUnitsOfADimension) {
  std::set<std::tuple<Dimension, std::string>> seen;
  for (const Unit& unit : all_units()) {
    for (const std::string& spelling : spellings_of(unit)) {
      EXPECT_TRUE(seen.insert({unit.dimension, spelling}).second) << spelling;
      EXPECT_EQ(find_refused_unit(unit.dimension, spelling), nullptr) << spelling;
    }
  }
}

TEST(Unit, EveryDimensionHasItsSiUnit) {
  for (const Dimension dimension : all_dimensions) {
    // The unit of a ratio is the number one, which nobody writes (SI Brochure, 9th edition, 2.3.3): ":1" says
    // it.
    const Unit* unit = find_unit(dimension, dimension == Dimension::ratio ? ":1" : si_unit(dimension));
    ASSERT_NE(unit, nullptr) << name(dimension);
    EXPECT_EQ(unit->factor, 1) << name(dimension);
    EXPECT_EQ(unit->offset, 0) << name(dimension);
  }
}

}  // namespace
}  // namespace fettle::quantity
