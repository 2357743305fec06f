#include "mechanism/lobe_card.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/nonnegative_qp.h"
#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

// An invented street intake lobe.
LobeCard street_intake() {
  return symmetric_card(
      0.300 * inch, 108 * degree,
      {{0.006 * inch, 268 * degree}, {0.050 * inch, 218 * degree}, {0.200 * inch, 132 * degree}});
}

void expect_sound(const LobeCard& card, const SynthesisedLobe& lobe) {
  ASSERT_TRUE(lobe.curve) << lobe.summary;
  const auto& curve = *lobe.curve;
  for (const CardEvent& event : card.events) {
    EXPECT_NEAR(curve.value(event.opening), event.lift, 1e-9 * card.max_lift);
    EXPECT_NEAR(curve.value(event.closing), event.lift, 1e-9 * card.max_lift);
  }
  EXPECT_NEAR(curve.value(card.top), card.max_lift, 1e-9 * card.max_lift);
  EXPECT_NEAR(curve.derivative(card.top, 1), 0.0, 1e-9 * card.max_lift);
  for (int i = 1; i < 4000; ++i) {
    const double up = lobe.lift_start + (card.top - lobe.lift_start) * i / 4000.0;
    const double down = lobe.lift_end + (card.top - lobe.lift_end) * i / 4000.0;
    ASSERT_GE(curve.value(up), -1e-12);
    ASSERT_GE(curve.derivative(up, 1), -1e-10);
    ASSERT_LE(curve.derivative(down, 1), 1e-10);
  }
  EXPECT_NEAR(curve.value(lobe.lift_start - 0.01), 0.0, 1e-15);
  EXPECT_NEAR(curve.value(lobe.lift_end + 0.01), 0.0, 1e-15);
}

TEST(LobeCard, StreetLobePassesThroughItsCard) {
  const SynthesisedLobe lobe = synthesise_lobe(street_intake());
  expect_sound(street_intake(), lobe);
  EXPECT_EQ(lobe.acceleration_reversals, 2);
}

TEST(LobeCard, ThirdDerivativeIsContinuousAcrossEveryKnot) {
  const SynthesisedLobe lobe = synthesise_lobe(street_intake());
  const auto& curve = *lobe.curve;
  double greatest = 0.0;
  double step = 0.0;
  for (std::size_t k = 0; k < curve.knots(); ++k) {
    const double knot = curve.origin() + curve.knot_spacing() * static_cast<double>(k);
    greatest = std::max(greatest, std::abs(curve.derivative(knot, 3)));
    step = std::max(step, std::abs(curve.derivative(knot + 1e-9, 3) - curve.derivative(knot - 1e-9, 3)));
  }
  EXPECT_LT(step, 1e-5 * greatest);
}

// A plain cam: positive acceleration on the flanks, negative over the nose, and ramps slower than the flank
// by far.
TEST(LobeCard, AccelerationLooksLikeACams) {
  const LobeCard card = street_intake();
  const SynthesisedLobe lobe = synthesise_lobe(card);
  const auto& curve = *lobe.curve;
  double greatest_velocity = 0.0;
  double greatest_acceleration = 0.0;
  double greatest_in_ramp = 0.0;
  const double ramp_top = card.events.front().opening;
  for (double x = lobe.lift_start; x < lobe.lift_end; x += 0.1 * degree) {
    greatest_velocity = std::max(greatest_velocity, curve.derivative(x, 1));
    greatest_acceleration = std::max(greatest_acceleration, curve.derivative(x, 2));
    if (x < ramp_top) {
      greatest_in_ramp = std::max(greatest_in_ramp, curve.derivative(x, 2));
    }
  }
  EXPECT_LT(curve.derivative(ramp_top, 1), 0.25 * greatest_velocity);
  EXPECT_LT(greatest_in_ramp, 0.5 * greatest_acceleration);
  for (double from_top = 0.0; from_top < 50; from_top += 1) {
    EXPECT_LT(curve.derivative(card.top + from_top * degree, 2), 0.0);
    EXPECT_LT(curve.derivative(card.top - from_top * degree, 2), 0.0);
  }
  // Once it has gathered speed, the ramp's velocity less than doubles, while the lift more than trebles.
  const double ramp = ramp_top - lobe.lift_start;
  const double early = lobe.lift_start + 0.4 * ramp;
  const double late = lobe.lift_start + 0.9 * ramp;
  EXPECT_LT(curve.derivative(late, 1), 2.0 * curve.derivative(early, 1));
  EXPECT_GT(curve.value(late), 3.0 * curve.value(early));
}

TEST(LobeCard, SymmetricCardGivesASymmetricLobe) {
  const SynthesisedLobe lobe = synthesise_lobe(street_intake());
  for (double x = 0; x < 170; x += 3.7) {
    EXPECT_NEAR(lobe.curve->value(108 * degree + x * degree), lobe.curve->value(108 * degree - x * degree),
                1e-9);
  }
}

TEST(LobeCard, CardsOfManyKindsGiveSoundLobes) {
  const LobeCard cards[] = {
      symmetric_card(0.300 * inch, 0.0, {{0.050 * inch, 218 * degree}}),
      symmetric_card(0.300 * inch, 0.0, {{0.006 * inch, 268 * degree}, {0.050 * inch, 218 * degree}}),
      symmetric_card(9.2 * millimetre, 2.0, {{1 * millimetre, 224 * degree}}),
      symmetric_card(0.400 * inch, -112 * degree,
                     {{0.006 * inch, 310 * degree},
                      {0.020 * inch, 282 * degree},
                      {0.050 * inch, 254 * degree},
                      {0.200 * inch, 172 * degree}}),
      symmetric_card(5 * millimetre, 0.0, {{0.1 * millimetre, 230 * degree}, {1 * millimetre, 178 * degree}}),
  };
  for (const LobeCard& card : cards) {
    const SynthesisedLobe lobe = synthesise_lobe(card);
    expect_sound(card, lobe);
    EXPECT_EQ(lobe.acceleration_reversals, 2) << lobe.summary;
  }
}

RC_GTEST_PROP(LobeCard, AsymmetricCardsPassThroughEveryEvent, ()) {
  const auto shift = [] { return *rc::gen::inRange(-30, 31) / 10.0 * degree; };
  LobeCard card{0.310 * inch, *rc::gen::inRange(-300, 300) * degree, {}};
  card.events = {{0.050 * inch, card.top - 109 * degree + shift(), card.top + 110 * degree + shift()},
                 {0.006 * inch, card.top - 134 * degree + shift(), card.top + 137 * degree + shift()}};
  const SynthesisedLobe lobe = synthesise_lobe(card);
  RC_ASSERT(lobe.curve.has_value());
  for (const CardEvent& event : card.events) {
    RC_ASSERT(std::abs(lobe.curve->value(event.opening) - event.lift) < 1e-9 * card.max_lift);
    RC_ASSERT(std::abs(lobe.curve->value(event.closing) - event.lift) < 1e-9 * card.max_lift);
  }
  RC_ASSERT(lobe.acceleration_reversals == 2);
}

TEST(LobeCard, ShapeScalesWithLiftAndMovesWithTheCentreline) {
  const LobeCard card = street_intake();
  const double factor =
      1.2;  // the lowest check stays near the customary height of a ramp, which does not scale
  LobeCard other = card;
  other.max_lift *= factor;
  other.top += 0.3;
  for (CardEvent& event : other.events) {
    event = {factor * event.lift, event.opening + 0.3, event.closing + 0.3};
  }
  const SynthesisedLobe one = synthesise_lobe(card);
  const SynthesisedLobe two = synthesise_lobe(other);
  for (double x = -1.0; x < 5.0; x += 0.05) {
    EXPECT_NEAR(two.curve->value(x + 0.3), factor * one.curve->value(x), 1e-7 * other.max_lift);
  }
}

TEST(LobeCard, ImpossibleCardsAreRefusedWithTheirReason) {
  const auto problem = [](const LobeCard& card) { return synthesise_lobe(card).summary; };
  EXPECT_THAT(problem(symmetric_card(0.3 * inch, 0.0, {})), testing::HasSubstr("at one check lift at least"));
  EXPECT_THAT(
      problem(symmetric_card(0.3 * inch, 0.0, {{0.006 * inch, 218 * degree}, {0.05 * inch, 268 * degree}})),
      testing::HasSubstr("must fall as the lift grows"));
  EXPECT_THAT(problem(symmetric_card(0.3 * inch, 0.0, {{0.35 * inch, 218 * degree}})),
              testing::HasSubstr("between zero and the greatest lift"));
  EXPECT_THAT(
      problem(symmetric_card(0.3 * inch, 0.0, {{0.05 * inch, 218 * degree}, {0.05 * inch, 200 * degree}})),
      testing::HasSubstr("twice"));
  EXPECT_THAT(problem(symmetric_card(0.3 * inch, 0.0, {{0.05 * inch, 700 * degree}})),
              testing::HasSubstr("no base circle"));
  EXPECT_THAT(problem({0.3 * inch, 0.0, {{0.05 * inch, 0.1, 1.0}}}), testing::HasSubstr("either side"));
  EXPECT_THAT(problem({-1.0, 0.0, {{0.05 * inch, -1.0, 1.0}}}), testing::HasSubstr("more than zero"));
  EXPECT_THAT(problem({std::numeric_limits<double>::quiet_NaN(), 0.0, {}}), testing::HasSubstr("not finite"));
  EXPECT_FALSE(synthesise_lobe(symmetric_card(0.3 * inch, 0.0, {{0.35 * inch, 218 * degree}})).curve);
  SynthesisOptions options;
  options.knot_spacing = 0.0;
  EXPECT_THROW(synthesise_lobe(street_intake(), options), std::invalid_argument);
}

TEST(LobeCard, EventsTooCloseToShapeAreRefused) {
  const SynthesisedLobe lobe = synthesise_lobe(symmetric_card(
      0.3 * inch, 0.0,
      {{0.006 * inch, 200.00 * degree}, {0.2 * inch, 199.90 * degree}, {0.21 * inch, 100 * degree}}));
  EXPECT_FALSE(lobe.curve);
  EXPECT_THAT(lobe.summary, testing::HasSubstr("no smooth lobe"));
}

// Nocedal and Wright, Numerical Optimization, 2nd ed., example 16.2 (from memory; solution recomputed from
// its conditions): min 3 x1² + 2 x1 x2 + x1 x3 + 2.5 x2² + 2 x2 x3 + 2 x3² − 8 x1 − 3 x2 − 3 x3, x1 + x3 = 3,
// x2 + x3 = 0. The programme here has no linear term: it is put in as the row of a variable held at one. x =
// (2, −1, 1): x2 = −w.
TEST(NonnegativeQp, KnownProgrammes) {
  Eigen::MatrixXd q(4, 4);
  q << 6, -2, 1, -8, -2, 5, -2, 3, 1, -2, 4, -3, -8, 3, -3, 100;
  Eigen::MatrixXd a(3, 4);
  a << 1, 0, 1, 0, 0, -1, 1, 0, 0, 0, 0, 1;
  const auto result = minimise_nonnegative(q.sparseView(), a, Eigen::Vector3d(3, 0, 1), 50);
  ASSERT_TRUE(result.converged);
  EXPECT_NEAR(result.x[0], 2, 1e-6);
  EXPECT_NEAR(result.x[1], 1, 1e-6);
  EXPECT_NEAR(result.x[2], 1, 1e-6);
}

TEST(NonnegativeQp, ABindingBoundIsFoundAndContradictionsAreNotSolved) {
  // The point of x1 + x2 + x3 = 1 nearest to the origin under Q = diag with one pull that drives x3 to its
  // bound.
  Eigen::Matrix3d q;
  q << 2, 0, 2.5, 0, 2, 2.5, 2.5, 2.5, 7;
  const Eigen::MatrixXd sum = Eigen::RowVector3d(1, 1, 1);
  const auto bound = minimise_nonnegative(q.sparseView(), sum, Eigen::VectorXd::Constant(1, 1.0), 50);
  ASSERT_TRUE(bound.converged);
  EXPECT_NEAR(bound.x[0], 0.5, 1e-6);
  EXPECT_NEAR(bound.x[1], 0.5, 1e-6);
  EXPECT_NEAR(bound.x[2], 0.0, 1e-6);
  EXPECT_FALSE(minimise_nonnegative(q.sparseView(), sum, Eigen::VectorXd::Constant(1, -1.0), 50).converged);
}

}  // namespace
}  // namespace fettle::mechanism::test
