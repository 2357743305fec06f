#include "mechanism/spring_wire.h"

#include <cmath>
#include <limits>
#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

using std::numbers::pi;

constexpr double pound_force = 4.4482216152605;
constexpr double psi = pound_force / (inch * inch);
constexpr double steel_density = 7850.0;

// Shigley, Mechanical Engineering Design, problem 10-3 (numbers of its printed solution).
TEST(SpringWire, ShigleyProblemTenThree) {
  const double d = 2.5e-3;
  const WireStrength wire = wire_strength(WireKind::music, d);
  EXPECT_NEAR(wire.tensile / 1e6, 1936.0, 0.5);
  EXPECT_NEAR(wire.shear_yield / 1e6, 871.2, 0.1);
  EXPECT_NEAR(curvature_factor(CurvatureFactor::bergstraesser, 11.4), 1.117, 5e-4);
  EXPECT_DOUBLE_EQ(active_coils(SpringEnds::plain_ground, 14.0), 13.0);
  const WoundSpring spring =
      cylindrical_spring(d, 28.5e-3, 14.0, 162.8e-3, SpringEnds::plain_ground, 81e9, steel_density);
  EXPECT_NEAR(*wound_rate(spring, 0.0) / 1e3, 1.314, 5e-4);
  EXPECT_NEAR(wound_solid_height(spring) / millimetre, 35.0, 1e-9);
  // The load that would yield the wire takes it to solid: 167.9 N over 127.8 mm.
  EXPECT_NEAR(wound_stress(spring, 167.9) / wire.shear_yield, 1.0, 1e-3);
  EXPECT_NEAR(wound_height(spring, 167.9) / millimetre, 35.0, 0.05);
}

// Shigley, example 10-1, printed values; tolerance 0.5 % since the print rounds its constants.
TEST(SpringWire, ShigleyExampleTenOne) {
  const double d = 0.037 * inch;
  const WoundSpring exact = cylindrical_spring(d, (0.4375 - 0.037) * inch, 12.5, 2.06 * inch,
                                               SpringEnds::squared, 11.85e6 * psi, steel_density);
  const double rate = *wound_rate(exact, 0.0) / (pound_force / inch);
  EXPECT_NEAR(rate / 4.13, 1.0, 5e-3);
  EXPECT_NEAR(wound_solid_height(exact) / inch, 0.50, 5e-3);
  const double yield = 0.45 * 201e3 / std::pow(0.037, 0.145) * psi;
  EXPECT_NEAR(wire_strength(WireKind::music, d).shear_yield / yield, 1.0, 5e-3);
  const double load = 6.46 * pound_force;
  EXPECT_NEAR(wound_stress(exact, load) / yield, 1.0, 5e-3);
  EXPECT_NEAR((wound_free_height(exact) - wound_height(exact, load)) / inch / 1.56, 1.0, 5e-3);
}

// Shigley, table 10-4, the inch column (kpsi in^m), against the metric one in use; the two columns of the
// print are rounded apart by up to 0.5 %.
TEST(SpringWire, StrengthsAgreeWithTheInchColumn) {
  const std::tuple<WireKind, double, double> rows[] = {{WireKind::music, 201, 0.145},
                                                       {WireKind::oil_tempered, 147, 0.187},
                                                       {WireKind::hard_drawn, 140, 0.190},
                                                       {WireKind::chrome_vanadium, 169, 0.168},
                                                       {WireKind::chrome_silicon, 202, 0.108}};
  for (const auto& [kind, a, exponent] : rows) {
    const double expected = a * 1e3 * psi / std::pow(0.177, exponent);
    const WireStrength wire = wire_strength(kind, 0.177 * inch);
    EXPECT_NEAR(wire.tensile / expected, 1.0, 5e-3);
    EXPECT_TRUE(wire.tabulated);
  }
  EXPECT_FALSE(wire_strength(WireKind::chrome_silicon, 1e-3).tabulated);
  EXPECT_GT(wire_strength(WireKind::music, 4e-3, true).shear_yield,
            wire_strength(WireKind::music, 4e-3).shear_yield);
  EXPECT_THROW(static_cast<void>(wire_strength(WireKind::music, 0.0)), std::invalid_argument);
}

// Recomputed from ½ sqrt(k g/W), Shigley eq. 10-25; 0.284 lb/in³ with g 386.09 in/s².
TEST(SpringWire, SurgeFrequencyOfAValveSpring) {
  const double density = 0.284 * pound_force / (386.09 * inch) / (inch * inch * inch);
  const WoundSpring spring = cylindrical_spring(0.177 * inch, 1.085 * inch, 6.5, 2.1 * inch,
                                                SpringEnds::squared_ground, 11.2e6 * psi, density);
  EXPECT_NEAR(*wound_rate(spring, 0.0) / (pound_force / inch), 239.07, 5e-3);
  EXPECT_NEAR(surge_frequency(spring), 463.98, 5e-3);
  EXPECT_NEAR(wound_mass(spring) / wound_active_mass(spring), 6.5 / 4.5, 1e-12);
}

// Shigley, example 10-4 (music wire 0.092 in, 9/16 outside, 21 active, 5 to 35 lbf, unpeened), from memory;
// recomputed: amplitude 29.7, mean 39.6 kpsi; Goodman 1.23, Sines 1.18.
TEST(SpringWire, ShigleyExampleTenFourFatigue) {
  const double d = 0.092 * inch;
  const WoundSpring spring = cylindrical_spring(d, 0.4705 * inch, 23.0, 4.375 * inch,
                                                SpringEnds::squared_ground, 11.75e6 * psi, steel_density);
  const auto fatigue =
      spring_fatigue(spring, wire_strength(WireKind::music, d), 5 * pound_force, 35 * pound_force, false);
  ASSERT_TRUE(fatigue);
  EXPECT_NEAR(fatigue->amplitude / psi / 1e3, 29.7, 0.1);
  EXPECT_NEAR(fatigue->mean / psi / 1e3, 39.6, 0.1);
  EXPECT_NEAR(fatigue->goodman, 1.23, 0.01);
  EXPECT_NEAR(fatigue->sines, 1.18, 0.01);
  WireStrength weak;
  weak.shear_ultimate = 300e6;
  EXPECT_FALSE(spring_fatigue(spring, weak, 10.0, 20.0, false));
  EXPECT_THROW(static_cast<void>(spring_fatigue(spring, weak, 30.0, 20.0, false)), std::invalid_argument);
}

// Arithmetic of Shigley eqs. 10-4 and 10-5.
TEST(SpringWire, CurvatureFactorsAtIndexSix) {
  EXPECT_NEAR(curvature_factor(CurvatureFactor::wahl, 6.0), 23.0 / 20.0 + 0.1025, 1e-12);
  EXPECT_NEAR(curvature_factor(CurvatureFactor::bergstraesser, 6.0), 26.0 / 21.0, 1e-12);
  EXPECT_THROW(static_cast<void>(curvature_factor(CurvatureFactor::wahl, 1.0)), std::invalid_argument);
}

WoundSpring beehive() {
  return {4.3e-3,
          79e9,
          steel_density,
          SpringEnds::squared_ground,
          {{3.0, 27e-3, 27e-3, 8.0e-3}, {2.5, 27e-3, 20e-3, 7.2e-3}}};
}

// Independent of the closed forms: many thin coils, each compressed until it lies on the next.
double summed_height(const WoundSpring& spring, double load) {
  const int slices = 20000;
  double height = 2.0 * spring.wire_diameter;
  for (const auto& part : spring.parts) {
    const double sunk = (part.diameter_to - part.diameter_from) / 2.0 / part.coils;
    const double solid = std::sqrt(spring.wire_diameter * spring.wire_diameter - sunk * sunk);
    for (int i = 0; i < slices; ++i) {
      const double diameter =
          part.diameter_from + (part.diameter_to - part.diameter_from) * (i + 0.5) / slices;
      const double give =
          8.0 * load * std::pow(diameter, 3) / (spring.shear_modulus * std::pow(spring.wire_diameter, 4));
      height += std::max(solid, part.pitch - give) * part.coils / slices;
    }
  }
  return height;
}

TEST(SpringWire, TaperedCoilsGoSolidOneByOne) {
  const WoundSpring spring = beehive();
  for (const double load : {0.0, 200.0, 500.0, 600.0, 620.0, 700.0, 900.0, 1200.0}) {
    EXPECT_NEAR(wound_height(spring, load), summed_height(spring, load), 2e-8) << load;
  }
  double last = 0.0;
  for (const double load : {100.0, 620.0, 680.0, 800.0, 1000.0}) {
    const auto rate = wound_rate(spring, load);
    ASSERT_TRUE(rate) << load;
    EXPECT_GE(*rate, last * (1.0 - 1e-12));
    last = *rate;
  }
  EXPECT_FALSE(wound_rate(spring, 1e5));
  EXPECT_NEAR(wound_height(spring, 1e5), wound_solid_height(spring), 1e-15);
}

TEST(SpringWire, LoadInvertsHeight) {
  const WoundSpring spring = beehive();
  for (double load = 10.0; load < 1100.0; load += 47.0) {
    const double height = wound_height(spring, load);
    if (height > wound_solid_height(spring) + 1e-6) {
      ASSERT_TRUE(wound_load(spring, height)) << load;
      EXPECT_NEAR(*wound_load(spring, height), load, 1e-6);
    }
  }
  EXPECT_EQ(wound_load(spring, 0.2), 0.0);
  EXPECT_FALSE(wound_load(spring, wound_solid_height(spring)));
  EXPECT_FALSE(wound_load(spring, 0.001));
}

TEST(SpringWire, StressIsTheGreatestOfAllCoils) {
  const WoundSpring spring = beehive();
  for (const double load : {200.0, 650.0, 900.0}) {
    double greatest = 0.0;
    for (const auto& part : spring.parts) {
      const double sunk = (part.diameter_to - part.diameter_from) / 2.0 / part.coils;
      const double gap = part.pitch - std::sqrt(std::pow(spring.wire_diameter, 2) - sunk * sunk);
      for (int i = 0; i <= 5000; ++i) {
        const double diameter = part.diameter_from + (part.diameter_to - part.diameter_from) * i / 5000.0;
        const double solid_at =
            gap * spring.shear_modulus * std::pow(spring.wire_diameter, 4) / (8.0 * std::pow(diameter, 3));
        const double index = diameter / spring.wire_diameter;
        const double factor = (4.0 * index + 2.0) / (4.0 * index - 3.0);
        greatest = std::max(greatest, factor * 8.0 * std::min(load, solid_at) * diameter /
                                          (pi * std::pow(spring.wire_diameter, 3)));
      }
    }
    EXPECT_NEAR(wound_stress(spring, load) / greatest, 1.0, 1e-3) << load;
  }
}

TEST(SpringWire, ImpossibleSpringsAreRefused) {
  WoundSpring spring = beehive();
  spring.parts[0].pitch = 4.0e-3;
  EXPECT_THAT(wound_spring_problems(spring), testing::ElementsAre(testing::HasSubstr("solid")));
  EXPECT_THROW(static_cast<void>(wound_free_height(spring)), std::invalid_argument);
  spring = beehive();
  spring.wire_diameter = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(wound_spring_problems(spring).empty());
  EXPECT_EQ(wound_spring_problems({4e-3, 79e9, 7850.0, SpringEnds::plain, {}}).size(), 1U);
  EXPECT_THROW(static_cast<void>(surge_frequency(beehive())), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(cylindrical_spring(4e-3, 27e-3, 2.0, 0.05, SpringEnds::squared, 79e9, 7850)),
               std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
