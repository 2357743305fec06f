#include "mechanism/follower.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "mechanism/circular.h"
#include "mechanism/contact.h"
#include "mechanism/film.h"
#include "mechanism/lobe_card.h"
#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

using std::numbers::pi;

// 3-4-5 rise of 0.300 in in 60 cam degrees, dwell, the same fall: Norton's double dwell.
FollowerPoint double_dwell(double cam_angle) {
  const double phi = wrap_positive(cam_angle, full_turn);
  const double beta = 60 * degree;
  const double h = 0.3 * inch;
  const bool falling = phi > pi;
  const double x = (falling ? full_turn - phi : phi) / beta;
  const RiseState law = rise(RiseLaw::polynomial_345, x);
  return {h * law.s, (falling ? -1.0 : 1.0) * h * law.v / beta, h * law.a / (beta * beta)};
}

// Norton, Cam Design and Manufacturing Handbook; exact values recomputed.
TEST(Follower, FlatFaceOfADoubleDwell) {
  const FlatFaceCheck check = check_flat_face(double_dwell, 1.0 * inch);
  EXPECT_NEAR(check.greatest_offset / inch, 0.537148, 5e-7);
  EXPECT_NEAR(check.least_width / inch, 2 * 0.537148, 1e-6);
  EXPECT_NEAR(check.least_round / inch, 2 * 0.537148, 1e-6);
  EXPECT_NEAR(check.least_radius / inch, -0.3001, 5e-5);
  EXPECT_TRUE(check.undercut);
  EXPECT_FALSE(check_flat_face(double_dwell, 1.31 * inch).undercut);
}

TEST(Follower, RollerOnADoubleDwell) {
  const RollerCheck check = check_roller(double_dwell, {1.0 * inch, 0.375 * inch, 0.0});
  EXPECT_NEAR(check.least_convex / inch, 0.47993, 5e-6);
  EXPECT_NEAR(check.greatest_pressure_angle / degree, 19.481, 5e-4);
  EXPECT_TRUE(check.least_hollow);
  EXPECT_FALSE(check.undercut);
  // The same pitch curve turns with 0.855 in at its tightest: a roller of 0.875 leaves no cam under it.
  EXPECT_TRUE(check_roller(double_dwell, {0.5 * inch, 0.875 * inch, 0.0}).undercut);
}

// An eccentric circle under a flat face: constant radius, and the centre's offset is the contact's.
TEST(Follower, AnEccentricCircleHasOneRadius) {
  const double e = 4e-3;
  const auto eccentric = [=](double phi) {
    return FollowerPoint{e * (1.0 - std::cos(phi)), e * std::sin(phi), e * std::cos(phi)};
  };
  const FlatFaceCheck check = check_flat_face(eccentric, 20e-3);
  EXPECT_NEAR(check.least_radius, 24e-3, 1e-15);
  EXPECT_NEAR(check.least_width, 2.0 * e, 1e-12);
  // Entrainment from the velocities of points: the circle turns about a centre that runs round; contact above
  // the centre. Surface against contact and face against contact, by differences.
  const double omega = 100.0;
  const double h = 1e-6;
  const double phi = 0.7;
  const double contact_speed = omega * (e * std::sin(phi + h) - e * std::sin(phi - h)) / (2 * h);
  const double cam_surface =
      omega * (20e-3 + e * (1.0 - std::cos(phi)));  // ω × height, against the contact's +
  const double expected = 0.5 * ((cam_surface + contact_speed) + contact_speed);
  EXPECT_NEAR(flat_entrainment_speed(omega, 20e-3, eccentric(phi)), expected, 1e-9);
}

// Points of the envelope of the face itself: the cam's outline from the face's successive places.
TEST(Follower, ContactIsWhereTheFaceTouchesItsEnvelope) {
  const double base = 1.4 * inch;
  const double phi = 20 * degree;
  const double h = 1e-5;
  // In the cam's frame (cam anticlockwise, face on top) the face at φ is the line y = base + s turned by −φ.
  // Intersection of two neighbouring faces, seen from the face: its x along the face.
  const auto height = [&](double angle) { return base + double_dwell(angle).s; };
  const double y1 = height(phi - h);
  const double y2 = height(phi + h);
  // Line i: n_i · p = y_i, n_i = (sin φ_i, cos φ_i) in the cam's frame.
  const double a1 = phi - h;
  const double a2 = phi + h;
  const double det = std::sin(a1) * std::cos(a2) - std::cos(a1) * std::sin(a2);
  const double px = (y1 * std::cos(a2) - std::cos(a1) * y2) / det;
  const double py = (std::sin(a1) * y2 - y1 * std::sin(a2)) / det;
  const double along = px * std::cos(phi) - py * std::sin(phi);
  EXPECT_NEAR(along, flat_contact_offset(double_dwell(phi)), 1e-7);
}

TEST(Follower, ASplineOverCrankAngleIsSeenPerCamRadian) {
  const auto lobe = synthesise_lobe(
      symmetric_card(0.3 * inch, 0.0, {{0.006 * inch, 270 * degree}, {0.05 * inch, 220 * degree}}));
  ASSERT_TRUE(lobe.curve);
  const FollowerCurve curve = follower_curve(*lobe.curve);
  const double h = 1e-4;
  const double at = -25 * degree;
  EXPECT_NEAR((curve(at + h).s - curve(at - h).s) / (2 * h), curve(at).v, 1e-8);
  EXPECT_NEAR((curve(at + h).v - curve(at - h).v) / (2 * h), curve(at).a, 1e-6);
  EXPECT_GT(check_flat_face(curve, 15e-3).least_width, 5e-3);
  EXPECT_THROW(static_cast<void>(check_flat_face(curve, 0.0)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(check_flat_face({}, 0.015)), std::invalid_argument);
}

// Shigley's cylinder on a flat, recomputed: 1000 N over 20 mm, 40 mm diameter, E 207 GPa, ν 0.292.
TEST(Contact, HertzLine) {
  const double modulus = contact_modulus({}, {});
  const LineContact contact = line_contact(1000.0, 20e-3, combined_curvature(20e-3, flat_surface), modulus);
  EXPECT_NEAR(contact.half_width / millimetre, 0.106080, 5e-7);
  EXPECT_NEAR(contact.peak_pressure / 1e6, 300.066, 5e-4);
  // The pressure's half ellipse carries the load.
  EXPECT_NEAR(0.5 * pi * contact.peak_pressure * contact.half_width * 20e-3, 1000.0, 1e-9);
  EXPECT_NEAR(contact.mean_pressure * 2.0 * contact.half_width * 20e-3, 1000.0, 1e-9);
}

// Johnson, Contact Mechanics, section 4.2(c) and fig. 4.5: greatest shear under the axis 0.30 p₀ at 0.78 a;
// here from the stresses on the axis, σx = −p₀/a ((a² + 2 z²)/sqrt(a² + z²) − 2 z), σz = −p₀ a/sqrt(a² + z²).
TEST(Contact, GreatestShearUnderALine) {
  double greatest = 0.0;
  double depth = 0.0;
  for (int i = 0; i <= 20000; ++i) {
    const double z = i * 1e-4;
    const double root = std::sqrt(1.0 + z * z);
    const double shear = 0.5 * std::abs((1.0 + 2.0 * z * z) / root - 2.0 * z - 1.0 / root);
    if (shear > greatest) {
      greatest = shear;
      depth = z;
    }
  }
  const LineContact contact = line_contact(500.0, 0.01, 50.0, 1e11);
  EXPECT_NEAR(contact.peak_shear / contact.peak_pressure, greatest, 5e-4);
  EXPECT_NEAR(contact.shear_depth / contact.half_width, depth, 5e-4);
}

// Johnson, section 4.2(a): sphere, a³ = 3 F R/(4 E*), p₀ = 3 F/(2 π a²), δ = a²/R.
TEST(Contact, EqualCurvaturesAreASphere) {
  const double modulus = 114e9;
  const PointContact contact = point_contact(800.0, 100.0, 100.0, modulus);
  const double a = std::cbrt(3.0 * 800.0 * 0.01 / (4.0 * modulus));
  EXPECT_NEAR(contact.semi_major / a, 1.0, 1e-8);
  EXPECT_NEAR(contact.semi_minor / a, 1.0, 1e-8);
  EXPECT_NEAR(contact.peak_pressure / (1.5 * 800.0 / (pi * a * a)), 1.0, 1e-8);
  EXPECT_NEAR(contact.approach / (a * a * 100.0), 1.0, 1e-8);
}

// Boussinesq's displacement w = 1/(π E*) ∬ p/r dA under the half-ellipsoid of pressure, summed numerically in
// polar coordinates about the point; it must leave the bodies in contact: w = δ − ½ κ' x² − ½ κ'' y².
double displacement(const PointContact& c, double modulus, double x, double y) {
  const int around = 4000;
  const int out = 400;
  double sum = 0.0;
  for (int i = 0; i < around; ++i) {
    const double angle = 2.0 * pi * (i + 0.5) / around;
    const double dx = std::cos(angle) / c.semi_major;
    const double dy = std::sin(angle) / c.semi_minor;
    const double ux = x / c.semi_major;
    const double uy = y / c.semi_minor;
    const double aa = dx * dx + dy * dy;
    const double bb = ux * dx + uy * dy;
    const double cc = ux * ux + uy * uy - 1.0;
    const double reach = (-bb + std::sqrt(bb * bb - aa * cc)) / aa;
    for (int j = 0; j < out; ++j) {
      // s = reach (1 − t²) takes the root's steepness at the rim away.
      const double t = (j + 0.5) / out;
      const double s = reach * (1.0 - t * t);
      const double inside = std::max(0.0, -(aa * s * s + 2.0 * bb * s + cc));
      sum += c.peak_pressure * std::sqrt(inside) * 2.0 * t * reach / out * 2.0 * pi / around;
    }
  }
  return sum / (pi * modulus);
}

TEST(Contact, AnEllipseLeavesTheBodiesInContact) {
  const double modulus = 114e9;
  const double one = 50.0;
  const double two = 400.0;
  const PointContact contact = point_contact(1500.0, two, one, modulus);
  EXPECT_GT(contact.semi_major, contact.semi_minor);
  EXPECT_NEAR(displacement(contact, modulus, 0.0, 0.0) / contact.approach, 1.0, 1e-5);
  for (const auto& [fx, fy] : {std::pair{0.6, 0.0}, {0.0, 0.6}, {0.5, 0.4}}) {
    const double x = fx * contact.semi_major;
    const double y = fy * contact.semi_minor;
    const double gap = 0.5 * one * x * x + 0.5 * two * y * y;
    EXPECT_NEAR((contact.approach - displacement(contact, modulus, x, y)) / gap, 1.0, 1e-4);
  }
}

TEST(Contact, ALongEllipseTendsToALine) {
  const double modulus = 114e9;
  const PointContact contact = point_contact(1000.0, 1e-4, 100.0, modulus);
  const double middle = 1.5 * 1000.0 / (2.0 * contact.semi_major);  // load per length at mid-length: ¾ F/a
  const LineContact line = line_contact(middle, 1.0, 100.0, modulus);
  EXPECT_NEAR(contact.peak_pressure / line.peak_pressure, 1.0, 1e-3);
  EXPECT_THROW(static_cast<void>(point_contact(1.0, 0.0, 1.0, modulus)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(line_contact(1.0, 0.01, -5.0, modulus)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(combined_curvature(0.0, 1.0)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(contact_modulus({0.0, 0.3}, {})), std::invalid_argument);
}

// Dowson and Higginson, Elasto-hydrodynamic Lubrication; recomputed.
TEST(Film, DowsonHigginsonLine) {
  const double modulus = 2.0 * contact_modulus({207e9, 0.3}, {207e9, 0.3});
  EXPECT_NEAR(modulus / 1e9, 227.473, 5e-4);
  const FilmThickness film = line_film({100e3, 0.01, modulus, 2.0, 0.01, 2.2e-8});
  EXPECT_NEAR(film.speed_parameter, 8.79227e-12, 5e-18);
  EXPECT_NEAR(film.material_parameter, 5004.40, 5e-3);
  EXPECT_NEAR(film.load_parameter, 4.39614e-5, 5e-11);
  EXPECT_NEAR(film.least * 1e6, 0.17708, 5e-6);
  EXPECT_NEAR(film_ratio(film.least, 0.3e-6, 0.4e-6), film.least / 0.5e-6, 1e-12);
  EXPECT_EQ(line_film({100e3, 0.01, modulus, 0.0, 0.01, 2.2e-8}).least, 0.0);
  EXPECT_THROW(static_cast<void>(line_film({0.0, 0.01, modulus, 2.0, 0.01, 2.2e-8})), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(film_ratio(1e-6, 0.0, 0.0)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
