#include "quantity/print.h"

#include <cmath>

#include <gtest/gtest.h>

#include "quantity/parse.h"

namespace fettle::quantity {
namespace {

constexpr double inch = 0.0254;

PrintOptions with_uncertainty(double u, int digits = 2) {
  return {.uncertainty = u, .uncertainty_digits = digits, .decimals = {}};
}

TEST(Print, UsesTheUnitsOfTheTrade) {
  EXPECT_EQ(print(0.050 * inch, Dimension::length, System::inch), "0.0500 in");
  EXPECT_EQ(print(0.050 * inch, Dimension::length, System::metric), "1.270 mm");
  EXPECT_EQ(print(0.620, Dimension::mass, System::inch), "620.0 g");
  EXPECT_EQ(print(293.15, Dimension::temperature, System::inch), "68.0 F");
  EXPECT_EQ(print(293.15, Dimension::temperature, System::metric), "20.0 C");
  EXPECT_EQ(print(64e-6, Dimension::volume, System::metric), "64.00 cc");
  EXPECT_EQ(print(64e-6, Dimension::volume, "cc"), "64.00 cc");
  EXPECT_EQ(default_unit(Dimension::rate, System::inch).symbol, "lb/in");
  EXPECT_EQ(default_unit(Dimension::rate, System::metric).symbol, "N/mm");
  EXPECT_EQ(default_unit(Dimension::torque, System::inch).symbol, "ft lb");
  EXPECT_EQ(default_unit(Dimension::pressure, System::metric).symbol, "kPa");
}

TEST(Print, RoundsTheValueToThePlaceOfItsUncertainty) {
  EXPECT_EQ(print(0.05 * inch, Dimension::length, System::inch, with_uncertainty(0.0004 * inch)),
            "0.05000 in ± 0.00040");
  EXPECT_EQ(print(0.05 * inch, Dimension::length, System::inch, with_uncertainty(0.0004 * inch, 1)),
            "0.0500 in ± 0.0004");
  EXPECT_EQ(print(1234.5678, Dimension::force, "N", with_uncertainty(345)), "1230 N ± 350");
  EXPECT_EQ(print(1234.5678, Dimension::force, "N", with_uncertainty(12.3)), "1235 N ± 12");
}

// JCGM 100:2008, 7.2.6: 10.057 62 ohm with u = 27 mohm is rounded to 10.058 ohm; 7.2.2: the mass standard of
// 100.021 47 g with u = 0.35 mg. From memory.
TEST(Print, AgreesWithTheExamplesOfJcgm100) {
  EXPECT_EQ(print(10.05762, unit_named(Dimension::force, "N"), with_uncertainty(0.027)), "10.058 N ± 0.027");
  EXPECT_EQ(print(0.10002147, Dimension::mass, "g", with_uncertainty(0.35e-6)), "100.02147 g ± 0.00035");
}

TEST(Print, CountsTheDigitsOfTheRoundedUncertainty) {
  EXPECT_EQ(print(1.0, Dimension::force, "N", with_uncertainty(0.0996)), "1.00 N ± 0.10");
}

TEST(Print, UncertaintyOfATemperatureHasNoZeroPoint) {
  EXPECT_EQ(print(293.15, Dimension::temperature, System::inch, with_uncertainty(0.5)), "68.00 F ± 0.90");
}

TEST(Print, WritesNoMinusZero) {
  EXPECT_EQ(print(-1e-9, Dimension::length, System::inch), "0.0000 in");
  EXPECT_EQ(print(-0.0, Dimension::angle, System::inch), "0.0 deg");
}

TEST(Print, TakesDecimalsWhereThereIsNoUncertainty) {
  EXPECT_EQ(print(0.05 * inch, Dimension::length, System::inch, {.uncertainty = {}, .decimals = 3}),
            "0.050 in");
  EXPECT_EQ(print(0.05 * inch, Dimension::length, System::inch, {.uncertainty = 0.0, .decimals = 2}),
            "0.05 in");
}

TEST(Print, WritesQuantitiesToo) {
  const auto bore = parse<Dimension::length>("4.030 in");
  ASSERT_TRUE(bore);
  EXPECT_EQ(print(*bore, System::metric), "102.362 mm");
  EXPECT_EQ(print(*bore, "thou"), "4030.0 thou");
}

TEST(Print, RefusesWhatCannotBePrinted) {
  EXPECT_THROW(print(std::nan(""), Dimension::length, System::inch), std::invalid_argument);
  EXPECT_THROW(print(1, Dimension::length, System::inch, with_uncertainty(-1)), std::invalid_argument);
  EXPECT_THROW(print(1, Dimension::length, System::inch, with_uncertainty(HUGE_VAL)), std::invalid_argument);
  EXPECT_THROW(print(1, Dimension::length, System::inch, with_uncertainty(1, 3)), std::invalid_argument);
  EXPECT_THROW(print(1, Dimension::length, "deg"), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::quantity
