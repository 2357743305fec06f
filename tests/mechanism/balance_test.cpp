#include "mechanism/balance.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

constexpr double pi = std::numbers::pi;

std::vector<BalanceCylinder> layout(const std::vector<double>& throws, const std::vector<double>& banks,
                                    double spacing, double mass) {
  std::vector<BalanceCylinder> cylinders;
  for (std::size_t i = 0; i < throws.size(); ++i) {
    cylinders.push_back({throws[i] * degree, banks[i] * degree, spacing * static_cast<double>(i), mass, 0.0});
  }
  return cylinders;
}

// Expansion of the closed form (Taylor, The Internal Combustion Engine in Theory and Practice).
TEST(Balance, HarmonicsFollowTheExpansion) {
  const CrankGeometry crank{43e-3, 143e-3, 0.0};
  const double lambda = 43.0 / 143.0;
  const auto factors = acceleration_harmonics(crank, 6);
  ASSERT_EQ(factors.size(), 4U);
  EXPECT_NEAR(factors[0], 1.0, 1e-12);
  EXPECT_NEAR(factors[1], lambda + std::pow(lambda, 3) / 4 + 15 * std::pow(lambda, 5) / 128, 2e-4);
  EXPECT_NEAR(factors[2], -std::pow(lambda, 3) / 4 - 3 * std::pow(lambda, 5) / 16, 2e-4);
  EXPECT_THROW(static_cast<void>(acceleration_harmonics({43e-3, 143e-3, 1e-3}, 4)), std::invalid_argument);
}

// Inline four: secondaries add; 0.6 kg, 43 mm, 143 mm, 6000 rpm: 12 251 N with two terms, 12 540 N exact
// (recomputed). Primaries and all moments about the middle vanish.
TEST(Balance, AnInlineFourShakesTwicePerTurn) {
  const CrankGeometry crank{43e-3, 143e-3, 0.0};
  const double speed = 6000 * 2 * pi / 60;
  auto cylinders = layout({0, 180, 180, 0}, {0, 0, 0, 0}, 0.1, 0.6);
  for (auto& cylinder : cylinders) {
    cylinder.position -= 0.15;
  }
  const auto orders = shaking(crank, cylinders, speed);
  EXPECT_NEAR(orders[0].greatest_force(), 0.0, 1e-8);
  EXPECT_NEAR(orders[1].greatest_force(), 12540.0, 0.5);
  for (const auto& order : orders) {
    EXPECT_NEAR(order.greatest_moment(), 0.0, 1e-8);
  }
}

TEST(Balance, AnInlineSixIsStill) {
  const auto orders =
      shaking({43e-3, 143e-3, 0.0}, layout({0, 120, 240, 240, 120, 0}, {0, 0, 0, 0, 0, 0}, 0.1, 0.6), 600.0);
  ASSERT_EQ(orders.size(), 3U);
  for (const auto& order : orders) {
    EXPECT_NEAR(order.greatest_force(), 0.0, 1e-8) << order.order;
    EXPECT_NEAR(order.greatest_moment(), 0.0, 1e-8) << order.order;
  }
}

// 90-degree V8, cross-plane: pins 0 90 270 180, two rods a pin. With half the reciprocating mass as rotating
// counterweight on each pin (the bobweight's rule, common practice) nothing is left of order 1.
TEST(Balance, TheBobweightRuleStillsANinetyDegreeV) {
  const CrankGeometry crank{44e-3, 145e-3, 0.0};
  std::vector<BalanceCylinder> cylinders;
  const double pins[] = {0, 90, 270, 180};
  for (int pin = 0; pin < 4; ++pin) {
    for (const double bank : {-45.0, 45.0}) {
      cylinders.push_back({pins[pin] * degree, bank * degree, 0.11 * pin, 0.7, -0.35});
    }
  }
  const auto orders = shaking(crank, cylinders, 500.0);
  EXPECT_NEAR(orders[0].greatest_force(), 0.0, 1e-9);
  EXPECT_NEAR(orders[0].greatest_moment(), 0.0, 1e-9);
  EXPECT_NEAR(bobweight({0.5, 0.7, 2, 0.005}, 0.5), 2 * 0.5 + 0.7 + 0.005, 1e-12);
  // Without them the rocking couple turns with the crank, and two weights at the ends take it away.
  for (auto& cylinder : cylinders) {
    cylinder.rotating_mass = 0.0;
  }
  const auto bare = shaking(crank, cylinders, 500.0);
  EXPECT_GT(bare[0].greatest_moment(), 100.0);
  EXPECT_NEAR(std::abs(bare[0].moment_backward), 0.0, 1e-9);
  const auto weights = two_plane_balance(bare[0], 500.0, -0.05, 0.40);
  const auto a = std::polar(weights.a.mass_radius * 500.0 * 500.0, weights.a.angle);
  const auto b = std::polar(weights.b.mass_radius * 500.0 * 500.0, weights.b.angle);
  EXPECT_NEAR(std::abs(a + b + bare[0].force_forward), 0.0, 1e-8);
  EXPECT_NEAR(std::abs(-0.05 * a + 0.40 * b + bare[0].moment_forward), 0.0, 1e-8);
}

// Independent: Newton's law on every piston with its exact acceleration at one crank angle, summed as
// vectors.
RC_GTEST_PROP(Balance, OrdersAddUpToTheExactForces, ()) {
  const CrankGeometry geometry{45e-3, 150e-3, 0.0};
  const SliderCrank crank(geometry);
  std::vector<BalanceCylinder> cylinders;
  const int count = *rc::gen::inRange(1, 7);
  for (int i = 0; i < count; ++i) {
    cylinders.push_back({*rc::gen::inRange(0, 360) * degree, *rc::gen::inRange(-90, 91) * degree, 0.1 * i,
                         *rc::gen::inRange(1, 10) / 10.0, *rc::gen::inRange(-5, 6) / 10.0});
  }
  const double speed = 400.0;
  const double turn = *rc::gen::inRange(0, 360) * degree;
  std::complex<double> force;
  std::complex<double> moment;
  for (const auto& c : cylinders) {
    // Depth grows away from the head: −m × (−acceleration) along the bore acts on the engine.
    const double along =
        c.reciprocating_mass * crank.acceleration(turn + c.throw_angle - c.bank_angle) * speed * speed;
    const std::complex<double> own =
        along * std::polar(1.0, c.bank_angle) +
        c.rotating_mass * geometry.crank_throw * speed * speed * std::polar(1.0, turn + c.throw_angle);
    force += own;
    moment += c.position * own;
  }
  std::complex<double> summed;
  std::complex<double> summed_moment;
  for (const auto& order : shaking(geometry, cylinders, speed, 24)) {
    const auto ahead = std::polar(1.0, order.order * turn);
    summed += order.force_forward * ahead + order.force_backward / ahead;
    summed_moment += order.moment_forward * ahead + order.moment_backward / ahead;
  }
  RC_ASSERT(std::abs(summed - force) < 1e-6);
  RC_ASSERT(std::abs(summed_moment - moment) < 1e-6);
}

TEST(Balance, RodEndsMustAddUp) {
  EXPECT_NEAR(rod_split(0.420, 0.180, 0.602).closure, -0.002, 1e-12);
  EXPECT_THROW(static_cast<void>(rod_split(-0.1, 0.2, 0.1)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(bobweight({0.5, 0.7, 0, 0.0}, 0.5)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
