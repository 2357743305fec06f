#include "mechanism/lobe.h"

#include <algorithm>
#include <cmath>

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/card_numbers.h"
#include "mechanism/circular.h"
#include "mechanism/lobe_card.h"
#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

using metrology::PeriodicSpline;

// An asymmetric invented lobe, made once.
const LobeCard& card() {
  static const LobeCard made{0.300 * inch,
                             108 * degree,
                             {{0.006 * inch, -26 * degree, 243 * degree},
                              {0.050 * inch, -1 * degree, 218.5 * degree},
                              {0.200 * inch, 43 * degree, 174.5 * degree}}};
  return made;
}

const PeriodicSpline& truth() {
  static const PeriodicSpline made = *synthesise_lobe(card()).curve;
  return made;
}

PeriodicSpline shifted(const PeriodicSpline& curve, double by) {
  return {curve.period(), curve.origin() + by, curve.coefficients()};
}

PeriodicSpline mirrored(const PeriodicSpline& curve) {
  Eigen::VectorXd reversed = curve.coefficients().reverse();
  return {curve.period(), -curve.origin() - curve.knot_spacing() * static_cast<double>(curve.knots() - 1),
          reversed};
}

TEST(Reduction, ReturnsTheCardsEvents) {
  const LobeReduction lobe = reduce_lobe(truth());
  ASSERT_TRUE(lobe.found) << lobe.summary;
  EXPECT_EQ(lobe.summary, "complete");
  EXPECT_NEAR(lobe.max_lift, 0.300 * inch, 1e-10);
  EXPECT_NEAR(lobe.base_level, 0.0, 1e-12);
  EXPECT_NEAR(*lobe.base_runout, 0.0, 1e-12);
  EXPECT_NEAR(lobe.top, 108 * degree, 1e-9);
  // Customary order: 0.006, 0.020, 0.050, 0.100, 0.200 in.
  EXPECT_NEAR(lobe.checks[0].opening->angle, -26 * degree, 1e-8);
  EXPECT_NEAR(lobe.checks[0].closing->angle, 243 * degree, 1e-8);
  EXPECT_NEAR(*lobe.checks[2].duration, 219.5 * degree, 1e-8);
  EXPECT_NEAR(*lobe.checks[2].centreline, 108.75 * degree, 1e-8);
  EXPECT_NEAR(*lobe.asymmetry, 0.75 * degree, 1e-8);
  EXPECT_NEAR(*lobe.checks[4].duration, 131.5 * degree, 1e-8);
}

// Against plain means: fine scan of the same curve, quadrature by Gauss-Kronrod, slopes by differences.
TEST(Reduction, FeaturesAgreeWithADenseScan) {
  const LobeReduction lobe = reduce_lobe(truth());
  const auto& check = lobe.checks[3];
  EXPECT_NEAR(truth().value(check.opening->angle), 0.100 * inch, 1e-12);
  const double h = 1e-5;
  EXPECT_NEAR(check.closing->slope,
              (truth().value(check.closing->angle + h) - truth().value(check.closing->angle - h)) / (2 * h),
              1e-9);
  const auto above = [&](double x) { return truth().value(x) - 0.100 * inch; };
  const double area = boost::math::quadrature::gauss_kronrod<double, 61>::integrate(
      above, check.opening->angle, check.closing->angle, 12, 1e-12);
  EXPECT_NEAR(*check.area, area, 1e-10);
  double velocity = 0.0;
  double closing = 0.0;
  double flank = 0.0;
  double nose = 0.0;
  for (double x = -1.0; x < 5.0; x += 1e-4) {
    velocity = std::max(velocity, truth().derivative(x, 1));
    closing = std::min(closing, truth().derivative(x, 1));
    flank = std::max(flank, truth().derivative(x, 2));
    nose = std::min(nose, truth().derivative(x, 2));
  }
  EXPECT_NEAR(lobe.opening_velocity / velocity, 1.0, 1e-4);
  EXPECT_NEAR(lobe.closing_velocity / closing, 1.0, 1e-4);
  EXPECT_NEAR(lobe.flank_acceleration / flank, 1.0, 1e-3);
  EXPECT_NEAR(lobe.nose_acceleration / nose, 1.0, 1e-3);
  for (const DropResult& drop : lobe.drops) {
    EXPECT_NEAR(truth().value(drop.before->angle), 0.300 * inch - drop.drop, 1e-11);
    EXPECT_NEAR(truth().value(drop.after->angle), 0.300 * inch - drop.drop, 1e-11);
    EXPECT_NEAR(*drop.centreline, 0.5 * (drop.before->angle + drop.after->angle), 1e-12);
  }
}

RC_GTEST_PROP(Reduction, PhaseShiftMovesEveryEventByIt, ()) {
  const double by = *rc::gen::inRange(-20000, 20000) / 10.0 * degree;
  const LobeReduction here = reduce_lobe(truth());
  const LobeReduction there = reduce_lobe(shifted(truth(), by));
  RC_ASSERT(there.found);
  RC_ASSERT(there.top >= -full_turn && there.top < full_turn);
  const double turned = there.top - here.top;
  RC_ASSERT(std::abs(wrap_centred(turned - by, full_cycle)) < 1e-9);
  for (std::size_t i = 0; i < here.checks.size(); ++i) {
    RC_ASSERT(std::abs(there.checks[i].opening->angle - here.checks[i].opening->angle - turned) < 1e-9);
    RC_ASSERT(std::abs(there.checks[i].closing->angle - here.checks[i].closing->angle - turned) < 1e-9);
  }
}

TEST(Reduction, MirrorSwapsOpeningAndClosing) {
  const LobeReduction one = reduce_lobe(truth());
  const LobeReduction other = reduce_lobe(mirrored(truth()));
  ASSERT_TRUE(other.found);
  EXPECT_NEAR(other.top, -one.top, 1e-9);
  EXPECT_NEAR(*other.asymmetry, -*one.asymmetry, 1e-9);
  for (std::size_t i = 0; i < one.checks.size(); ++i) {
    EXPECT_NEAR(other.checks[i].opening->angle, -one.checks[i].closing->angle, 1e-9);
    EXPECT_NEAR(other.checks[i].opening->slope, -one.checks[i].closing->slope, 1e-9);
  }
  EXPECT_NEAR(other.opening_velocity, -one.closing_velocity, 1e-6);
}

RC_GTEST_PROP(Reduction, ScalingTheLiftScalesLiftsAndKeepsAngles, ()) {
  const double factor = *rc::gen::inRange(50, 300) / 100.0;
  ReductionOptions options;
  ReductionOptions scaled = options;
  for (double& lift : scaled.check_lifts) {
    lift *= factor;
  }
  for (double& drop : scaled.drops) {
    drop *= factor;
  }
  scaled.asymmetry_lift *= factor;
  const LobeReduction one = reduce_lobe(truth(), options);
  const LobeReduction two = reduce_lobe(truth().with_coefficients(factor * truth().coefficients()), scaled);
  RC_ASSERT(std::abs(two.max_lift - factor * one.max_lift) < 1e-12);
  RC_ASSERT(std::abs(two.nose_acceleration - factor * one.nose_acceleration) < 1e-9);
  for (std::size_t i = 0; i < one.checks.size(); ++i) {
    RC_ASSERT(std::abs(*two.checks[i].duration - *one.checks[i].duration) < 1e-9);
    RC_ASSERT(std::abs(*two.checks[i].area - factor * *one.checks[i].area) < 1e-10);
  }
}

TEST(Reduction, LiftsCountFromTheBaseCircleNotFromTheIndicatorsZero) {
  const LobeReduction raised =
      reduce_lobe(truth().with_coefficients(truth().coefficients().array() + 0.7 * millimetre));
  EXPECT_NEAR(raised.base_level, 0.7 * millimetre, 1e-12);
  EXPECT_NEAR(raised.max_lift, 0.300 * inch, 1e-10);
  EXPECT_NEAR(*raised.checks[2].duration, 219.5 * degree, 1e-8);
}

TEST(Reduction, RunOutOfTheBaseCircleIsMeasured) {
  // One thousandth of an inch of eccentricity: half its range either side, all round; once per cam turn.
  const PeriodicSpline& lobe = truth();
  Eigen::VectorXd wobbling = lobe.coefficients();
  for (Eigen::Index i = 0; i < wobbling.size(); ++i) {
    const double x = lobe.origin() + lobe.knot_spacing() * static_cast<double>(i);
    wobbling[i] += 0.5e-3 * inch * std::cos(0.5 * (x - lobe.origin()));
  }
  const LobeReduction result = reduce_lobe(lobe.with_coefficients(wobbling));
  // Base arc of about ±165 crank degrees from its middle: cos from −1 to cos(82) of it.
  EXPECT_GT(*result.base_runout, 0.3e-3 * inch);
  EXPECT_LT(*result.base_runout, 0.6e-3 * inch);
}

TEST(Reduction, ChecksThatTheLobeNeverReachesAreAbsent) {
  ReductionOptions options;
  options.check_lifts = {0.050 * inch, 0.350 * inch};
  options.drops = {0.020 * inch, 0.400 * inch};
  const LobeReduction lobe = reduce_lobe(truth(), options);
  EXPECT_TRUE(lobe.checks[0].duration);
  EXPECT_FALSE(lobe.checks[1].opening || lobe.checks[1].closing || lobe.checks[1].duration ||
               lobe.checks[1].area);
  EXPECT_FALSE(lobe.drops[1].before || lobe.drops[1].centreline);
}

TEST(Reduction, OneTurnOfATwoTurnCycleIsEnough) {
  ReductionOptions options;
  options.covered = {{-60 * degree, 300 * degree}};
  const LobeReduction lobe = reduce_lobe(truth(), options);
  ASSERT_TRUE(lobe.found);
  EXPECT_TRUE(lobe.base_measured);
  EXPECT_NEAR(*lobe.checks[2].duration, 219.5 * degree, 1e-6);
  options.covered = {{-15 * degree, 250 * degree}};  // neither the base circle nor the 0.006 in opening
  const LobeReduction partial = reduce_lobe(truth(), options);
  ASSERT_TRUE(partial.found);
  EXPECT_FALSE(partial.base_measured);
  EXPECT_THAT(partial.summary, testing::HasSubstr("zero"));
  EXPECT_EQ(partial.base_level, 0.0);
  EXPECT_FALSE(partial.checks[0].opening);
  EXPECT_TRUE(partial.checks[0].closing);
  EXPECT_FALSE(partial.checks[0].duration);
  EXPECT_NEAR(*partial.checks[2].duration, 219.5 * degree, 1e-6);
}

TEST(Reduction, AnArcGivenAcrossTheCyclesEndIsTheSameArc) {
  ReductionOptions one;
  one.covered = {{-60 * degree, 300 * degree}};
  ReductionOptions other;
  other.covered = {{660 * degree, 1020 * degree}};
  EXPECT_NEAR(*reduce_lobe(truth(), one).checks[0].duration, *reduce_lobe(truth(), other).checks[0].duration,
              1e-12);
  EXPECT_NEAR(reduce_lobe(truth(), one).base_level, reduce_lobe(truth(), other).base_level, 1e-15);
}

TEST(Reduction, WhatIsNoLobeIsSaidToBeNone) {
  const PeriodicSpline flat = truth().with_coefficients(Eigen::VectorXd::Zero(truth().coefficients().size()));
  EXPECT_FALSE(reduce_lobe(flat).found);
  EXPECT_THAT(reduce_lobe(flat).summary, testing::HasSubstr("no lobe"));
  ReductionOptions flank;
  flank.covered = {{-60 * degree, 60 * degree}};
  const LobeReduction rising = reduce_lobe(truth(), flank);
  EXPECT_FALSE(rising.found);
  EXPECT_FALSE(rising.summary.empty());
  ReductionOptions bad;
  bad.check_lifts = {-1.0};
  EXPECT_THROW(reduce_lobe(truth(), bad), std::invalid_argument);
  bad = {};
  bad.covered = {{1.0, 1.0}};
  EXPECT_THROW(reduce_lobe(truth(), bad), std::invalid_argument);
}

// The event convention's own arithmetic: an invented card, 108 centreline on 110 separation.
TEST(CardNumbers, FollowFromTheFourEvents) {
  const CardNumbers card_of = card_numbers(
      {-1 * degree, 217 * degree, -221 * degree, -3 * degree});  // 1 BTDC, 37 ABDC, 41 BBDC, 3 BTDC
  EXPECT_NEAR(card_of.intake_duration / degree, 218, 1e-10);
  EXPECT_NEAR(card_of.exhaust_duration / degree, 218, 1e-10);
  EXPECT_NEAR(card_of.intake_centreline / degree, 108, 1e-10);
  EXPECT_NEAR(card_of.exhaust_centreline / degree, 112, 1e-10);
  EXPECT_NEAR(card_of.lobe_separation / degree, 110, 1e-10);
  EXPECT_NEAR(card_of.advance / degree, 2, 1e-10);
  EXPECT_NEAR(card_of.overlap / degree, -2, 1e-10);
}

RC_GTEST_PROP(CardNumbers, AdvanceMovesTheCentrelinesApartAndKeepsTheRest, ()) {
  const auto any = [](int low, int high) { return *rc::gen::inRange(low, high) * degree; };
  const double separation = any(95, 120);
  const double advance = any(-10, 10);
  const double intake = any(200, 300);
  const double exhaust = any(200, 300);
  const CardNumbers card_of = card_numbers(events_from_numbers(separation, advance, intake, exhaust));
  RC_ASSERT(std::abs(card_of.lobe_separation - separation) < 1e-12);
  RC_ASSERT(std::abs(card_of.advance - advance) < 1e-12);
  RC_ASSERT(std::abs(card_of.intake_centreline - (separation - advance)) < 1e-12);
  RC_ASSERT(std::abs(card_of.overlap - (0.5 * (intake + exhaust) - 2 * separation)) < 1e-12);
}

TEST(ShortForms, CentrelineAndDurationAcrossTheWheelsZero) {
  EXPECT_NEAR(centreline_between(71.5 * degree, 143.5 * degree, full_turn) / degree, 107.5, 1e-10);
  EXPECT_NEAR(centreline_between(350 * degree, 20 * degree, full_turn) / degree, 5, 1e-9);
  EXPECT_NEAR(duration_between(346 * degree, 226 * degree, full_turn) / degree, 240, 1e-9);
  EXPECT_NEAR(duration_between(-14 * degree, 226 * degree) / degree, 240, 1e-9);
}

}  // namespace
}  // namespace fettle::mechanism::test
