#include "gasflow/engine.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace fettle::gasflow::test {
namespace {

constexpr double pi = std::numbers::pi;
constexpr double degree = pi / 180.0;

Duct pipe(double length, double area, std::size_t cells) {
  Duct duct;
  duct.length = length;
  duct.face_areas = constant_areas(area, cells);
  return duct;
}

/// An opening between two angles of [0, 4π), with ramps.
std::function<double(double, bool)> opening(double from, double to, double ramp, double area) {
  return [=](double x, bool) {
    double at = std::fmod(x - from + 8.0 * pi, 4.0 * pi);
    const double length = to - from;
    if (at > length) {
      return 0.0;
    }
    at = std::min(at, length - at);
    const double part = std::min(1.0, at / ramp);
    return area * part * part * (3.0 - 2.0 * part);
  };
}

CylinderSetup setup() {
  CylinderSetup s;
  s.crank = {43e-3, 148.6e-3, 0.0};
  s.bore = 86e-3;
  s.compression_ratio = 10.0;
  return s;
}

// Quasi-static filling of an ideal cycle, Heywood eq. 6.3 without fuel and moisture terms:
// e_v = r/(r - 1) - (pe/pi + γ - 1)/(γ (r - 1)).
TEST(Engine, FillsAtACrawlAsTheIdealCycleSays) {
  for (const double exhaust_pressure : {1e5, 1.5e5}) {
    const GasPair gas = GasPair::perfect(287.0, 1.4, 0.0);
    NetworkOptions options;
    options.wall_heat = 0.0;
    Network net(gas, options);
    const auto in = net.add_duct(pipe(0.08, 12e-4, 6), [](double) { return GasState{1e5, 300.0, 0.0, 0.0}; });
    const auto out = net.add_duct(pipe(0.08, 12e-4, 6), [&](double) {
      return GasState{exhaust_pressure, 400.0, 0.0, 1.0};
    });
    net.open_to({in, Side::left}, {1e5, 300.0, 0.0, 0.0});
    net.open_to({in, Side::right}, {1e5, 300.0, 0.0, 0.0});
    net.open_to({out, Side::left}, {1e5, 300.0, 0.0, 0.0});
    net.open_to({out, Side::right}, {exhaust_pressure, 400.0, 0.0, 1.0});
    CylinderSetup s = setup();
    s.intake_closing = pi;
    s.exhaust_opening = 3.0 * pi;
    s.burn = CylinderSetup::Burn{2.0 * pi, 0.5, 5.0, 2.0, 1.0};
    Engine engine(std::move(net), {{s, 0.0, {exhaust_pressure, 400.0, 0.0, 1.0}}},
                  {{{in, Side::right}, 0, opening(0.0, pi, 0.1, 10e-4), true},
                   {{out, Side::left}, 0, opening(3.0 * pi, 4.0 * pi, 0.1, 10e-4), false}});
    EngineOptions run;
    run.speed = 150.0 * pi / 30.0;
    run.reference_density = 1e5 / (287.0 * 300.0);
    const EngineResult result = engine.run(run);
    EXPECT_TRUE(result.converged) << result.why;
    const double expected = 10.0 / 9.0 - (exhaust_pressure / 1e5 + 0.4) / (1.4 * 9.0);
    EXPECT_NEAR(result.cylinders[0].volumetric_efficiency, expected, 0.01);
    // Pumping at a crawl is the rectangle between the two pressures.
    EXPECT_NEAR(result.cylinders[0].pmep, 1e5 - exhaust_pressure, 0.02e5);
  }
}

/// One or more cylinders on a common intake junction and exhaust junction, fired.
Engine small_engine(std::size_t count, double wall_heat) {
  NetworkOptions options;
  options.wall_heat = wall_heat;
  Network net(GasPair(isooctane, 1.1), options);
  std::vector<EngineCylinder> cylinders;
  std::vector<EngineValve> valves;
  const GasState fresh{1e5, 310.0, 0.0, 0.0};
  const GasState hot{1.05e5, 900.0, 0.0, 1.0};
  std::vector<DuctEnd> inner;
  std::vector<DuctEnd> outer;
  for (std::size_t i = 0; i < count; ++i) {
    const auto in = net.add_duct(pipe(0.35, 12e-4, 24), [&](double) { return fresh; });
    const auto out = net.add_duct(pipe(0.5, 10e-4, 24), [&](double) { return hot; });
    net.open_to({in, Side::right}, fresh);
    net.open_to({out, Side::left}, hot);
    inner.push_back({in, Side::left});
    outer.push_back({out, Side::right});
    CylinderSetup s = setup();
    s.intake_closing = pi + 50.0 * degree;
    s.exhaust_opening = 3.0 * pi - 50.0 * degree;
    s.burn = CylinderSetup::Burn{2.0 * pi - 25.0 * degree, 60.0 * degree, 5.0, 2.0, 0.95};
    s.heat_law = HeatLaw::woschni;
    s.blow_by_area = 5e-7;
    s.crankcase = {1e5, 350.0, 0.0, 1.0};
    cylinders.push_back(
        {s, 4.0 * pi * static_cast<double>(i) / static_cast<double>(count), {1e5, 500.0, 0.0, 0.5}});
    valves.push_back({{in, Side::right}, i, opening(-15.0 * degree, pi + 50.0 * degree, 1.2, 7e-4), true});
    valves.push_back({{out, Side::left},
                      i,
                      opening(3.0 * pi - 50.0 * degree, 4.0 * pi + 15.0 * degree, 1.2, 6e-4),
                      false});
  }
  if (count == 1) {
    net.open_to(inner[0], fresh);
    net.open_to(outer[0], {1e5, 600.0, 0.0, 1.0});
  } else {
    const auto trunk = net.add_duct(pipe(0.2, 25e-4, 14), [&](double) { return fresh; });
    const auto tail = net.add_duct(pipe(0.6, 20e-4, 30), [&](double) { return hot; });
    inner.push_back({trunk, Side::right});
    outer.push_back({tail, Side::left});
    net.join(inner);
    net.join(outer);
    net.open_to({trunk, Side::left}, fresh);
    net.open_to({tail, Side::right}, {1e5, 600.0, 0.0, 1.0});
  }
  return {std::move(net), std::move(cylinders), std::move(valves)};
}

TEST(Engine, MassAndEnergyCloseOverACycle) {
  Engine engine = small_engine(1, 0.0);
  EngineOptions options;
  options.speed = 3500.0 * pi / 30.0;
  const EngineResult result = engine.run(options);
  ASSERT_TRUE(result.converged) << result.why;
  const CylinderResult& c = result.cylinders[0];
  EXPECT_LT(std::abs(result.mass_error), 1e-9 * c.record.trapped_mass);
  EXPECT_LT(std::abs(result.duct_heat), 1e-9 * c.record.released);
  EXPECT_LT(std::abs(c.energy_error), 1e-9 * c.record.released);
  // What was burned is what was drawn, trapped and not lost: released heat over the charge's own.
  const GasPair gas(isooctane, 1.1);
  EXPECT_NEAR(c.record.released, 0.95 * wiebe(1.0) * c.record.trapped_fresh * gas.heat_of_combustion(),
              0.01 * c.record.released);
  EXPECT_GT(c.volumetric_efficiency, 0.6);
  EXPECT_LT(c.volumetric_efficiency, 1.2);
  // Below the fuel-air cycle's and above nothing: losses are on. (Otto at ratio 10 and γ 1.3 is 0.5.)
  const double efficiency = c.record.work / c.record.released;
  EXPECT_GT(efficiency, 0.2);
  EXPECT_LT(efficiency, 0.5);
}

TEST(Engine, CylindersThatAreAlikeWorkAlike) {
  Engine engine = small_engine(3, 1.0);
  EngineOptions options;
  options.speed = 4000.0 * pi / 30.0;
  options.tolerance = 2e-4;
  const EngineResult result = engine.run(options);
  ASSERT_TRUE(result.converged) << result.why;
  double most = 0.0;
  double least = 1e9;
  for (const CylinderResult& c : result.cylinders) {
    most = std::max(most, c.imep);
    least = std::min(least, c.imep);
  }
  EXPECT_LT(most - least, 5e-3 * most);
  EXPECT_GT(result.brake_torque, 0.0);
  EXPECT_LT(result.brake_torque, result.indicated_torque);
  EXPECT_NEAR(result.brake_power, result.brake_torque * options.speed, 1e-9 * result.brake_power);
  EXPECT_GT(result.duct_heat, 0.0);  // hot gas in pipes of 293 K
}

TEST(Engine, SaysWhyItDidNotConverge) {
  Engine engine = small_engine(1, 1.0);
  EngineOptions options;
  options.speed = 3000.0 * pi / 30.0;
  options.tolerance = 1e-12;
  options.most_cycles = 2;
  const EngineResult result = engine.run(options);
  EXPECT_FALSE(result.converged);
  EXPECT_NE(result.why.find("2 cycles"), std::string::npos);
}

TEST(Engine, ValvesWithoutCylinderOrEndAreRefused) {
  Network net(GasPair::dry_air(), {});
  net.add_duct(pipe(0.3, 1e-3, 10), [](double) { return GasState{}; });
  net.open_to({0, Side::left}, {});
  net.close({0, Side::right});
  std::vector<EngineCylinder> one{{setup(), 0.0, {}}};
  one[0].setup.intake_closing = pi;
  one[0].setup.exhaust_opening = 3.0 * pi;
  const std::vector<EngineValve> valves{{{0, Side::right}, 0, opening(0.0, 1.0, 0.1, 1e-4), true}};
  EXPECT_THROW(Engine(std::move(net), one, valves), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::gasflow::test
