#include "gasflow/burn_duration.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace fettle::gasflow {

namespace {

constexpr double degree = std::numbers::pi / 180.0;
constexpr double atmosphere = 101325.0;
constexpr double reference_temperature = 298.0;
constexpr double least_speed = 0.03;

/// State of the engine that the constants are for: 3000 rpm, spark 32 degrees before TDC, ratio 9.5, charge
/// of 0.85 of the swept volume's air with 7 % burned gas, lambda 0.88.
constexpr BurnState reference{8.8, 3.9e-6, 0.66, 0.0189, 0.088, 0.070};
constexpr BurnAngles reference_angles{24.0 * degree, 32.0 * degree};

}  // namespace

double laminar_speed(const Fuel& fuel, double equivalence_ratio, double temperature, double pressure,
                     double residual) {
  if (!(temperature > 0.0 && pressure > 0.0 && residual >= 0.0 && residual <= 1.0)) {
    throw std::invalid_argument("laminar_speed: temperature, pressure or residual out of range");
  }
  const double phi = equivalence_ratio;
  const bool gasoline_like = fuel.hydrogen_per_carbon < 2.0;
  const double best = gasoline_like ? 1.21 : 1.13;
  const double at_best = gasoline_like ? 0.305 : 0.263;
  const double bend = gasoline_like ? -0.549 : -0.847;
  const double a = gasoline_like ? 2.4 - 0.271 * std::pow(phi, 3.51) : 2.18 - 0.8 * (phi - 1.0);
  const double b = gasoline_like ? -0.357 + 0.14 * std::pow(phi, 2.77) : -0.16 + 0.22 * (phi - 1.0);
  const double plain = at_best + bend * (phi - best) * (phi - best);
  const double diluted = 1.0 - 2.06 * std::pow(residual, 0.77);
  return std::max(least_speed, plain * std::pow(temperature / reference_temperature, a) *
                                   std::pow(pressure / atmosphere, b) * diluted);
}

BurnAngles burn_angles(const BurnState& s) {
  if (!(s.piston_speed > 0.0 && s.viscosity > 0.0 && s.laminar_speed > 0.0 && s.height > 0.0 &&
        s.stroke > 0.0 && s.flame_travel > 0.0)) {
    throw std::invalid_argument("burn_angles: every part of the state must be positive");
  }
  const auto scale = [](const BurnState& x) {
    return std::cbrt(x.piston_speed * x.viscosity) * std::pow(x.height / x.laminar_speed, 2.0 / 3.0) /
           x.stroke;
  };
  const double development = scale(s) / scale(reference);
  const double slenderness = (s.flame_travel / s.height) / (reference.flame_travel / reference.height);
  return {reference_angles.development * development, reference_angles.rapid * development * slenderness};
}

CylinderSetup::Burn wiebe_burn(const BurnAngles& angles, double start, double efficiency) {
  if (!(angles.development > 0.0 && angles.rapid > 0.0)) {
    throw std::invalid_argument("wiebe_burn: angles must be positive");
  }
  constexpr double a = 5.0;
  const double at_tenth = -std::log(0.9);
  const double at_nine_tenths = -std::log(0.1);
  const double power = std::log(at_nine_tenths / at_tenth) / std::log1p(angles.rapid / angles.development);
  CylinderSetup::Burn burn;
  burn.start = start;
  burn.duration = angles.development / std::pow(at_tenth / a, 1.0 / power);
  burn.a = a;
  burn.m = power - 1.0;
  burn.efficiency = efficiency;
  return burn;
}

}  // namespace fettle::gasflow
