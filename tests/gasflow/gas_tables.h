#pragma once

#include <cmath>

/// Closed forms of the flow of a perfect gas, heat ratio 1.4: NACA Report 1135, *Equations, Tables, and
/// Charts for Compressible Flow* (isentropic eq. 43 to 46 and 80, normal shock eq. 93 to 99); Shapiro, *The
/// Dynamics and Thermodynamics of Compressible Fluid Flow*, chapters 6 (Fanno) and 7 (Rayleigh).
namespace fettle::gasflow::test::tables {

inline constexpr double g = 1.4;

inline double temperature_ratio(double m) {
  return 1.0 / (1.0 + 0.5 * (g - 1.0) * m * m);
}
inline double pressure_ratio(double m) {
  return std::pow(temperature_ratio(m), g / (g - 1.0));
}
inline double density_ratio(double m) {
  return std::pow(temperature_ratio(m), 1.0 / (g - 1.0));
}
inline double area_ratio(double m) {
  return std::pow(2.0 / (g + 1.0) / temperature_ratio(m), 0.5 * (g + 1.0) / (g - 1.0)) / m;
}
/// Mach number below one where A/A* is `ratio`.
inline double subsonic_mach(double ratio) {
  double low = 1e-6;
  double high = 1.0;
  for (int i = 0; i < 200; ++i) {
    const double m = 0.5 * (low + high);
    (area_ratio(m) > ratio ? low : high) = m;
  }
  return low;
}
inline double shock_pressure(double m) {
  return 1.0 + 2.0 * g / (g + 1.0) * (m * m - 1.0);
}
inline double shock_density(double m) {
  return (g + 1.0) * m * m / ((g - 1.0) * m * m + 2.0);
}
inline double shock_mach(double m) {
  return std::sqrt((1.0 + 0.5 * (g - 1.0) * m * m) / (g * m * m - 0.5 * (g - 1.0)));
}
inline double shock_stagnation(double m) {
  return shock_pressure(m) * pressure_ratio(m) / pressure_ratio(shock_mach(m));
}
/// 4 f L*/D to sonic speed.
inline double fanno(double m) {
  return (1.0 - m * m) / (g * m * m) +
         0.5 * (g + 1.0) / g * std::log(0.5 * (g + 1.0) * m * m * temperature_ratio(m));
}
inline double rayleigh_stagnation(double m) {
  const double d = 1.0 + g * m * m;
  return 2.0 * (g + 1.0) * m * m / (d * d) / temperature_ratio(m);
}
inline double rayleigh_pressure(double m) {
  return (1.0 + g) / (1.0 + g * m * m);
}

}  // namespace fettle::gasflow::test::tables
