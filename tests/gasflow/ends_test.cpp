#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "gasflow/network.h"

namespace fettle::gasflow::test {
namespace {

constexpr double pi = std::numbers::pi;

Duct pipe(double length, double area, std::size_t cells) {
  Duct duct;
  duct.length = length;
  duct.face_areas = constant_areas(area, cells);
  duct.friction = false;
  return duct;
}

// Choked mass flux of 101325 Pa and 300 K, R 287 J/(kg K): 236.448 kg/(m2 s); 1 cm2 at 288.15 K, R 287.05:
// 0.0241240 kg/s (p0 sqrt(γ/(R T0)) (2/(γ + 1))^3, John and Keith, Gas Dynamics, ch. 3; recomputed).
TEST(Orifice, ChokedFlowIsTheClosedForm) {
  for (const auto& [r, t0, flux] : {std::tuple{287.0, 300.0, 236.448}, {287.05, 288.15, 241.240}}) {
    Network net(GasPair::perfect(r, 1.4), {});
    const double area = 4e-4;
    net.add_duct(pipe(0.5, area, 50), [](double) { return GasState{2e4, 290.0, 0.0, 0.0}; });
    net.open_to({0, Side::left}, {101325.0, t0, 0.0, 0.0}, 0.25);
    net.open_to({0, Side::right}, {2e4, 290.0, 0.0, 0.0});
    EXPECT_FALSE(net.run(0.1).problem.has_value());
    EXPECT_NEAR(-net.flow({0, Side::left}).mass, flux * 0.25 * area, 3e-6 * flux * 0.25 * area);
    EXPECT_NEAR(net.flow({0, Side::right}).mass, flux * 0.25 * area, 1e-4 * flux * 0.25 * area);
  }
}

// Isentropic flow through the throat to the pressure behind it: p0 ψ(p/p0)/sqrt(R T0) (John and Keith, ch.
// 3), the stagnation state being the duct's own.
TEST(Orifice, SubsonicFlowOutIsIsentropicFromTheDuctsStagnation) {
  Network net(GasPair::perfect(287.0, 1.4), {});
  const double area = 1e-3;
  const double ratio = 0.4;
  net.add_duct(pipe(0.4, area, 40), [](double) { return GasState{1.2e5, 300.0, 0.0, 0.0}; });
  net.open_to({0, Side::left}, {1.3e5, 300.0, 0.0, 0.0});
  net.open_to({0, Side::right}, {1e5, 300.0, 0.0, 0.0}, ratio);
  EXPECT_FALSE(net.run(0.5).problem.has_value());
  // Without loss at its mouth the duct's stagnation state is the reservoir's.
  const double p = 1e5 / 1.3e5;
  const double flux =
      1.3e5 / std::sqrt(287.0 * 300.0) * std::sqrt(7.0 * (std::pow(p, 2.0 / 1.4) - std::pow(p, 2.4 / 1.4)));
  EXPECT_NEAR(net.flow({0, Side::right}).mass, flux * ratio * area, 2e-4 * flux * ratio * area);
}

// Isentropic emptying through a choked throat: p/p0 = (1 + (γ - 1)/2 (2/(γ + 1))^((γ + 1)/(2 (γ - 1))) A c0
// t/V)^(-2 γ/(γ - 1)) (Saad, Compressible Fluid Flow, section on discharge from a tank).
TEST(Tank, BlowsDownAsTheClosedFormSays) {
  Network net(GasPair::perfect(287.0, 1.4), {});
  const double area = 1e-3;
  const double ratio = 0.05;
  const double volume = 4e-3;
  const double length = 0.05;
  net.add_duct(pipe(length, area, 10), [](double) { return GasState{1e6, 300.0, 0.0, 0.0}; });
  const std::size_t tank = net.add_plenum(volume - area * length, {1e6, 300.0, 0.0, 0.0});
  net.open_to_plenum({0, Side::left}, tank);
  net.open_to({0, Side::right}, {1e5, 300.0, 0.0, 0.0}, ratio);
  const double c0 = std::sqrt(1.4 * 287.0 * 300.0);
  for (int i = 1; i <= 4; ++i) {
    EXPECT_FALSE(net.run(0.05).problem.has_value());
    const double fraction = 1.0 + 0.2 * std::pow(1.0 / 1.2, 3.0) * ratio * area * c0 * net.time() / volume;
    const double expected = 1e6 * std::pow(fraction, -7.0);
    EXPECT_NEAR(net.plenum(tank).pressure, expected, 3e-3 * expected) << net.time();
  }
  EXPECT_LT(net.plenum(tank).pressure, 6e5);
}

/// Frequency of a signal that swings about `mean`, from the mean time between rising crossings.
double frequency(const std::function<double()>& step, const std::function<double()>& signal, double mean,
                 double duration) {
  double t = 0.0;
  double last = signal();
  std::vector<double> rising;
  while (t < duration) {
    const double dt = step();
    const double now = signal();
    if (last < mean && now >= mean) {
      rising.push_back(t + dt * (mean - last) / (now - last));
    }
    last = now;
    t += dt;
  }
  return static_cast<double>(rising.size() - 1) / (rising.back() - rising.front());
}

constexpr double p_room = 101325.0;
constexpr double c_room = 343.232;  // of R 287.05, 293.15 K

double pipe_frequency(bool closed, const std::function<double(double)>& shape, std::size_t listen) {
  Network net(GasPair::perfect(287.05, 1.4), {});
  net.add_duct(pipe(0.35, 1e-3, 70), [&](double x) {
    const double p = p_room * (1.0 + 1e-3 * shape(x));
    return GasState{p, 293.15 * std::pow(p / p_room, 2.0 / 7.0), 0.0, 0.0};
  });
  if (closed) {
    net.close({0, Side::left});
  } else {
    net.open_to({0, Side::left}, {p_room, 293.15, 0.0, 0.0});
  }
  net.open_to({0, Side::right}, {p_room, 293.15, 0.0, 0.0});
  return frequency([&] { return net.step(1.0); }, [&] { return net.state(0, listen).pressure; }, p_room,
                   0.05);
}

// c/(4 L) and c/(2 L) at c = 343.232 m/s, L = 0.35 m: 245.166 and 490.331 Hz (recomputed; Kinsler and Frey,
// Fundamentals of Acoustics, ch. 10), no end correction.
TEST(Resonance, PipesSoundAtTheirLength) {
  EXPECT_NEAR(pipe_frequency(
                  true, [](double x) { return std::cos(0.5 * pi * x / 0.35); }, 0),
              c_room / 1.4, 0.01 * 245.166);
  EXPECT_NEAR(pipe_frequency(
                  false, [](double x) { return std::sin(pi * x / 0.35); }, 35),
              490.331, 0.01 * 490.331);
}

double helmholtz_frequency(double volume) {
  Network net(GasPair::perfect(287.05, 1.4), {});
  const double area = 0.25 * pi * 0.04 * 0.04;
  const auto swell = [](double part) {
    const double p = p_room * (1.0 + 2e-3 * part);
    return GasState{p, 293.15 * std::pow(p / p_room, 2.0 / 7.0), 0.0, 0.0};
  };
  net.add_duct(pipe(0.3, area, 30), [&](double x) { return swell(1.0 - x / 0.3); });  // near the lowest mode

  const std::size_t box = net.add_plenum(volume, swell(1.0));
  net.open_to_plenum({0, Side::left}, box);
  net.open_to({0, Side::right}, {p_room, 293.15, 0.0, 0.0});
  return frequency([&] { return net.step(1.0); }, [&] { return net.plenum(box).pressure; }, p_room,
                   volume > 0.01 ? 0.5 : 0.06);
}

// Helmholtz c/(2 π) sqrt(A/(V L)) where the neck is short against the wave: 15.811 Hz with 50 l; with 0.5 l
// the neck's own length counts, k L tan(k L) = A L/V (Kinsler and Frey, ch. 10).
TEST(Resonance, BoxAndNeckAreHelmholtzs) {
  const double area = 0.25 * pi * 0.04 * 0.04;
  EXPECT_NEAR(helmholtz_frequency(0.05), c_room / (2.0 * pi) * std::sqrt(area / (0.05 * 0.3)), 0.01 * 15.811);
  double kl = 0.8;
  for (int i = 0; i < 100; ++i) {
    kl = 0.5 * (kl + std::atan(area * 0.3 / 5e-4 / kl));
  }
  const double expected = kl / 0.3 * c_room / (2.0 * pi);
  EXPECT_NEAR(helmholtz_frequency(5e-4), expected, 0.01 * expected);
}

TEST(Orifice, RatioOutsideItsRangeIsRefused) {
  Network net(GasPair::perfect(287.0, 1.4), {});
  net.add_duct(pipe(0.4, 1e-3, 40), [](double) { return GasState{}; });
  EXPECT_THROW(net.open_to({0, Side::left}, {}, 1.5), std::invalid_argument);
  EXPECT_THROW(net.open_to({0, Side::left}, {-1.0, 300.0, 0.0, 0.0}), std::invalid_argument);
  EXPECT_THROW(net.open_to_plenum({0, Side::left}, 3), std::invalid_argument);
  net.close({0, Side::left});
  net.open_to({0, Side::right}, {});
  net.set_area_ratio({0, Side::right}, 0.5);
  EXPECT_THROW(net.set_area_ratio({0, Side::left}, 0.5), std::invalid_argument);
  EXPECT_THROW(net.set_outside({0, Side::right}, {0.0, 300.0, 0.0, 0.0}), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::gasflow::test
