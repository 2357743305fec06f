#include "mechanism/valve_clearance.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/lobe_card.h"
#include "mechanism/units.h"
#include "mechanism/valve_room.h"

namespace fettle::mechanism::test {
namespace {

SliderCrank crank() {
  return SliderCrank({1.74 * inch, 5.7 * inch, 0.0});
}

// A lobe of a made card: 0.300 in at the tappet, 226 degrees at 0.050 in.
metrology::PeriodicSpline lobe_curve(double centreline) {
  return *synthesise_lobe(
              symmetric_card(
                  0.300 * inch, centreline * degree,
                  {{0.006 * inch, 276 * degree}, {0.050 * inch, 226 * degree}, {0.200 * inch, 138 * degree}}))
              .curve;
}

ValveMotion motion(double centreline, double ratio = 1.5, double lash = 0.0) {
  return {[curve = lobe_curve(centreline)](double x) { return curve.value(x); }, ratio, lash, 0.0};
}

ValveDrop one_drop(double drop, double valve_angle) {
  const ValveDropReading reading{0.0, drop};
  return {crank(), approach_factor(valve_angle, valve_angle), std::span(&reading, 1)};
}

// Brute force: the formula of the clearance on a fine grid, with the textbook's piston height.
std::pair<double, double> brute(const ValveMotion& m, double drop0, double cosine, double advance) {
  double least = HUGE_VAL;
  double at = 0.0;
  const double r = 1.74 * inch;
  const double l = 5.7 * inch;
  for (int i = -60000; i <= 60000; ++i) {
    const double x = i * 0.001 * degree;
    const double s = r + l - r * std::cos(x) - std::sqrt(l * l - std::pow(r * std::sin(x), 2));
    const double lift = std::max(0.0, m.ratio * m.lobe(x + advance) - m.lash);
    const double clearance = drop0 + s * cosine - lift;
    if (clearance < least) {
      least = clearance;
      at = x;
    }
  }
  return {least, at};
}

TEST(ValveClearance, LeastAgreesWithAFineGrid) {
  const double tilt = 23.0 * degree;
  for (const double centreline : {104.0, 108.0, 112.0, -108.0, -114.0}) {
    const ValveMotion m = motion(centreline, 1.6, 0.010 * inch);
    const LeastClearance found = least_clearance(one_drop(0.28 * inch, tilt), m);
    const auto [least, at] = brute(m, 0.28 * inch, std::cos(tilt), 0.0);
    EXPECT_NEAR(found.clearance, least, 1e-9);
    EXPECT_LE(found.clearance, least + 1e-15);
    EXPECT_NEAR(found.crank_angle / degree, at / degree, 0.02);
    EXPECT_FALSE(found.at_edge);
    // Common practice, no source: closest 5 to 20 degrees either side of overlap TDC.
    EXPECT_GT(std::abs(found.crank_angle), 4.0 * degree);
    EXPECT_LT(std::abs(found.crank_angle), 20.0 * degree);
    EXPECT_EQ(found.crank_angle > 0.0, centreline > 0.0);
  }
}

TEST(ValveClearance, SensitivityToTheCamIsTheDifferenceOfTwoSearches) {
  const ValveDrop drop = one_drop(0.28 * inch, 0.4);
  for (const double centreline : {108.0, -110.0}) {
    ValveMotion m = motion(centreline);
    const double expected = [&] {
      const double h = 0.02 * degree;
      m.advance = h;
      const double ahead = least_clearance(drop, m).clearance;
      m.advance = -h;
      return (ahead - least_clearance(drop, m).clearance) / (2.0 * h);
    }();
    m.advance = 0.0;
    const LeastClearance least = least_clearance(drop, m);
    EXPECT_NEAR(least.per_advance / expected, 1.0, 1e-4);
    // Computed for common lobes: 0.004 to 0.006 in per crank degree.
    EXPECT_GT(std::abs(least.per_advance) / inch * degree, 0.003);
    EXPECT_LT(std::abs(least.per_advance) / inch * degree, 0.007);
    EXPECT_EQ(least.per_advance<0.0, centreline> 0.0);  // advance brings the intake nearer
  }
}

TEST(ValveClearance, WindowEndsAreWhereAFineGridReachesTheLimit) {
  const double tilt = 20.0 * degree;
  const ValveDrop drop = one_drop(0.28 * inch, tilt);
  const ValveMotion intake = motion(108.0);
  const double limit = least_clearance(drop, intake).clearance - 0.020 * inch;
  const auto window = cam_window(drop, intake, limit, 20.0 * degree);
  ASSERT_TRUE(window && window->holds_now && window->most_advance);
  EXPECT_FALSE(window->most_retard);
  EXPECT_GT(*window->most_advance, 0.0);
  EXPECT_NEAR(brute(intake, 0.28 * inch, std::cos(tilt), *window->most_advance).first, limit, 1e-8);
  const double step = 0.001 * degree;
  EXPECT_LT(brute(intake, 0.28 * inch, std::cos(tilt), *window->most_advance + step).first, limit);
  EXPECT_GT(brute(intake, 0.28 * inch, std::cos(tilt), *window->most_advance - step).first, limit);

  const ValveMotion exhaust = motion(-110.0);
  const double tighter = least_clearance(drop, exhaust).clearance + 0.015 * inch;
  const auto other = cam_window(drop, exhaust, tighter, 20.0 * degree);
  ASSERT_TRUE(other && other->most_retard);
  EXPECT_FALSE(other->holds_now);
  EXPECT_GT(*other->most_retard, 0.0);
  EXPECT_FALSE(other->most_advance);
  EXPECT_NEAR(brute(exhaust, 0.28 * inch, std::cos(tilt), *other->most_retard).first, tighter, 1e-8);
  const auto common = both(*window, *other);
  EXPECT_EQ(common.has_value(), *other->most_retard <= *window->most_advance);
  EXPECT_FALSE(both({{}, -0.1, true}, {0.1, {}, true}));
  EXPECT_FALSE(cam_window(drop, intake, 1.0, 5.0 * degree));
}

// A map made from a known drop with a known tilt of the residual is given back.
TEST(ValveClearance, AMapOfDropsGivesItsResidualLine) {
  const double tilt = 15.0 * degree;
  std::vector<ValveDropReading> map;
  for (int i = -20; i <= 20; i += 5) {
    const double x = i * degree;
    map.push_back({x, 0.25 * inch + std::cos(tilt) * crank().depth(x) + 0.01 * inch * x});
  }
  const ValveDrop line(crank(), std::cos(tilt), map, DropShape::line);
  const ValveDrop constant(crank(), std::cos(tilt), map);
  EXPECT_NEAR(line.at(7.0 * degree),
              0.25 * inch + std::cos(tilt) * crank().depth(7.0 * degree) + 0.01 * inch * 7.0 * degree, 1e-15);
  EXPECT_NEAR(constant.at(0.0), 0.25 * inch, 1e-15);
  EXPECT_NEAR(constant.residuals().back(), 0.01 * inch * 20.0 * degree, 1e-15);
  EXPECT_TRUE(line.mapped(0.3));
  EXPECT_FALSE(line.mapped(0.5));
}

TEST(ValveClearance, AnEdgeOfTheSearchIsSaid) {
  const LeastClearance least = least_clearance(one_drop(0.28 * inch, 0.0), motion(108.0), {0.2618, 1.0});
  EXPECT_TRUE(least.at_edge);
  EXPECT_NEAR(least.crank_angle, 0.2618, 1e-12);
  EXPECT_FALSE(least.mapped);
}

// Plane geometry with points: the plane of the surface sinks by s along the bore; how far the head's nearest
// point must go along the valve to meet it.
TEST(ValveClearance, ApproachFollowsFromPlanesAndLines) {
  for (const double beta : {0.0, 0.2, 0.4}) {
    for (const double nu : {0.0, 0.1, 0.4}) {
      const double s = 0.003;
      // Bore along −y. Surface through (0, −s) with normal (sin ν, cos ν); valve direction (−sin β, −cos β).
      const double gap = (std::cos(nu) * s) / (std::sin(beta) * std::sin(nu) + std::cos(beta) * std::cos(nu));
      EXPECT_NEAR(approach_factor(beta, nu) * s, gap, 1e-15);
    }
  }
  EXPECT_THROW(static_cast<void>(approach_factor(1.5, 0.0)), std::invalid_argument);
}

TEST(ValveClearance, WhatGivesNoClearanceIsRefused) {
  const ValveDropReading bad{0.0, std::nan("")};
  EXPECT_THROW(ValveDrop(crank(), 1.0, std::span(&bad, 1)), std::invalid_argument);
  const ValveDropReading good{0.0, 0.005};
  EXPECT_THROW(ValveDrop(crank(), 1.0, std::span(&good, 1), DropShape::line), std::invalid_argument);
  EXPECT_THROW(ValveDrop(crank(), 0.0, std::span(&good, 1)), std::invalid_argument);
  EXPECT_THROW(ValveDrop(crank(), 1.0, {}), std::invalid_argument);
  const ValveDrop drop = one_drop(0.005, 0.0);
  EXPECT_THROW(static_cast<void>(least_clearance(drop, ValveMotion{})), std::invalid_argument);
  ValveMotion broken{[](double) { return std::nan(""); }, 1.0, 0.0, 0.0};
  EXPECT_THROW(static_cast<void>(least_clearance(drop, broken)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(least_clearance(drop, motion(108.0), {1.0, -1.0})), std::invalid_argument);
}

// Points of both discs against one another, many of each.
TEST(ValveRoom, HeadsAreAsFarApartAsTheirNearestPoints) {
  const ValveHead intake{{-18e-3, 0.0}, {0.3, -1.0}, 17e-3};
  const ValveHead exhaust{{18e-3, 1e-3}, {-0.25, -1.0}, 14.5e-3};
  for (const auto& [a, b] : {std::pair{0.0, 0.0}, {2e-3, 1.5e-3}, {4e-3, 1e-3}, {1e-3, 6e-3}}) {
    double least = HUGE_VAL;
    const Planar ia = unit(intake.opening_axis);
    const Planar ib = unit(exhaust.opening_axis);
    for (int i = -500; i <= 500; ++i) {
      for (int j = -500; j <= 500; ++j) {
        const Planar p = intake.centre + a * ia + (i / 500.0 * intake.radius) * Planar{-ia.y, ia.x};
        const Planar q = exhaust.centre + b * ib + (j / 500.0 * exhaust.radius) * Planar{-ib.y, ib.x};
        least = std::min(least, length(p - q));
      }
    }
    EXPECT_NEAR(head_distance(intake, a, exhaust, b), least, 5e-6);
    EXPECT_LE(head_distance(intake, a, exhaust, b), least + 1e-12);
  }
  EXPECT_EQ(head_distance(intake, 20e-3, exhaust, 20e-3), 0.0);
}

TEST(ValveRoom, LeastHeadDistanceAgreesWithAFineGrid) {
  const ValveHead intake{{-18e-3, 0.0}, {0.3, -1.0}, 17e-3};
  const ValveHead exhaust{{18e-3, 0.0}, {-0.3, -1.0}, 15e-3};
  const ValveMotion in = motion(106.0, 1.0);
  const ValveMotion ex = motion(-110.0, 1.0);
  double least = HUGE_VAL;
  for (int i = -6000; i <= 6000; ++i) {
    const double x = i * 0.01 * degree;
    least = std::min(least, head_distance(intake, valve_lift(in, x), exhaust, valve_lift(ex, x)));
  }
  const auto found = least_head_distance(intake, in, exhaust, ex);
  EXPECT_NEAR(found.distance, least, 1e-6);
  EXPECT_GT(found.distance, 0.0);
  EXPECT_LE(found.distance, least + 1e-12);
}

// Arithmetic: 2 mm in all at TDC; 10 mm down at asin 0.2 the notch has wandered 2 mm.
TEST(ValveRoom, RadialClearanceWandersWithThePiston) {
  const ValveNotch notch{20e-3, 22e-3, std::asin(0.2), {0.0, 0.0}};
  EXPECT_NEAR(radial_clearance(notch, 0.0), 2e-3, 1e-15);
  EXPECT_NEAR(radial_clearance(notch, 10e-3), 0.0, 1e-15);
  ValveNotch aside = notch;
  aside.offset = {0.0, 1.5e-3};
  EXPECT_NEAR(radial_clearance(aside, 10e-3), 2e-3 - 2.5e-3, 1e-15);
  aside.notch_radius = 0.0;
  EXPECT_THROW(static_cast<void>(radial_clearance(aside, 0.0)), std::invalid_argument);
}

// Heywood's acceleration at TDC r ω² (1 + r/l), F = m a, Hooke; recomputed in the test.
TEST(ValveRoom, RodStretchIsHookesLawUnderInertia) {
  RunningParts parts{
      6500.0 * 2.0 * std::numbers::pi / 60.0, 0.75, 0.3, 2.5e-4, 207e9, 60e-6, 80e-6, 40e-3, 30e-3};
  const RunningAllowance allowance = running_allowance(crank(), parts);
  const double r = 1.74 * inch;
  const double force = 0.9 * r * std::pow(parts.crank_speed, 2) * (1.0 + 1.74 / 5.7);
  EXPECT_NEAR(allowance.inertia_force / force, 1.0, 1e-12);
  EXPECT_NEAR(allowance.rod_stretch, force * 5.7 * inch / (207e9 * 2.5e-4), 1e-12);
  EXPECT_NEAR(allowance.rock, 60e-6, 1e-15);
  EXPECT_NEAR(allowance.total, allowance.rod_stretch + 120e-6, 1e-15);
  // An even bar that pulls itself along stretches as if half its mass hung on its end: sum of 1000 slices.
  double slices = 0.0;
  for (int i = 0; i < 1000; ++i) {
    const double beyond = 0.3 * (1.0 - (i + 0.5) / 1000.0);
    slices += (0.75 + beyond) / 1000.0;
  }
  EXPECT_NEAR(slices, 0.9, 1e-9);
  parts.rod_area = 0.0;
  EXPECT_THROW(static_cast<void>(running_allowance(crank(), parts)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
