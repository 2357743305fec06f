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

/// The engine that the constants are for: ratio 9.5, from 350 K and 95 kPa at an effective ratio of 8
/// compressed with exponent 1.335, 7 % burned gas, lambda 0.88; at a spark 32 degrees before TDC (574 K, 683
/// kPa), and at TDC (700 K, 1.51 MPa).
constexpr BurnState reference_spark{8.8, 6.9e-6, 0.60, 0.0189, 0.088, 0.070};
constexpr BurnState reference_tdc{8.8, 4.3e-6, 0.77, 0.01035, 0.088, 0.070};
constexpr BurnAngles reference_angles{24.0 * degree, 32.0 * degree};

bool sound(const BurnState& s) {
  return s.piston_speed > 0.0 && s.viscosity > 0.0 && s.laminar_speed > 0.0 && s.height > 0.0 &&
         s.stroke > 0.0 && s.flame_travel > 0.0;
}

double scale(const BurnState& s) {
  return std::cbrt(s.piston_speed * s.viscosity) * std::pow(s.height / s.laminar_speed, 2.0 / 3.0) / s.stroke;
}

double slenderness(const BurnState& s) {
  return s.flame_travel / s.height;
}

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

BurnAngles burn_angles(const BurnState& at_spark, const BurnState& at_tdc) {
  if (!sound(at_spark) || !sound(at_tdc)) {
    throw std::invalid_argument("burn_angles: every part of the states must be positive");
  }
  return {reference_angles.development * scale(at_spark) / scale(reference_spark),
          reference_angles.rapid * scale(at_tdc) * slenderness(at_tdc) /
              (scale(reference_tdc) * slenderness(reference_tdc))};
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
