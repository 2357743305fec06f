#pragma once

#include <array>

#include "gasflow/species.h"

namespace fettle::gasflow {

/// Amounts of each species, mol; any scale.
using Composition = std::array<double, species_count>;

/// Fuel CHy per carbon atom. Its vapour's heat capacity is isooctane's, by mass.
struct Fuel {
  double hydrogen_per_carbon = 2.25;    ///< y; > 0
  double lower_heating_value = 44.3e6;  ///< of the liquid at 298.15 K, J/kg; > 0

  bool operator==(const Fuel&) const = default;
};
inline constexpr Fuel isooctane{2.25, 44.3e6};  ///< Heywood, table D.4 (from memory)
inline constexpr Fuel gasoline{1.87, 44.0e6};   ///< Heywood, table D.4 (from memory)

/// kg of air per kg of fuel that leave neither oxygen nor fuel: 34.56 (4 + y)/(12.011 + 1.008 y), Heywood
/// eq. 3.6.
double stoichiometric_afr(const Fuel& fuel);

/// Dry air: 20.95 % oxygen, 0.93 % argon, 0.04 % CO2, the rest nitrogen, by volume.
Composition air();
/// One mole of air and the vapour of the fuel at an equivalence ratio (0 gives air).
Composition fresh_charge(const Fuel& fuel, double equivalence_ratio);
/// What one mole of air and that fuel burn to without dissociation: oxygen left where lean; CO and H2 where
/// rich, shared by the water-gas reaction frozen at K = 3.5, its value at 1740 K (Heywood, section 4.9.1 and
/// table 4.3).
Composition burned_charge(const Fuel& fuel, double equivalence_ratio);
double molar_mass(const Composition& amounts);  ///< mean, kg/mol

/// One gas of fixed composition, per kilogram. Sensible enthalpy is zero at the datum. Plain data, so that
/// the kernels of every instruction set can take it. Two ranges as Nasa7, meeting at 1000 K; h[5] closes the
/// gap there.
struct PureGas {
  double gas_constant = 0.0;       ///< R, J/(kg K)
  std::array<double, 5> cp_low{};  ///< J/(kg K), powers of T
  std::array<double, 5> cp_high{};
  double h_low = 0.0;  ///< constants of the enthalpy, J/kg
  double h_high = 0.0;
};

/// Fresh charge (f) and burned gas (b); a mixture holds the mass fraction `burned` of b. Ideal gases,
/// composition frozen, no dissociation: valid 250 to 3000 K (fresh to 2000 K: its fuel would have cracked by
/// then).
///
/// The energy of the ducts is *sensible*; what burning frees enters in the cylinder, where gas goes from f to
/// b.
class GasPair {
 public:
  /// Charge of a fuel at an equivalence ratio in (0, 2]; throws std::invalid_argument outside.
  GasPair(const Fuel& fuel, double equivalence_ratio);
  /// Both gases the same, perfect, with constant heats; h = cp T (its datum at absolute zero).
  static GasPair perfect(double gas_constant, double heat_ratio, double heat_of_combustion = 0.0);
  /// Dry air and burned gas of nothing: air in both places, cp(T).
  static GasPair dry_air();

  const PureGas& fresh() const { return fresh_; }
  const PureGas& burned() const { return burned_; }
  /// Freed at constant pressure and 298.15 K by one kg of fresh charge burning, products gaseous, fuel
  /// vaporised, J/kg.
  double heat_of_combustion() const { return heat_; }
  double fuel_fraction() const { return fuel_fraction_; }  ///< kg of fuel in one kg of fresh charge

  double gas_constant(double burned) const;                    ///< R, J/(kg K)
  double cp(double temperature, double burned) const;          ///< J/(kg K)
  double enthalpy(double temperature, double burned) const;    ///< sensible h, J/kg
  double energy(double temperature, double burned) const;      ///< sensible e = h - R T, J/kg
  double heat_ratio(double temperature, double burned) const;  ///< cp/cv
  struct Heats {
    double gas_constant, cp, enthalpy;
  };
  Heats heats(double temperature, double burned) const;  ///< the three at once
  double sound_speed(double temperature, double burned) const;
  /// Inverse of energy() by Newton's iteration from `guess`, to rounding; throws std::invalid_argument where
  /// there is no temperature in 50 to 6000 K (perfect gases: no positive one).
  double temperature_from_energy(double energy, double burned, double guess = 600.0) const;
  /// ∫cp/T dT, J/(kg K): its differences are those of entropy at constant pressure.
  double entropy_function(double temperature, double burned) const;

 private:
  GasPair() = default;
  PureGas fresh_;
  PureGas burned_;
  double heat_ = 0.0;
  double fuel_fraction_ = 0.0;
};

/// Dynamic viscosity, Pa s: Sutherland's law for air, 1.458e-6 T^1.5/(T + 110.4) (U.S. Standard Atmosphere
/// 1976, eq. 51).
double viscosity(double temperature);

}  // namespace fettle::gasflow
