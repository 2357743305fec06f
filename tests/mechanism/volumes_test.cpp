#include "mechanism/volumes.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

constexpr double cubic_inch = inch * inch * inch;
constexpr double cc = 1e-6;

SliderCrank crank() {
  return SliderCrank({1.74 * inch, 5.7 * inch, 0.0});
}

ClearanceParts parts() {
  return {4.0 * inch, 64 * cc, 4.1 * inch, 0.041 * inch, 0.010 * inch, 3.6 * cc, 0.0, 0.0};
}

double ratio_of(const ClearanceParts& p) {
  return static_ratio(swept_volume(p.bore, 3.48 * inch), clearance_volume(p));
}

// Arithmetic of the trade: bore 4 in, stroke 3.48, ratio 10.
TEST(Volumes, SweptAndClearance) {
  const double swept = swept_volume(4.0 * inch, 3.48 * inch);
  EXPECT_NEAR(swept / cubic_inch, 43.73097, 5e-6);
  EXPECT_NEAR(clearance_for_ratio(swept, 10.0) / cubic_inch, 4.858997, 5e-7);
  EXPECT_NEAR(static_ratio(swept, clearance_for_ratio(swept, 10.0)), 10.0, 1e-12);
}

// Computed at 10.1:1: gasket +0.010 in −0.24, deck +0.005 −0.12, chamber −1 cc +0.12.
TEST(Volumes, SensitivitiesAtTenToOne) {
  ClearanceParts p = parts();
  p.chamber += changes_for_ratio(p, 3.48 * inch, 10.1).chamber;
  EXPECT_NEAR(ratio_of(p), 10.1, 1e-12);
  ClearanceParts thick = p;
  thick.gasket += 0.010 * inch;
  EXPECT_NEAR(ratio_of(thick) - 10.1, -0.24, 0.005);
  ClearanceParts low = p;
  low.deck += 0.005 * inch;
  EXPECT_NEAR(ratio_of(low) - 10.1, -0.12, 0.005);
  ClearanceParts small = p;
  small.chamber -= 1.0 * cc;
  EXPECT_NEAR(ratio_of(small) - 10.1, 0.12, 0.005);
}

TEST(Volumes, EachChangeAloneReachesTheRatio) {
  const RatioChanges changes = changes_for_ratio(parts(), 3.48 * inch, 9.6, 50e-4);
  ClearanceParts p = parts();
  p.gasket += changes.gasket;
  EXPECT_NEAR(ratio_of(p), 9.6, 1e-12);
  p = parts();
  p.deck += changes.deck;
  EXPECT_NEAR(ratio_of(p), 9.6, 1e-12);
  p = parts();
  p.dish += changes.dish;
  EXPECT_NEAR(ratio_of(p), 9.6, 1e-12);
  p = parts();
  p.chamber -= *changes.milling * 50e-4;
  EXPECT_NEAR(ratio_of(p), 9.6, 1e-12);
}

TEST(Volumes, DomeQuenchAndCreviceAreArithmetic) {
  // A cylinder 1 in deep under a 4 in bore holds 205.93 cc; 190 go in: the dome has 15.93.
  EXPECT_NEAR(dome_from_fill(4.0 * inch, 1.0 * inch, 190 * cc) / cc, 15.93, 5e-3);
  EXPECT_NEAR(quench_distance(parts()) / inch, 0.051, 1e-12);
  ClearanceParts p = parts();
  p.land_diameter = 3.97 * inch;
  p.land_height = 0.25 * inch;
  EXPECT_NEAR((clearance_volume(p) - clearance_volume(parts())) / cubic_inch,
              std::numbers::pi / 4 * (16.0 - 3.97 * 3.97) * 0.25, 1e-9);
  p.land_diameter = 4.1 * inch;
  EXPECT_THROW(static_cast<void>(clearance_volume(p)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(static_ratio(1.0, 0.0)), std::invalid_argument);
}

// The trade's formula 1 + (s_eff/s)(ratio − 1), with the textbook's piston height.
TEST(Volumes, EffectiveRatioFromIntakeClosing) {
  const double clearance = clearance_for_ratio(swept_volume(4.0 * inch, 3.48 * inch), 10.1);
  const double closing = (180 + 65) * degree;
  const double height =
      1.74 * std::cos(closing) + std::sqrt(5.7 * 5.7 - std::pow(1.74 * std::sin(closing), 2));
  const double left = 1.74 + 5.7 - height;
  EXPECT_NEAR(effective_ratio(crank(), 4.0 * inch, clearance, closing), 1.0 + left / 3.48 * 9.1, 1e-10);
  // Computed: one degree later takes off about 0.06.
  const double change = effective_ratio(crank(), 4.0 * inch, clearance, closing + degree) -
                        effective_ratio(crank(), 4.0 * inch, clearance, closing);
  EXPECT_NEAR(change, -0.065, 0.01);
}

// ISO 2533 tables: 1000 m 89 875 Pa, 2000 m 79 495 Pa, 5000 m 54 020 Pa.
TEST(Volumes, StandardAtmosphere) {
  EXPECT_NEAR(standard_pressure(1000.0), 89875.0, 5.0);
  EXPECT_NEAR(standard_pressure(2000.0), 79495.0, 5.0);
  EXPECT_NEAR(standard_pressure(5000.0), 54020.0, 10.0);
  EXPECT_THROW(static_cast<void>(standard_pressure(20000.0)), std::invalid_argument);
}

TEST(Volumes, CrankingWithoutALeakIsPolytropic) {
  const double clearance = clearance_for_ratio(swept_volume(4.0 * inch, 3.48 * inch), 10.1);
  const double closing = 245 * degree;
  const double expected = 101325.0 * std::pow(effective_ratio(crank(), 4.0 * inch, clearance, closing), 1.3);
  EXPECT_NEAR(cranking_pressure(crank(), 4.0 * inch, clearance, closing, {}) / expected, 1.0, 1e-9);
  Cranking high;
  high.ambient_pressure = standard_pressure(2000.0);
  EXPECT_NEAR(cranking_pressure(crank(), 4.0 * inch, clearance, closing, high) / expected,
              standard_pressure(2000.0) / 101325.0, 1e-9);
}

// Independent: small explicit steps of energy-free bookkeeping (mass out, polytropic law), with the nozzle's
// flow from its textbook forms: choked p/sqrt(R T) sqrt(γ) (2/(γ+1))^((γ+1)/(2(γ−1))), else subsonic.
TEST(Volumes, ALeakLowersTheCrankingPressure) {
  const double bore = 4.0 * inch;
  const double clearance = clearance_for_ratio(swept_volume(bore, 3.48 * inch), 10.1);
  const double closing = 245 * degree;
  Cranking leaking;
  leaking.leak_area = 1.5e-6;
  const double v0 = clearance + std::numbers::pi / 4 * bore * bore * crank().depth(closing);
  const double m0 = 101325.0 * v0 / (287.05 * 293.15);
  double mass = m0;
  double greatest = 0.0;
  const int steps = 200000;
  const double h = (2 * std::numbers::pi - closing) / steps;
  for (int i = 0; i < steps; ++i) {
    const double v = clearance + std::numbers::pi / 4 * bore * bore * crank().depth(closing + (i + 0.5) * h);
    const double p = 101325.0 * std::pow(mass / m0 * v0 / v, 1.3);
    greatest = std::max(greatest, p);
    const double t = 293.15 * std::pow(mass / m0 * v0 / v, 0.3);
    const double x = 101325.0 / p;
    double flux = 0.0;
    if (x < 0.528282) {
      flux = p / std::sqrt(287.05 * t) * std::sqrt(1.4) * std::pow(2 / 2.4, 3.0);
    } else if (x < 1.0) {
      const double mach = std::sqrt(2 / 0.4 * (std::pow(x, -0.4 / 1.4) - 1));
      flux = p / std::sqrt(287.05 * t) * std::sqrt(1.4) * mach * std::pow(1 + 0.2 * mach * mach, -3.0);
    }
    mass -= flux * 1.5e-6 * h / 20.0;
  }
  const double found = cranking_pressure(crank(), bore, clearance, closing, leaking);
  EXPECT_NEAR(found / greatest, 1.0, 2e-4);
  EXPECT_LT(found, 0.99 * cranking_pressure(crank(), bore, clearance, closing, {}));
  leaking.polytropic_exponent = 0.9;
  EXPECT_THROW(static_cast<void>(cranking_pressure(crank(), bore, clearance, closing, leaking)),
               std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
