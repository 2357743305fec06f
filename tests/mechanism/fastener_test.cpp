#include "mechanism/fastener.h"

#include <cmath>
#include <limits>
#include <numbers>

#include <gtest/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

constexpr double pound_force = 4.4482216152605;
constexpr double psi = pound_force / (inch * inch);

// A rod bolt: 7/16-20, 1.5 in of 3/8 shank and 0.25 in of thread in the grip.
Bolt rod_bolt() {
  return {0.4375 * inch,
          tensile_stress_area(ThreadForm::unified, 0.4375 * inch, inch / 20),
          0.25 * std::numbers::pi * std::pow(0.375 * inch, 2),
          1.5 * inch,
          0.25 * inch,
          30e6 * psi};
}

// Shigley, table 8-2, and ISO 898-1 / Shigley table 8-1 (M10 x 1.5: 58.0 mm²; M12 x 1.75: 84.3).
TEST(Fastener, StressAreasOfTheTables) {
  EXPECT_NEAR(tensile_stress_area(ThreadForm::unified, 0.4375 * inch, inch / 14) / (inch * inch), 0.1063,
              5e-5);
  EXPECT_NEAR(tensile_stress_area(ThreadForm::unified, 0.4375 * inch, inch / 20) / (inch * inch), 0.1187,
              5e-5);
  EXPECT_NEAR(tensile_stress_area(ThreadForm::metric, 10e-3, 1.5e-3) * 1e6, 58.0, 0.05);
  EXPECT_NEAR(tensile_stress_area(ThreadForm::metric, 12e-3, 1.75e-3) * 1e6, 84.3, 0.05);
  EXPECT_THROW(static_cast<void>(tensile_stress_area(ThreadForm::metric, 1e-3, 2e-3)), std::invalid_argument);
}

// SAE J429; Shigley table 8-15 from memory.
TEST(Fastener, StrengthsAndNutFactors) {
  EXPECT_NEAR(bolt_strength("8")->proof / psi, 120e3, 1.0);
  EXPECT_NEAR(bolt_strength("8")->yield / psi, 130e3, 1.0);
  EXPECT_NEAR(bolt_strength("8")->tensile / psi, 150e3, 1.0);
  EXPECT_FALSE(bolt_strength("9"));
  EXPECT_DOUBLE_EQ(nut_factor(ThreadFinish::black), 0.30);
  EXPECT_DOUBLE_EQ(nut_factor(ThreadFinish::cadmium_plated), 0.16);
}

// Arithmetic: 7/16 at 60 lbf ft, lubricated: 60 × 12/(0.18 × 0.4375) = 9143 lbf.
TEST(Fastener, TorqueGivesPreload) {
  const double torque = 60.0 * pound_force * 12.0 * inch;
  const double preload = preload_from_torque(torque, 0.18, 0.4375 * inch);
  EXPECT_NEAR(preload / pound_force, 720.0 / (0.18 * 0.4375), 1e-6);
  EXPECT_NEAR(torque_for_preload(preload, 0.18, 0.4375 * inch), torque, 1e-10);
  EXPECT_THROW(static_cast<void>(preload_from_torque(torque, 0.0, 0.01)), std::invalid_argument);
}

// Hooke's law slice by slice.
TEST(Fastener, StretchIsTheSumOfItsSlices) {
  const Bolt bolt = rod_bolt();
  const double load = 50e3;
  double stretch = 0.0;
  for (int i = 0; i < 1000; ++i) {
    const bool shank = i * 1.75 < 1500.0;
    stretch +=
        1.75 * inch / 1000.0 * load / (bolt.elastic_modulus * (shank ? bolt.shank_area : bolt.stress_area));
  }
  EXPECT_NEAR(stretch_for_preload(bolt, load) / stretch, 1.0, 1e-3);
  EXPECT_NEAR(preload_from_stretch(bolt, stretch_for_preload(bolt, load)), load, 1e-8);
  const double rigid = preload_from_angle(bolt, std::numeric_limits<double>::infinity(), inch / 20, 0.5);
  EXPECT_NEAR(rigid, preload_from_stretch(bolt, inch / 20 * 0.5 / (2 * std::numbers::pi)), 1e-8);
  EXPECT_NEAR(preload_from_angle(bolt, bolt_stiffness(bolt), inch / 20, 0.5), 0.5 * rigid, 1e-8);
}

TEST(Fastener, MarginsAreArithmetic) {
  const Bolt bolt = rod_bolt();
  const BoltStrength strength = *bolt_strength("8");
  const BoltState state = bolt_state(bolt, strength, 0.75 * strength.proof * bolt.stress_area);
  EXPECT_NEAR(state.proof_part, 0.75, 1e-12);
  EXPECT_NEAR(state.yield_margin, 1.0 - 90.0 / 130.0, 1e-9);
  EXPECT_LT(bolt_state(bolt, strength, 1.1 * strength.yield * bolt.stress_area).yield_margin, 0.0);
  const double stretch = stretch_for_preload(bolt, state.preload);
  EXPECT_NEAR(*shown_nut_factor(bolt, 0.2 * state.preload * bolt.nominal_diameter, stretch), 0.2, 1e-12);
  EXPECT_FALSE(shown_nut_factor(bolt, 50.0, 0.0));
  Bolt none = bolt;
  none.shank_length = none.thread_length = 0.0;
  EXPECT_THROW(static_cast<void>(bolt_stiffness(none)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
