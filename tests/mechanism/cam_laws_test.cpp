#include "mechanism/cam_laws.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

constexpr RiseLaw all_laws[] = {RiseLaw::cycloidal,       RiseLaw::polynomial_345,
                                RiseLaw::polynomial_4567, RiseLaw::modified_trapezoid,
                                RiseLaw::modified_sine,   RiseLaw::simple_harmonic};

struct Peaks {
  double v = 0.0;
  double a = 0.0;
  double j = 0.0;
};

Peaks scan(RiseLaw law) {
  Peaks peaks;
  for (int i = 0; i <= 100000; ++i) {
    const RiseState state = rise(law, i / 100000.0);
    peaks.v = std::max(peaks.v, std::abs(state.v));
    peaks.a = std::max(peaks.a, std::abs(state.a));
    peaks.j = std::max(peaks.j, std::abs(state.j));
  }
  return peaks;
}

// Norton, Cam Design and Manufacturing Handbook, peak factors of double-dwell functions (table from memory);
// exact values recomputed.
TEST(RiseLaws, PeaksAreNortonsFactors) {
  struct Row {
    RiseLaw law;
    double v, a, j;
    double v_unit, a_unit, j_unit;  // half of the last printed digit
  };
  const Row table[] = {{RiseLaw::cycloidal, 2, 6.2832, 39.478, 1e-6, 5e-5, 5e-4},
                       {RiseLaw::polynomial_345, 1.875, 5.7735, 60, 1e-6, 5e-5, 1e-6},
                       {RiseLaw::polynomial_4567, 2.1875, 7.5132, 52.5, 1e-6, 5e-5, 1e-6},
                       {RiseLaw::modified_trapezoid, 2, 4.8881, 61.426, 1e-6, 5e-5, 5e-4},
                       {RiseLaw::modified_sine, 1.7596, 5.5280, 69.466, 5e-5, 5e-5, 5e-4},
                       {RiseLaw::simple_harmonic, 1.5708, 4.9348, 15.503, 5e-5, 5e-5, 5e-4}};
  for (const Row& row : table) {
    const Peaks peaks = scan(row.law);
    EXPECT_NEAR(peaks.v, row.v, row.v_unit);
    EXPECT_NEAR(peaks.a, row.a, row.a_unit);
    EXPECT_NEAR(peaks.j, row.j, row.j_unit);
  }
}

TEST(RiseLaws, EachRunsFromNothingToOneAndDwellsOutside) {
  for (const RiseLaw law : all_laws) {
    EXPECT_NEAR(rise(law, 0.0).s, 0.0, 1e-15);
    EXPECT_NEAR(rise(law, 0.0).v, 0.0, 1e-15);
    EXPECT_NEAR(rise(law, 0.5).s, 0.5, 1e-14);
    EXPECT_NEAR(rise(law, 1.0).s, 1.0, 1e-14);
    EXPECT_NEAR(rise(law, 1.0).v, 0.0, 1e-14);
    EXPECT_EQ(rise(law, -0.1).s, 0.0);
    EXPECT_EQ(rise(law, 1.1).s, 1.0);
    EXPECT_EQ(rise(law, 1.1).a, 0.0);
    EXPECT_THROW(rise(law, std::numeric_limits<double>::quiet_NaN()), std::invalid_argument);
  }
}

TEST(RiseLaws, DerivativesAgreeWithDifferences) {
  const double h = 1e-5;
  for (const RiseLaw law : all_laws) {
    for (double x = 0.0103; x < 1.0; x += 0.0171) {
      const RiseState before = rise(law, x - h);
      const RiseState after = rise(law, x + h);
      const RiseState at = rise(law, x);
      EXPECT_NEAR((after.s - before.s) / (2 * h), at.v, 1e-8);
      EXPECT_NEAR((after.v - before.v) / (2 * h), at.a, 1e-7);
      EXPECT_NEAR((after.a - before.a) / (2 * h), at.j, 1e-5);
    }
  }
}

// The 3-4-5 rise of 0.300 in in 60 cam degrees, per radian of cam.
FollowerPoint rise_345(double x) {
  const double height = 0.300 * inch;
  const double beta = 60 * degree;
  const RiseState state = rise(RiseLaw::polynomial_345, x);
  return {height * state.s, height * state.v / beta, height * state.a / (beta * beta)};
}

// Recomputed from Norton's formulas: flat face on a base circle of 1.0 in radius; roller of 0.375 in on the
// same.
TEST(Followers, ShortRiseUnderAFlatFaceIsUndercut) {
  double least = 1.0;
  double greatest_velocity = 0.0;
  double greatest_acceleration = 0.0;
  for (int i = 0; i <= 20000; ++i) {
    const FollowerPoint point = rise_345(i / 20000.0);
    least = std::min(least, flat_curvature_radius(1.0 * inch, point));
    greatest_velocity = std::max(greatest_velocity, flat_contact_offset(point));
    greatest_acceleration = std::max(greatest_acceleration, point.a);
  }
  EXPECT_NEAR(greatest_velocity / inch, 0.537148, 5e-7);
  EXPECT_NEAR(greatest_acceleration / inch, 1.57944, 5e-6);
  EXPECT_NEAR(least / inch, -0.3001, 5e-5);
}

TEST(Followers, RollerOnTheSameRise) {
  const RollerGeometry roller{1.0 * inch, 0.375 * inch, 0.0};
  double least_convex = 1.0;
  double greatest_angle = 0.0;
  bool concave = false;
  bool undercut = false;
  for (int i = 0; i <= 20000; ++i) {
    const FollowerPoint point = rise_345(i / 20000.0);
    const RollerSurface surface = roller_surface(roller, point);
    concave = concave || surface.concave;
    undercut = undercut || surface.undercut;
    if (!surface.concave) {
      least_convex = std::min(least_convex, surface.cam_radius);
    }
    greatest_angle = std::max(greatest_angle, roller_pressure_angle(roller, point));
  }
  EXPECT_NEAR(least_convex / inch, 0.47993, 5e-6);
  EXPECT_NEAR(greatest_angle / degree, 19.481, 5e-4);
  EXPECT_TRUE(concave);
  EXPECT_FALSE(undercut);
}

TEST(Followers, ARollerLargerThanThePitchCurveUndercuts) {
  // At the nose of the rise the pitch curve turns with 0.855 in: a roller of that size has no cam left under
  // it.
  const FollowerPoint nose = rise_345(0.8);
  const RollerGeometry small{1.0 * inch, 0.375 * inch, 0.0};
  EXPECT_FALSE(roller_surface(small, nose).undercut);
  const RollerGeometry large{0.2 * inch, 1.175 * inch, 0.0};  // the same pitch curve
  EXPECT_TRUE(roller_surface(large, nose).undercut);
}

// An eccentric circle of radius R under a flat face lifts e (1 − cos φ) above its base circle R − e.
TEST(Followers, EccentricCircleHasConstantRadiusUnderAFlatFace) {
  const double radius = 20 * millimetre;
  const double eccentricity = 4 * millimetre;
  for (double phi = 0.0; phi < 6.3; phi += 0.1) {
    const FollowerPoint point{eccentricity * (1 - std::cos(phi)), eccentricity * std::sin(phi),
                              eccentricity * std::cos(phi)};
    EXPECT_NEAR(flat_curvature_radius(radius - eccentricity, point), radius, 1e-15);
  }
}

// An eccentric circle of radius R under a roller: the pitch curve is a circle of R + roller.
TEST(Followers, EccentricCircleHasACircularPitchCurve) {
  const double pitch = 30 * millimetre;
  const double e = 4 * millimetre;
  const RollerGeometry roller{16 * millimetre, 10 * millimetre, 0.0};  // base + roller = pitch − e
  for (double phi = 0.0; phi < 6.3; phi += 0.1) {
    const double root = std::sqrt(pitch * pitch - e * e * std::sin(phi) * std::sin(phi));
    const double s = root - e * std::cos(phi) - (pitch - e);
    const double v = e * std::sin(phi) - e * e * std::sin(phi) * std::cos(phi) / root;
    const double a = e * std::cos(phi) - e * e * std::cos(2 * phi) / root -
                     std::pow(e * e * std::sin(phi) * std::cos(phi), 2) / (root * root * root);
    EXPECT_NEAR(roller_pitch_curvature_radius(roller, {s, v, a}), pitch, 1e-14);
  }
}

TEST(Followers, OffsetLessensThePressureAngleOfTheRise) {
  const FollowerPoint middle = rise_345(0.5);
  const RollerGeometry central{1.0 * inch, 0.375 * inch, 0.0};
  const RollerGeometry offset{1.0 * inch, 0.375 * inch, 0.2 * inch};
  EXPECT_LT(roller_pressure_angle(offset, middle), roller_pressure_angle(central, middle));
  EXPECT_THROW(roller_pitch_curvature_radius(offset, middle), std::invalid_argument);
  EXPECT_THROW(roller_pressure_angle({0.0, 0.1, 0.0}, middle), std::invalid_argument);
  EXPECT_THROW(flat_curvature_radius(0.0, middle), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
