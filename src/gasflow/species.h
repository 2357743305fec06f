#pragma once

#include <array>
#include <cstddef>
#include <string_view>

namespace fettle::gasflow {

inline constexpr double universal_gas_constant = 8.314462618;  ///< J/(mol K), CODATA 2018
inline constexpr double datum_temperature = 298.15;            ///< K, where sensible enthalpy is zero

/// NASA polynomial of seven coefficients in two ranges:
/// cp/R = a1 + a2 T + a3 T² + a4 T³ + a5 T⁴, h/(R T) = a1 + a2 T/2 + a3 T²/3 + a4 T³/4 + a5 T⁴/5 + a6/T,
/// s/R = a1 ln T + a2 T + a3 T²/2 + a4 T³/3 + a5 T⁴/4 + a7 at 1 atm. h holds the enthalpy of formation.
struct Nasa7 {
  std::array<double, 7> low{};   ///< T <= middle
  std::array<double, 7> high{};  ///< T > middle
  double middle = 1000.0;        ///< K
};

double cp_over_r(const Nasa7& gas, double temperature);  ///< cp/R, 300 K to 3500 K (fuel: see species_table)
double h_over_rt(const Nasa7& gas, double temperature);  ///< h/(R T), formation included
double s_over_r(const Nasa7& gas, double temperature);   ///< s/R at 1 atm

/// What a charge or its products may hold.
enum class SpeciesId : std::size_t { n2, o2, ar, co2, h2o, co, h2, isooctane };
inline constexpr std::size_t species_count = 8;

struct Species {
  std::string_view name;
  double molar_mass = 0.0;  ///< kg/mol
  Nasa7 polynomial;
};

/// Coefficients of GRI-Mech 3.0; isooctane from the primary-reference-fuel mechanism of Lawrence Livermore
/// (Curran and others, Combustion and Flame 129, 2002), seen in copies of it; its two ranges meet at 1396 K.
const Species& species(SpeciesId id);

}  // namespace fettle::gasflow
