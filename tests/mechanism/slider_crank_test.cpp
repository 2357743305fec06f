#include "mechanism/slider_crank.h"

#include <cmath>
#include <limits>

#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/circular.h"
#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

// The textbook height, evaluated in long double: an oracle that shares no formula with the depth under test.
long double oracle_height(const CrankGeometry& g, long double throw_angle) {
  const long double r = g.crank_throw;
  const long double l = g.rod_length;
  const long double lateral = r * std::sin(throw_angle) - static_cast<long double>(g.pin_offset);
  return r * std::cos(throw_angle) + std::sqrt(l * l - lateral * lateral);
}

CrankGeometry inch_crank(double offset = 0.0) {
  return {1.74 * inch, 5.7 * inch, offset * inch};
}

CrankGeometry any_geometry() {
  const double crank_throw = *rc::gen::inRange(20, 80) * millimetre;
  const double ratio = 1.0 + *rc::gen::inRange(30, 400) / 100.0;
  const double offset = *rc::gen::inRange(-100, 101) / 100.0 * 0.2 * crank_throw;
  return {crank_throw, crank_throw * ratio, offset};
}

// Heywood, Internal Combustion Engine Fundamentals, ch. 2, the crank and rod formula; values recomputed from
// it.
TEST(SliderCrank, DepthFollowsHeywood) {
  const SliderCrank crank({43 * millimetre, 148.6 * millimetre, 0.0});
  const double expected[][2] = {
      {10, 0.840983}, {20, 3.322774}, {30, 7.324484}, {60, 26.241702}, {90, 49.357390}};
  for (const auto& [angle, depth] : expected) {
    EXPECT_NEAR(crank.depth(angle * degree) / millimetre, depth, 5e-7);
    EXPECT_NEAR(crank.depth(-angle * degree) / millimetre, depth, 5e-7);
  }
  const SliderCrank inches(inch_crank());
  const double travel[][2] = {{30, 0.299902}, {60, 1.072792}, {90, 2.012072}, {120, 2.812792}};
  for (const auto& [angle, depth] : travel) {
    EXPECT_NEAR(inches.depth(angle * degree) / inch, depth, 5e-7);
  }
}

// Heywood, eq. 2.11 (piston speed over mean piston speed) and its derivative; values recomputed.
TEST(SliderCrank, SpeedAndAccelerationFollowHeywood) {
  const SliderCrank crank(inch_crank());
  const double mean = crank.stroke() / std::numbers::pi;  // m/rad
  const double expected[][3] = {{30, 0.995492, 1.025992},
                                {60, 1.575641, 0.347684},
                                {90, 1.570796, -0.320564},
                                {120, 1.145058, -0.652316}};
  for (const auto& [angle, speed, acceleration] : expected) {
    EXPECT_NEAR(crank.velocity(angle * degree) / mean, speed, 5e-7);
    EXPECT_NEAR(crank.acceleration(angle * degree) / (1.74 * inch), acceleration, 5e-7);
  }
  EXPECT_NEAR(crank.peak_speed_down().after_tdc / degree, 74.309, 5e-4);
  EXPECT_NEAR(crank.peak_speed_down().speed / mean, 1.642877, 5e-7);
  EXPECT_NEAR(crank.peak_speed_up().after_tdc / degree, -74.309, 5e-4);
}

// Recomputed from the plane geometry: dead centres where throw and rod are in line.
TEST(SliderCrank, OffsetDisplacesTheDeadCentresAndLengthensTheStroke) {
  const SliderCrank crank(inch_crank(0.060));
  EXPECT_NEAR(crank.stroke() / inch, 3.4802126, 5e-8);
  EXPECT_NEAR(crank.tdc_throw_angle() / degree, 0.46207, 5e-6);
  EXPECT_NEAR(crank.bdc_throw_angle() / degree - 180.0, 0.86815, 5e-6);
  const SliderCrank metric({43 * millimetre, 148.6 * millimetre, 1.5 * millimetre});
  EXPECT_NEAR(metric.tdc_throw_angle() / degree, 0.4486, 5e-5);
}

TEST(SliderCrank, StopsFiveMillimetresDownStraddleTheirOwnMidpoint) {
  const SliderCrank crank({43 * millimetre, 148.6 * millimetre, 1.5 * millimetre});
  const auto crossing = crank.angles_at_depth(5 * millimetre);
  ASSERT_TRUE(crossing);
  const double midpoint = crank.tdc_throw_angle() + 0.5 * (crossing->before + crossing->after);
  EXPECT_NEAR(midpoint / degree, 0.4606, 5e-5);
  const double span = crossing->after - crossing->before;
  EXPECT_NEAR((crank.tdc_throw_angle() + crank.stop_midpoint_offset(span)) / degree, 0.4606, 5e-5);
}

// Recomputed: the crank angle in all over which the piston is within a thousandth, five, ten of TDC.
TEST(SliderCrank, DwellAtTheTop) {
  const SliderCrank crank(inch_crank());
  EXPECT_NEAR(*crank.dwell(0.001 * inch) / degree, 3.40, 5e-3);
  EXPECT_NEAR(*crank.dwell(0.005 * inch) / degree, 7.61, 5e-3);
  EXPECT_NEAR(*crank.dwell(0.010 * inch) / degree, 10.76, 5e-3);
}

TEST(SliderCrank, ImpossibleGeometryIsRefusedWithItsReason) {
  EXPECT_THROW(SliderCrank({0.0, 0.1, 0.0}), std::invalid_argument);
  EXPECT_THROW(SliderCrank({0.05, 0.05, 0.0}), std::invalid_argument);
  EXPECT_THROW(SliderCrank({0.05, 0.06, -0.011}), std::invalid_argument);
  EXPECT_THROW(SliderCrank({0.05, std::numeric_limits<double>::quiet_NaN(), 0.0}), std::invalid_argument);
  EXPECT_THAT(*geometry_problem({0.05, 0.06, 0.02}), testing::HasSubstr("too short"));
  EXPECT_FALSE(geometry_problem({0.05, 0.06, 0.009}));
}

TEST(SliderCrank, DepthsOutsideTheStrokeHaveNoAngle) {
  const SliderCrank crank(inch_crank());
  EXPECT_FALSE(crank.angles_at_depth(-1e-9));
  EXPECT_FALSE(crank.angles_at_depth(crank.stroke() * 1.001));
  EXPECT_FALSE(crank.dwell(std::numeric_limits<double>::quiet_NaN()));
  EXPECT_NEAR(crank.angles_at_depth(crank.stroke())->after, std::numbers::pi, 1e-7);
  EXPECT_THROW(static_cast<void>(crank.stop_midpoint_offset(-0.1)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(crank.stop_midpoint_offset(7.0)), std::invalid_argument);
}

TEST(SliderCrank, DepthKeepsItsDigitsCloseToTdc) {
  const SliderCrank crank(inch_crank(0.060));
  // s = ½ s''(0) φ² + O(φ³): the ratio keeps nine digits where a difference of heights has none left.
  const double angle = 1e-7;
  const double expected = 0.5 * crank.acceleration(0.0) * angle * angle;
  EXPECT_NEAR(crank.depth(angle) / expected, 1.0, 1e-6);
  EXPECT_NEAR(crank.angles_at_depth(expected)->after / angle, 1.0, 1e-6);
}

RC_GTEST_PROP(SliderCrank, DepthIsTheFallOfTheTextbookHeight, ()) {
  const CrankGeometry geometry = any_geometry();
  const SliderCrank crank(geometry);
  const double angle = *rc::gen::inRange(-7200, 7200) / 10.0 * degree;
  const long double fall = oracle_height(geometry, static_cast<long double>(crank.tdc_throw_angle())) -
                           oracle_height(geometry, static_cast<long double>(crank.tdc_throw_angle() + angle));
  RC_ASSERT(std::abs(crank.depth(angle) - static_cast<double>(fall)) < 1e-15 + 1e-13 * crank.stroke());
  RC_ASSERT(std::abs(crank.height(angle) - static_cast<double>(oracle_height(geometry, angle))) < 1e-15);
}

RC_GTEST_PROP(SliderCrank, DerivativesAgreeWithDifferencesOfTheTextbookHeight, ()) {
  const CrankGeometry geometry = any_geometry();
  const SliderCrank crank(geometry);
  const double angle = *rc::gen::inRange(-1800, 1800) / 10.0 * degree;
  const long double at = static_cast<long double>(crank.tdc_throw_angle() + angle);
  const long double h = 1e-4L;
  const auto y = [&](long double step) { return oracle_height(geometry, at + step); };
  const long double first = (-y(2 * h) + 8 * y(h) - 8 * y(-h) + y(-2 * h)) / (12 * h);
  const long double second = (-y(2 * h) + 16 * y(h) - 30 * y(0) + 16 * y(-h) - y(-2 * h)) / (12 * h * h);
  const double scale = geometry.crank_throw * 1e-8;
  RC_ASSERT(std::abs(crank.velocity(angle) + static_cast<double>(first)) < scale);
  RC_ASSERT(std::abs(crank.acceleration(angle) + static_cast<double>(second)) < scale);
}

RC_GTEST_PROP(SliderCrank, TrueTdcIsTheHighestAndBdcTheLowestPoint, ()) {
  const CrankGeometry geometry = any_geometry();
  const SliderCrank crank(geometry);
  const auto down = [&](double angle) { return -crank.height(angle); };
  const auto top = boost::math::tools::brent_find_minima(down, -0.5, 0.5, 52);
  RC_ASSERT(std::abs(top.first - crank.tdc_throw_angle()) < 2e-7);
  const auto height = [&](double angle) { return crank.height(angle); };
  const auto bottom = boost::math::tools::brent_find_minima(height, 2.0, 4.3, 52);
  RC_ASSERT(std::abs(bottom.first - crank.bdc_throw_angle()) < 2e-7);
  RC_ASSERT(std::abs(-top.second - bottom.second - crank.stroke()) < 1e-15);
}

RC_GTEST_PROP(SliderCrank, AngleFromDepthInvertsDepthOnBothSides, ()) {
  const SliderCrank crank(any_geometry());
  const double depth = crank.stroke() * *rc::gen::inRange(1, 1000) / 1000.0;
  const auto crossing = crank.angles_at_depth(depth);
  RC_ASSERT(crossing.has_value());
  RC_ASSERT(crossing->before < 0.0 && crossing->after > 0.0 && crossing->after <= crank.bdc_after_tdc());
  RC_ASSERT(std::abs(crank.depth(crossing->before) - depth) < 1e-12 * crank.stroke());
  RC_ASSERT(std::abs(crank.depth(crossing->after) - depth) < 1e-12 * crank.stroke());
}

// Independent of the closed form: the midpoint is sought by bracketing equal heights.
RC_GTEST_PROP(SliderCrank, StopMidpointAgreesWithRootFinding, ()) {
  const SliderCrank crank(any_geometry());
  const double span = *rc::gen::inRange(1, 3500) / 10.0 * degree;
  const auto difference = [&](double midpoint) {
    const double tdc = crank.tdc_throw_angle();
    return crank.height(tdc + midpoint - 0.5 * span) - crank.height(tdc + midpoint + 0.5 * span);
  };
  std::uintmax_t iterations = 200;
  const auto [low, high] = boost::math::tools::toms748_solve(
      difference, -0.5 * span, 0.5 * span, boost::math::tools::eps_tolerance<double>(50), iterations);
  RC_ASSERT(std::abs(crank.stop_midpoint_offset(span) - 0.5 * (low + high)) < 1e-9);
  const double depth = crank.depth(crank.stop_midpoint_offset(span) + 0.5 * span);
  RC_ASSERT(std::abs(crank.depth_from_span(span) - depth) < 1e-12 * crank.stroke());
}

RC_GTEST_PROP(SliderCrank, ReversedOffsetMirrorsTheMotion, ()) {
  CrankGeometry geometry = any_geometry();
  const SliderCrank crank(geometry);
  geometry.pin_offset = -geometry.pin_offset;
  const SliderCrank mirrored(geometry);
  const double angle = *rc::gen::inRange(-1800, 1800) / 10.0 * degree;
  const PistonMotion one = crank.motion(angle);
  const PistonMotion other = mirrored.motion(-angle);
  RC_ASSERT(std::abs(one.depth - other.depth) < 1e-15);
  RC_ASSERT(std::abs(one.velocity + other.velocity) < 1e-15);
  RC_ASSERT(std::abs(one.acceleration - other.acceleration) < 1e-14);
  RC_ASSERT(std::abs(crank.rod_angle(angle) + mirrored.rod_angle(-angle)) < 1e-15);
}

}  // namespace
}  // namespace fettle::mechanism::test
