#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "gasflow/gas_tables.h"
#include "gasflow/network.h"

namespace fettle::gasflow::test {
namespace {

constexpr double r_air = 287.0;

GasPair air() {
  return GasPair::perfect(r_air, 1.4);
}

struct Row {
  double mach;
  double values[4];
};

// NACA Report 1135, tables I and II, and the closed forms of Shapiro: the oracle itself.
TEST(GasTables, ReproduceTheirPublishedRows) {
  for (const Row& row :
       {Row{0.5, {0.84302, 0.95238, 0.88517, 1.33984}}, Row{1.0, {0.52828, 0.83333, 0.63394, 1.0}},
        Row{1.5, {0.27240, 0.68966, 0.39498, 1.17617}}, Row{2.0, {0.12780, 0.55556, 0.23005, 1.68750}}}) {
    EXPECT_NEAR(tables::pressure_ratio(row.mach), row.values[0], 5.1e-6);
    EXPECT_NEAR(tables::temperature_ratio(row.mach), row.values[1], 5.1e-6);
    EXPECT_NEAR(tables::density_ratio(row.mach), row.values[2], 5.1e-6);
    EXPECT_NEAR(tables::area_ratio(row.mach), row.values[3], 5.1e-6);
  }
  for (const Row& row :
       {Row{1.5, {2.4583, 1.8621, 0.70109, 0.92979}}, Row{2.0, {4.5, 2.6667, 0.57735, 0.72087}},
        Row{3.0, {10.3333, 3.8571, 0.47519, 0.32834}}}) {
    EXPECT_NEAR(tables::shock_pressure(row.mach), row.values[0], 5.1e-5);
    EXPECT_NEAR(tables::shock_density(row.mach), row.values[1], 5.1e-5);
    EXPECT_NEAR(tables::shock_mach(row.mach), row.values[2], 5.1e-6);
    EXPECT_NEAR(tables::shock_stagnation(row.mach), row.values[3], 5.1e-6);
  }
  for (const auto& [mach, length] : {std::pair{0.2, 14.53327}, {0.5, 1.06906}, {2.0, 0.30500}}) {
    EXPECT_NEAR(tables::fanno(mach), length, 5.1e-6);
  }
  for (const Row& row : {Row{0.2, {0.17355, 2.27273, 0, 0}}, Row{0.5, {0.69136, 1.77778, 0, 0}},
                         Row{2.0, {0.79339, 0.36364, 0, 0}}}) {
    EXPECT_NEAR(tables::rayleigh_stagnation(row.mach), row.values[0], 5.1e-6);
    EXPECT_NEAR(tables::rayleigh_pressure(row.mach), row.values[1], 5.1e-6);
  }
}

struct Probe {
  double mach = 0.0;
  double pressure = 0.0;
  double temperature = 0.0;
  double area = 0.0;
  double stagnation_pressure() const { return pressure / tables::pressure_ratio(mach); }
  double stagnation_temperature() const { return temperature / tables::temperature_ratio(mach); }
};

Probe probe(const Network& net, const Duct& duct, std::size_t i) {
  const GasState s = net.state(0, i);
  const double area = 0.5 * (duct.face_areas[i] + duct.face_areas[i + 1]);
  return {s.velocity / std::sqrt(1.4 * r_air * s.temperature), s.pressure, s.temperature, area};
}

constexpr double p0 = 2e5;
constexpr double t0 = 300.0;

/// A nozzle from twice the throat's area to 1.6875 of it, where the flow can be at Mach 2; throat in the
/// middle.
Duct laval(std::size_t cells) {
  Duct duct;
  duct.length = 1.0;
  duct.friction = false;
  const double throat = 1e-3;
  for (std::size_t i = 0; i <= cells; ++i) {
    const double x = static_cast<double>(i) / static_cast<double>(cells) - 0.5;
    const double side = x < 0.0 ? 1.0 : 0.6875;
    duct.face_areas.push_back(throat * (1.0 + side * 4.0 * x * x * (3.0 - 4.0 * std::abs(x))));
  }
  return duct;
}

Network laval_flow(const Duct& duct, double back_pressure) {
  Network net(air(), {});
  net.add_duct(duct, [&](double x) { return GasState{x < 0.5 ? p0 : back_pressure, t0, 0.0, 0.0}; });
  net.open_to({0, Side::left}, {p0, t0, 0.0, 0.0});
  net.open_to({0, Side::right}, {back_pressure, t0, 0.0, 0.0});
  EXPECT_FALSE(net.run(0.12).problem.has_value());
  return net;
}

// NACA Report 1135, table I: p/p0 at A/A* = 1.33984 (M 0.5), 1.17617 (M 1.5) and 1.6875 (M 2).
TEST(Nozzle, FlowFollowsTheIsentropicTable) {
  const std::size_t n = 400;
  const Duct duct = laval(n);
  const Network net = laval_flow(duct, 0.05 * p0);
  for (const Row& row : {Row{0.5, {1.33984, 0.84302, 0, 0}}, Row{1.5, {1.17617, 0.27240, 0, 0}},
                         Row{1.98, {1.65996, 0, 0, 0}}}) {
    const bool before = row.mach < 1.0;
    const double area = row.values[0] * 1e-3;
    for (std::size_t i = before ? 0 : n / 2; i + 1 < (before ? n / 2 : n); ++i) {
      const Probe a = probe(net, duct, i);
      const Probe b = probe(net, duct, i + 1);
      if ((a.area - area) * (b.area - area) <= 0.0) {
        const double part = (area - a.area) / (b.area - a.area);
        EXPECT_NEAR(a.mach + part * (b.mach - a.mach), row.mach, 2e-3 * row.mach);
        if (row.values[1] > 0.0) {
          EXPECT_NEAR((a.pressure + part * (b.pressure - a.pressure)) / p0, row.values[1],
                      2e-3 * row.values[1]);
        }
      }
    }
  }
  // Choked: mass flow of the throat, CHECK p0 Γ/sqrt(R T0); and the same through every section.
  const double flux = p0 / std::sqrt(r_air * t0) * std::sqrt(1.4) * std::pow(1.2, -3.0);
  EXPECT_NEAR(net.flow({0, Side::right}).mass, flux * 1e-3, 1e-3 * flux * 1e-3);
  EXPECT_NEAR(-net.flow({0, Side::left}).mass, flux * 1e-3, 1e-3 * flux * 1e-3);
}

// NACA Report 1135, table II, M 1.5: p2/p1 2.4583, p02/p01 0.92979. The pressure at the exit is the one that
// holds the shock where the flow has that Mach number.
TEST(Nozzle, NormalShockStandsWhereTheTableSays) {
  const std::size_t n = 800;
  const Duct duct = laval(n);
  const double exit_mach = tables::subsonic_mach(1.6875 * 0.92979);
  const Network net = laval_flow(duct, 0.92979 * p0 * tables::pressure_ratio(exit_mach));
  std::size_t shock = n / 2;
  while (probe(net, duct, shock).mach > 1.0 || probe(net, duct, shock + 2).mach > 1.0) {
    ++shock;
    ASSERT_LT(shock, n - 10);
  }
  const Probe ahead = probe(net, duct, shock - 4);
  const Probe behind = probe(net, duct, shock + 5);
  EXPECT_NEAR(ahead.mach, 1.5, 0.015);
  EXPECT_NEAR(behind.pressure / ahead.pressure, 2.4583, 0.02 * 2.4583);
  // Already a few cells on the duct has widened: the isentropic table on the sonic area behind the shock.
  EXPECT_NEAR(behind.mach, tables::subsonic_mach(behind.area / 1e-3 * 0.92979), 5e-3);
  EXPECT_NEAR(probe(net, duct, n - 20).stagnation_pressure() / p0, 0.92979, 2e-3);
}

// NACA Report 1135, table I: a mouth that widens from its narrowest section passes the choked flow, and what
// follows is supersonic: Mach 1.5 at A/A* = 1.17617, 2 at 1.6875.
TEST(Nozzle, AChokedMouthFeedsASupersonicCone) {
  Duct duct;
  duct.length = 1.0;
  duct.friction = false;
  duct.face_areas = tapered_areas(1e-3, 1.6875e-3, 200);
  Network net(air(), {});
  net.add_duct(duct, [&](double) { return GasState{0.1 * p0, t0, 0.0, 0.0}; });
  net.open_to({0, Side::left}, {p0, t0, 0.0, 0.0});
  net.open_to({0, Side::right}, {0.1 * p0, t0, 0.0, 0.0});
  EXPECT_FALSE(net.run(0.05).problem.has_value());
  const double flux = p0 / std::sqrt(r_air * t0) * std::sqrt(1.4) * std::pow(1.2, -3.0);
  EXPECT_NEAR(-net.flow({0, Side::left}).mass, flux * 1e-3, 1e-3 * flux * 1e-3);
  EXPECT_NEAR(net.flow({0, Side::right}).mass, flux * 1e-3, 1e-3 * flux * 1e-3);
  std::size_t i = 0;
  while (probe(net, duct, i).area < 1.17617e-3) {
    ++i;
  }
  EXPECT_NEAR(probe(net, duct, i).mach, 1.5, 0.02);
  EXPECT_NEAR(probe(net, duct, 199).mach, 2.0, 0.02);
}

/// Mass flow through a cone between straight pipes, Mach 0.6 before it and 0.413 after, over that of the
/// isentropic table, less one: what the grid loses of stagnation pressure.
double diffuser_loss(std::size_t cells) {
  Duct duct;
  duct.length = 1.0;
  duct.friction = false;
  for (std::size_t i = 0; i <= cells; ++i) {
    const double x = static_cast<double>(i) / static_cast<double>(cells);
    const double d = 0.03 * (1.0 + (std::sqrt(1.3) - 1.0) * std::clamp((x - 0.1) / 0.2, 0.0, 1.0));
    duct.face_areas.push_back(0.25 * std::numbers::pi * d * d);
  }
  const double exit_mach = tables::subsonic_mach(1.3 * tables::area_ratio(0.6));
  const double back = p0 * tables::pressure_ratio(exit_mach);
  Network net(air(), {});
  net.add_duct(duct, [&](double) { return GasState{back, t0, 100.0, 0.0}; });
  net.open_to({0, Side::left}, {p0, t0, 0.0, 0.0});
  net.open_to({0, Side::right}, {back, t0, 0.0, 0.0});
  EXPECT_FALSE(net.run(0.25).problem.has_value());
  const double exit_temperature = t0 * tables::temperature_ratio(exit_mach);
  const double exact = back / (r_air * exit_temperature) * exit_mach *
                       std::sqrt(1.4 * r_air * exit_temperature) * duct.face_areas.back();
  return std::abs(net.flow({0, Side::right}).mass / exact - 1.0);
}

// Kinks of the wall must not cost stagnation pressure in first order: two cells in the cone lose less than a
// hundredth of the flow, and halving them takes more than half of that away.
TEST(Nozzle, KinksOfADiffuserCostLittle) {
  const double coarse = diffuser_loss(10);
  const double middle = diffuser_loss(20);
  const double fine = diffuser_loss(40);
  EXPECT_LT(coarse, 0.01);
  EXPECT_LT(middle, 0.5 * coarse);
  EXPECT_LT(fine, 0.35 * middle);
}

/// Haaland's f as printed (Journal of Fluids Engineering 105, 1983), Fanning's.
double haaland(double reynolds, double relative_roughness) {
  const double root = -3.6 * std::log10(6.9 / reynolds + std::pow(relative_roughness / 3.7, 1.11));
  return 1.0 / (root * root);
}

TEST(LongDuct, FrictionFollowsFanno) {
  Duct duct;
  duct.length = 1.2;
  const double diameter = 0.02;
  const std::size_t n = 200;
  duct.face_areas = constant_areas(std::acos(-1.0) / 4.0 * diameter * diameter, n);
  duct.roughness = 2e-4;
  NetworkOptions options;
  options.wall_heat = 0.0;
  Network net(air(), options);
  net.add_duct(duct, [](double) { return GasState{1.5e5, t0, 50.0, 0.0}; });
  net.open_to({0, Side::left}, {p0, t0, 0.0, 0.0});
  net.open_to({0, Side::right}, {1.1e5, t0, 0.0, 0.0});
  EXPECT_FALSE(net.run(0.5).problem.has_value());
  const std::size_t from = 20;
  const std::size_t to = 180;
  double length = 0.0;  // ∫ 4 f dx/D
  for (std::size_t i = from; i < to; ++i) {
    const double t = 0.5 * (net.state(0, i).temperature + net.state(0, i + 1).temperature);
    const double mass = net.density(0, i) * net.state(0, i).velocity;
    const double viscosity = 1.458e-6 * std::pow(t, 1.5) / (t + 110.4);
    length += 4.0 * haaland(mass * diameter / viscosity, duct.roughness / diameter) * duct.length /
              static_cast<double>(n) / diameter;
  }
  const Probe a = probe(net, duct, from);
  const Probe b = probe(net, duct, to);
  EXPECT_GT(b.mach, 1.2 * a.mach);
  EXPECT_NEAR(tables::fanno(a.mach) - tables::fanno(b.mach), length, 3e-3 * length);
  EXPECT_NEAR(a.stagnation_temperature(), t0, 1e-3 * t0);
  EXPECT_NEAR(b.stagnation_temperature(), t0, 1e-3 * t0);
}

// Heat without friction to speak of: a very short duct with the heat by the analogy taken a thousandfold.
TEST(LongDuct, HeatFollowsRayleigh) {
  Duct duct;
  duct.length = 0.004;
  const double diameter = 0.02;
  const std::size_t n = 100;
  duct.face_areas = constant_areas(std::acos(-1.0) / 4.0 * diameter * diameter, n);
  duct.wall_temperature = 900.0;
  NetworkOptions options;
  options.wall_heat = 150.0;
  Network net(air(), options);
  net.add_duct(duct, [](double) { return GasState{1.9e5, t0, 50.0, 0.0}; });
  net.open_to({0, Side::left}, {p0, t0, 0.0, 0.0});
  net.open_to({0, Side::right}, {1.8e5, t0, 0.0, 0.0});
  EXPECT_FALSE(net.run(0.01).problem.has_value());
  const Probe a = probe(net, duct, 10);
  const Probe b = probe(net, duct, 90);
  const double heated = b.stagnation_temperature() / a.stagnation_temperature();
  EXPECT_GT(heated, 1.1);
  EXPECT_NEAR(heated, tables::rayleigh_stagnation(b.mach) / tables::rayleigh_stagnation(a.mach),
              5e-3 * heated);
  EXPECT_NEAR(b.pressure / a.pressure, tables::rayleigh_pressure(b.mach) / tables::rayleigh_pressure(a.mach),
              2e-3);
}

}  // namespace
}  // namespace fettle::gasflow::test
