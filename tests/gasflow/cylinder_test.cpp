#include "gasflow/cylinder.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace fettle::gasflow::test {
namespace {

constexpr double pi = std::numbers::pi;
constexpr double degree = pi / 180.0;

// Wiebe, a 5, m 2 (Heywood, eq. 9.39; values recomputed from it).
TEST(CylinderLaws, WiebeBurnsAsPrinted) {
  EXPECT_NEAR(wiebe(1.0), 0.993262, 5e-7);
  EXPECT_NEAR(wiebe(0.276208), 0.10, 2e-6);
  EXPECT_NEAR(wiebe(0.517549), 0.50, 2e-6);
  EXPECT_NEAR(wiebe(0.772233), 0.90, 2e-6);
  EXPECT_EQ(wiebe(-0.1), 0.0);
  EXPECT_EQ(wiebe(2.0), wiebe(1.0));
}

// Woschni SAE 670931 and as in Heywood eq. 12.19; Hohenberg SAE 790825; constants from memory, values
// recomputed.
TEST(CylinderLaws, HeatCoefficientsAreTheRecomputedOnes) {
  EXPECT_NEAR(woschni(0.1, 4e6, 2000.0, 20.0), 770.67, 5e-3);
  EXPECT_NEAR(woschni_heywood(0.1, 4e6, 2000.0, 20.0), 660.88, 5e-3);
  EXPECT_NEAR(hohenberg(5e-4, 40e5, 2000.0, 15.0), 1758.4, 5e-2);
  EXPECT_NEAR(woschni_speed(10.0, true, 5e-4, {1e5, 5e-4, 350.0}, 1e5, 1e5), 61.8, 1e-12);
  EXPECT_NEAR(woschni_speed(10.0, false, 5e-4, {1e5, 5e-4, 350.0}, 4e6, 2e6),
              22.8 + 3.24e-3 * 350.0 / 1e5 * 2e6, 1e-9);
}

// Douaud and Eyzat, SAE 780080 (recomputed).
TEST(CylinderLaws, KnockDelayIsDouaudAndEyzats) {
  EXPECT_NEAR(knock_delay(40.0 * 101325.0, 850.0, 95.0) * 1e3, 2.4533, 5e-5);
  EXPECT_NEAR(knock_delay(30.0 * 101325.0, 900.0, 100.0) * 1e3, 3.7159, 5e-5);
  EXPECT_THROW(knock_delay(0.0, 900.0, 100.0), std::invalid_argument);
}

// Heywood, section 13.5: 1.87 bar at 3000 rpm. Chen and Flynn's is a sum.
TEST(CylinderLaws, FrictionIsHeywoods) {
  EXPECT_NEAR(motored_fmep(3000.0 * pi / 30.0), 1.87e5, 1.0);
  EXPECT_NEAR((ChenFlynn{1e4, 0.01, 1e3, 10.0}.fmep(5e6, 10.0)), 1e4 + 5e4 + 1e4 + 1e3, 1e-6);
}

// Heywood, section 6.3: the curtain equals the head's disc at a lift of a quarter of its diameter.
TEST(CylinderLaws, CurtainEqualsTheDiscAtAQuarterOfTheDiameter) {
  EXPECT_NEAR(valve_opening(0.01, 0.04, 0.04, 0.0), 0.25 * pi * 0.04 * 0.04, 1e-15);
  EXPECT_LT(valve_opening(0.0099, 0.04, 0.04, 0.0), valve_opening(0.01, 0.04, 0.04, 0.0));
  EXPECT_EQ(valve_opening(0.02, 0.04, 0.04, 0.0), valve_opening(0.01, 0.04, 0.04, 0.0));
  EXPECT_EQ(valve_opening(-0.001, 0.04, 0.04, 0.0), 0.0);
}

CylinderSetup setup() {
  CylinderSetup s;
  s.crank = {43e-3, 148.6e-3, 0.0};
  s.bore = 86e-3;
  s.compression_ratio = 10.0;
  s.intake_closing = pi;
  s.exhaust_opening = 3.0 * pi;
  return s;
}

void turn(Cylinder& cylinder, double by, double step_size) {
  const auto steps = static_cast<int>(std::lround(by / step_size));
  for (int i = 0; i < steps; ++i) {
    cylinder.step(step_size, step_size / 300.0, {});
  }
}

// Otto's efficiency 1 - r^(1 - γ) at r = 10, γ = 1.4: 0.601893.
TEST(Cylinder, WithoutLossesReachesOttosEfficiency) {
  CylinderSetup s = setup();
  s.burn = CylinderSetup::Burn{2.0 * pi - 1e-4, 2e-4, 20.0, 2.0, 1.0};
  Cylinder cylinder(GasPair::perfect(287.0, 1.4, 2e6), s, pi, {1e5, 320.0, 0.0, 0.0});
  turn(cylinder, pi - 1e-3, (pi - 1e-3) / 1800.0);
  turn(cylinder, 2e-3, 1e-5);
  turn(cylinder, pi - 1e-3, (pi - 1e-3) / 1800.0);
  EXPECT_NEAR(cylinder.record().work / cylinder.record().released, 0.601893, 1e-3 * 0.601893);
  EXPECT_NEAR(cylinder.record().released, cylinder.mass() * 2e6, 1e-6 * cylinder.mass() * 2e6);
}

// Motored without losses, compression and expansion mirror one another; p V^γ is Poisson's.
TEST(Cylinder, MotoredWithoutLossesIsSymmetricAndIsentropic) {
  Cylinder cylinder(GasPair::perfect(287.0, 1.4), setup(), pi, {1e5, 320.0, 0.0, 0.0});
  const double v0 = cylinder.volume();
  turn(cylinder, pi - 0.5, (pi - 0.5) / 900.0);
  const double before = cylinder.state().pressure;
  turn(cylinder, 0.5, 0.5 / 200.0);
  EXPECT_NEAR(cylinder.state().pressure, 1e5 * std::pow(10.0, 1.4), 2e-5 * 1e5 * std::pow(10.0, 1.4));
  turn(cylinder, 0.5, 0.5 / 200.0);
  EXPECT_NEAR(cylinder.state().pressure, before, 1e-5 * before);
  turn(cylinder, pi - 0.5, (pi - 0.5) / 900.0);
  EXPECT_NEAR(cylinder.state().pressure, 1e5, 5.0);
  EXPECT_NEAR(cylinder.volume(), v0, 1e-12);
  EXPECT_NEAR(cylinder.record().work, 0.0, 1e-4);
}

// Isentropic of a gas with cp(T): ∫cp/T dT - R ln p is constant.
TEST(Cylinder, CompressionOfRealAirKeepsEntropy) {
  const GasPair gas(isooctane, 1.0);
  Cylinder cylinder(gas, setup(), pi, {1e5, 330.0, 0.0, 0.05});
  const double r = gas.gas_constant(0.05);
  const double s0 = gas.entropy_function(330.0, 0.05) - r * std::log(1e5);
  turn(cylinder, pi, pi / 1800.0);
  const GasState s = cylinder.state();
  EXPECT_NEAR(gas.entropy_function(s.temperature, s.burned) - r * std::log(s.pressure), s0, 0.02);
  EXPECT_GT(s.temperature, 600.0);
}

TEST(Cylinder, SecondOrderInTheStep) {
  const auto error = [](double steps) {
    Cylinder cylinder(GasPair::perfect(287.0, 1.4), setup(), pi, {1e5, 320.0, 0.0, 0.0});
    turn(cylinder, pi, pi / steps);
    return std::abs(cylinder.state().pressure - 1e5 * std::pow(10.0, 1.4));
  };
  EXPECT_NEAR(std::log2(error(100) / error(200)), 2.0, 0.1);
}

TEST(Cylinder, MassAndEnergyCloseWithEverythingOn) {
  CylinderSetup s = setup();
  s.burn = CylinderSetup::Burn{2.0 * pi - 25.0 * degree, 60.0 * degree, 5.0, 2.0, 0.97};
  s.heat_law = HeatLaw::woschni;
  s.blow_by_area = 1e-6;
  s.crankcase = {1e5, 350.0, 0.0, 0.5};
  const GasPair gas(isooctane, 1.1);
  Cylinder cylinder(gas, s, pi, {0.9e5, 340.0, 0.0, 0.06});
  const double mass = cylinder.mass();
  const double energy = cylinder.energy();
  double put_in = 0.0;
  for (int i = 0; i < 3000; ++i) {
    const bool open = i > 2000;
    const EndFlowRate flow{open ? -0.02 : 0.0,
                           open ? -0.02 * gas.enthalpy(cylinder.state().temperature, 1.0) : 0.0,
                           open ? -0.02 : 0.0};
    cylinder.step(2e-3, 4e-6, flow);
    put_in += 4e-6 * flow.mass;
  }
  const CycleRecord& r = cylinder.record();
  EXPECT_NEAR(cylinder.mass(), mass + r.mass_in - r.blow_by_mass, 1e-12 * mass);
  EXPECT_NEAR(r.mass_in, put_in, 1e-12 * mass);
  const double closed = energy + r.energy_in + r.released - r.work - r.wall_heat - r.blow_by_energy;
  EXPECT_NEAR(cylinder.energy(), closed, 1e-9 * r.released);
  EXPECT_GT(r.wall_heat, 0.05 * r.released);
  EXPECT_GT(r.blow_by_mass, 0.0);
  EXPECT_GT(r.peak_angle, 2.0 * pi);
  EXPECT_GT(r.knock_integral, 0.0);
}

// Livengood and Wu's integral of a burn that is sparked earlier can only be the greater.
TEST(Cylinder, EarlierSparkComesNearerToKnock) {
  double last = 0.0;
  for (const double advance : {5.0, 15.0, 25.0, 35.0}) {
    CylinderSetup s = setup();
    s.burn = CylinderSetup::Burn{2.0 * pi - advance * degree, 55.0 * degree, 5.0, 2.0, 1.0};
    Cylinder cylinder(GasPair(isooctane, 1.0), s, pi, {1e5, 350.0, 0.0, 0.05});
    turn(cylinder, 2.0 * pi - 0.1, 1e-3);
    EXPECT_GT(cylinder.record().knock_integral, last);
    last = cylinder.record().knock_integral;
  }
}

TEST(Cylinder, ImpossibleSetupsAreRefused) {
  CylinderSetup s = setup();
  s.compression_ratio = 1.0;
  EXPECT_THROW(Cylinder(GasPair::dry_air(), s, 0.0, {}), std::invalid_argument);
  s = setup();
  s.exhaust_opening = 0.5;
  EXPECT_THROW(Cylinder(GasPair::dry_air(), s, 0.0, {}), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::gasflow::test
