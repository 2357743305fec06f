#include "pull/correction.h"

#include <cmath>
#include <stdexcept>

namespace fettle::pull {

namespace {

/// Zero Celsius as both standards' formulas have it.
constexpr double rounded_celsius_zero = 273.0;

void check(double dry_pressure, double temperature) {
  if (!(dry_pressure > 0.0 && temperature > 0.0)) {
    throw std::invalid_argument("power correction: pressure and temperature must be positive");
  }
}

/// Temperature counted as the formulas do, from 273 K.
double as_printed(double temperature) {
  return temperature - 273.15 + rounded_celsius_zero;
}

}  // namespace

double sae_j1349(double dry_pressure, double temperature) {
  check(dry_pressure, temperature);
  return 1.180 * (99000.0 / dry_pressure) * std::sqrt(as_printed(temperature) / 298.0) - 0.18;
}

double iso_1585(double dry_pressure, double temperature) {
  check(dry_pressure, temperature);
  return std::pow(99000.0 / dry_pressure, 1.2) * std::pow(as_printed(temperature) / 298.0, 0.6);
}

}  // namespace fettle::pull
