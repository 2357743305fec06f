#include "gasflow/cylinder_laws.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace fettle::gasflow {

namespace {

constexpr double bar = 1e5;
constexpr double atmosphere = 101325.0;

}  // namespace

double wiebe(double part, double a, double m) {
  if (part <= 0.0) {
    return 0.0;
  }
  return 1.0 - std::exp(-a * std::pow(std::min(part, 1.0), m + 1.0));
}

double woschni(double bore, double pressure, double temperature, double speed) {
  return 130.0 * std::exp(0.8 * std::log(pressure / bar * std::max(speed, 0.0)) -
                          0.53 * std::log(temperature) - 0.2 * std::log(bore));
}

double woschni_heywood(double bore, double pressure, double temperature, double speed) {
  return 3.26 * std::exp(0.8 * std::log(pressure / 1000.0 * std::max(speed, 0.0)) -
                         0.55 * std::log(temperature) - 0.2 * std::log(bore));
}

double hohenberg(double volume, double pressure, double temperature, double piston_speed) {
  return 130.0 * std::pow(volume, -0.06) * std::pow(pressure / bar, 0.8) * std::pow(temperature, -0.4) *
         std::pow(piston_speed + 1.4, 0.8);
}

double woschni_speed(double piston_speed, bool exchanging, double swept_volume,
                     const WoschniReference& reference, double pressure, double motored_pressure) {
  if (exchanging) {
    return 6.18 * piston_speed;
  }
  const double burning = 3.24e-3 * swept_volume * reference.temperature /
                         (reference.pressure * reference.volume) * std::max(pressure - motored_pressure, 0.0);
  return 2.28 * piston_speed + burning;
}

double knock_delay(double pressure, double temperature, double octane_number) {
  if (!(pressure > 0.0 && temperature > 0.0 && octane_number > 0.0)) {
    throw std::invalid_argument("knock_delay: pressure, temperature and octane number must be positive");
  }
  return 17.68e-3 * std::pow(octane_number / 100.0, 3.402) * std::pow(pressure / atmosphere, -1.7) *
         std::exp(3800.0 / temperature);
}

double ChenFlynn::fmep(double peak_pressure, double piston_speed) const {
  return constant + per_pressure * peak_pressure + per_speed * piston_speed +
         per_speed2 * piston_speed * piston_speed;
}

double motored_fmep(double speed) {
  const double thousands = speed * 60.0 / (2.0 * std::numbers::pi) / 1000.0;
  return (0.97 + 0.15 * thousands + 0.05 * thousands * thousands) * bar;
}

double valve_opening(double lift, double head_diameter, double throat_diameter, double stem_diameter) {
  const double disc =
      0.25 * std::numbers::pi * (throat_diameter * throat_diameter - stem_diameter * stem_diameter);
  return std::clamp(std::numbers::pi * head_diameter * lift, 0.0, disc);
}

}  // namespace fettle::gasflow
