#pragma once

#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

#include <Eigen/Dense>

#include "mechanism/lobe_card.h"
#include "mechanism/units.h"
#include "mechanism/valve_dynamics.h"

// Invented trains and lobes of given shape for the tests and the benchmark of the valve train.
namespace fettle::mechanism::test {

inline constexpr double rpm = 2.0 * std::numbers::pi / 60.0;

/// A flat-tappet street lobe from its card, top at 108 degrees.
inline const metrology::PeriodicSpline& street_lobe() {
  static const SynthesisedLobe lobe = synthesise_lobe(symmetric_card(
      0.300 * inch, 108 * degree,
      {{0.006 * inch, 276 * degree}, {0.050 * inch, 220 * degree}, {0.200 * inch, 134 * degree}}));
  return lobe.curve.value();
}

inline RunningLobe running(const metrology::PeriodicSpline& curve, double top = 108 * degree) {
  return {&curve, 0.0, top};
}

/// A small pushrod V8's valve with a solid tappet, a ratio of 1.5 and a single spring.
inline ValveTrain street_train() {
  ValveTrain train;
  train.tappet_mass = 0.120;
  train.lever_mass = 0.060;
  train.valve_mass = 0.150;
  train.lever = constant_ratio(1.5);
  train.lash = 0.2e-3;
  ChainSpring spring;
  spring.load = 500.0;
  spring.rate = 55e3;
  spring.active_mass = 0.055;
  spring.travel_to_solid = 13.5e-3;
  train.springs = {spring};
  return train;
}

/// The spline of `knots` coefficients through a function of period 4π at its knots.
inline metrology::PeriodicSpline spline_through(const std::function<double(double)>& f, int knots) {
  const double period = 4.0 * std::numbers::pi;
  // The cardinal quintic B-spline at 0, 1, 2: 66, 26, 1 over 120 (de Boor).
  Eigen::VectorXd values(knots);
  for (int i = 0; i < knots; ++i) {
    values(i) = f(period * i / knots);
  }
  // Its inverse filter, by fixed-point iteration: the matrix is diagonally dominant (66 > 2 (26 + 1)).
  Eigen::VectorXd c = values;
  for (int round = 0; round < 400; ++round) {
    Eigen::VectorXd next(knots);
    for (int i = 0; i < knots; ++i) {
      const auto at = [&](int k) { return c((i + k + knots) % knots); };
      next(i) = (120.0 * values(i) - 26.0 * (at(-1) + at(1)) - (at(-2) + at(2))) / 66.0;
    }
    c = next;
  }
  return {period, 0.0, c};
}

}  // namespace fettle::mechanism::test
