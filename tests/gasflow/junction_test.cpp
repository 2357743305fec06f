#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "gasflow/gas_tables.h"
#include "gasflow/network.h"

namespace fettle::gasflow::test {
namespace {

Duct pipe(double length, double area, std::size_t cells) {
  Duct duct;
  duct.length = length;
  duct.face_areas = constant_areas(area, cells);
  duct.friction = false;
  return duct;
}

TEST(Junction, KeepsMassEnergyAndBurnedGasToRounding) {
  NetworkOptions options;
  options.wall_heat = 0.0;
  Network net(GasPair(isooctane, 1.0), options);
  for (std::size_t i = 0; i < 4; ++i) {
    const double part = static_cast<double>(i);
    net.add_duct(pipe(0.3, (4.0 + 3.0 * part) * 1e-4, 40), [part](double x) {
      return part < 1.0 && x < 0.15 ? GasState{4e5, 1300.0, 0.0, 1.0}
                                    : GasState{1e5, 350.0 + 50.0 * part, 0.0, 0.1 * part};
    });
    net.close({i, Side::left});
  }
  net.join({{0, Side::right}, {1, Side::right}, {2, Side::right}, {3, Side::right}}, {0.0, 0.5, 2.0, 3.1});
  const Totals before = net.duct_totals();
  EXPECT_FALSE(net.run(0.01).problem.has_value());
  const Totals after = net.duct_totals();
  EXPECT_NEAR(after.mass, before.mass, 1e-13 * before.mass);
  EXPECT_NEAR(after.burned, before.burned, 1e-13 * before.mass);
  EXPECT_NEAR(after.energy, before.energy, 1e-13 * std::abs(before.energy) + 1e-13 * before.mass * 1e6);
  EXPECT_GT(net.state(3, 0).velocity * net.state(3, 0).velocity + net.state(1, 0).pressure, 1.0e5);
}

/// Pressure at the far end of a pipe of a metre after a pulse has run through, the pipe cut in the middle or
/// not.
double arrived(bool cut, bool as_step) {
  Network net(GasPair::perfect(287.0, 1.4), {});
  const auto pulse = [](double x) {
    const double p = 1e5 * (1.0 + 0.3 * std::exp(-std::pow((x - 0.25) / 0.06, 2.0)));
    return GasState{p, 300.0 * std::pow(p / 1e5, 2.0 / 7.0), 0.0, 0.0};
  };
  if (cut) {
    net.add_duct(pipe(0.5, 1e-3, 100), pulse);
    net.add_duct(pipe(0.5, 1e-3, 100), [&](double x) { return pulse(x + 0.5); });
    if (as_step) {
      net.step_in_area({0, Side::right}, {1, Side::left});
    } else {
      net.join({{0, Side::right}, {1, Side::left}}, {0.0, std::numbers::pi});
    }
    net.close({0, Side::left});
    net.close({1, Side::right});
  } else {
    net.add_duct(pipe(1.0, 1e-3, 200), pulse);
    net.close({0, Side::left});
    net.close({0, Side::right});
  }
  double highest = 0.0;
  while (net.time() < 2.4e-3) {
    net.step(1.0);
    highest = std::max(highest, net.state(cut ? 1 : 0, cut ? 99 : 199).pressure);
  }
  return highest;
}

// A cut through a straight pipe is no obstacle: the uncut pipe is the independent solution.
TEST(Junction, StraightCutIsNotThere) {
  const double whole = arrived(false, false) - 1e5;
  EXPECT_NEAR(arrived(true, false) - 1e5, whole, 0.01 * whole);
  EXPECT_NEAR(arrived(true, true) - 1e5, whole, 0.01 * whole);
}

// Weak wave onto a change of area: transmitted 2 A1/(A1 + A2 + ...) (Kinsler and Frey, Fundamentals of
// Acoustics, ch. 10).
TEST(Junction, WeakWavesDivideAsAcousticsSays) {
  for (const bool step : {true, false}) {
    Network net(GasPair::perfect(287.0, 1.4), {});
    const double swell = 20.0;
    net.add_duct(pipe(0.5, 1e-3, 100), [&](double x) {
      const double p = 1e5 + 0.5 * swell * (1.0 + std::tanh((0.4 - x) / 0.02));  // a front, level behind it
      const double c = std::sqrt(1.4 * 287.0 * 300.0);
      return GasState{p, 300.0 * std::pow(p / 1e5, 2.0 / 7.0), (p - 1e5) / (1e5 / (287.0 * 300.0) * c), 0.0};
    });
    net.add_duct(pipe(0.5, 3e-3, 100), [](double) { return GasState{1e5, 300.0, 0.0, 0.0}; });
    if (step) {
      net.step_in_area({0, Side::right}, {1, Side::left});
    } else {
      net.add_duct(pipe(0.5, 2e-3, 100), [](double) { return GasState{1e5, 300.0, 0.0, 0.0}; });
      net.join({{0, Side::right}, {1, Side::left}, {2, Side::left}});
      net.close({2, Side::right});
    }
    net.close({0, Side::left});
    net.close({1, Side::right});
    EXPECT_FALSE(net.run(1.1e-3).problem.has_value());
    const double expected = swell * 2.0 / (1.0 + 3.0 + (step ? 0.0 : 2.0));
    EXPECT_NEAR(net.state(1, 20).pressure - 1e5, expected, 2e-3 * expected);
  }
}

// Steady flow: into the narrow pipe isentropic; into the wide one with Borda and Carnot's loss ½ ρ (u1 - u2)²
// (White, Fluid Mechanics, section 6.9), at a Mach number so low that the density hardly changes.
TEST(Junction, StepsLoseWhatBordaAndCarnotSay) {
  for (const bool widening : {true, false}) {
    Network net(GasPair::perfect(287.0, 1.4), {});
    const double a1 = widening ? 1e-3 : 2e-3;
    const double a2 = widening ? 2e-3 : 1e-3;
    net.add_duct(pipe(0.3, a1, 30), [](double) { return GasState{1e5, 300.0, 20.0, 0.0}; });
    net.add_duct(pipe(0.3, a2, 30), [](double) { return GasState{1e5, 300.0, 20.0, 0.0}; });
    net.open_to({0, Side::left}, {1.02e5, 300.0, 0.0, 0.0});
    net.step_in_area({0, Side::right}, {1, Side::left});
    net.open_to({1, Side::right}, {1e5, 300.0, 0.0, 0.0});
    EXPECT_FALSE(net.run(0.6).problem.has_value());
    const GasState one = net.state(0, 15);
    const GasState two = net.state(1, 15);
    const auto stagnation = [](const GasState& s) {
      const double m = s.velocity / std::sqrt(1.4 * 287.0 * s.temperature);
      return s.pressure / tables::pressure_ratio(m);
    };
    const double loss =
        widening ? 0.5 * net.density(0, 15) * std::pow(one.velocity - two.velocity, 2.0) : 0.0;
    const double dynamic = stagnation(one) - one.pressure + stagnation(two) - two.pressure;
    EXPECT_NEAR(stagnation(one) - stagnation(two), loss, 0.02 * dynamic) << widening;
    EXPECT_GT(one.velocity, 15.0);
  }
}

}  // namespace
}  // namespace fettle::gasflow::test
