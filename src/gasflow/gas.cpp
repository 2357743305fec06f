#include "gasflow/gas.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace fettle::gasflow {

namespace {

constexpr double range_middle = 1000.0;

double& amount(Composition& c, SpeciesId id) {
  return c[static_cast<std::size_t>(id)];
}

double amount(const Composition& c, SpeciesId id) {
  return c[static_cast<std::size_t>(id)];
}

double mass(const Composition& c) {
  double sum = 0.0;
  for (std::size_t i = 0; i < species_count; ++i) {
    sum += c[i] * species(SpeciesId{i}).molar_mass;
  }
  return sum;
}

double carbon_mass(const Fuel& fuel) {
  return (12.011 + 1.008 * fuel.hydrogen_per_carbon) * 1e-3;  // kg per mole of carbon atoms
}

double oxygen_needed(const Fuel& fuel) {
  return 1.0 + fuel.hydrogen_per_carbon / 4.0;  // mol of O2 per mole of carbon atoms
}

double carbon_per_air(const Fuel& fuel, double equivalence_ratio) {
  return equivalence_ratio * amount(air(), SpeciesId::o2) / oxygen_needed(fuel);
}

double polynomial(const std::array<double, 5>& a, double t) {
  return a[0] + t * (a[1] + t * (a[2] + t * (a[3] + t * a[4])));
}

double integral(const std::array<double, 5>& a, double t) {
  return t * (a[0] + t * (a[1] * (1.0 / 2) +
                          t * (a[2] * (1.0 / 3) + t * (a[3] * (1.0 / 4) + t * a[4] * (1.0 / 5)))));
}

/// The species by mass, with the enthalpy's zero at the datum and continuous where the ranges meet.
PureGas pure_gas(const Composition& c) {
  PureGas gas;
  const double m = mass(c);
  for (std::size_t i = 0; i < species_count; ++i) {
    const Nasa7& p = species(SpeciesId{i}).polynomial;
    const double r = c[i] * universal_gas_constant / m;
    gas.gas_constant += r;
    // Past 1000 K a fuel's own lower range goes on: its ranges meet elsewhere.
    const auto& high = p.middle == range_middle ? p.high : p.low;
    for (std::size_t k = 0; k < 5; ++k) {
      gas.cp_low[k] += r * p.low[k];
      gas.cp_high[k] += r * high[k];
    }
  }
  gas.h_low = -integral(gas.cp_low, datum_temperature);
  gas.h_high = gas.h_low + integral(gas.cp_low, range_middle) - integral(gas.cp_high, range_middle);
  return gas;
}

double cp_of(const PureGas& gas, double t) {
  return polynomial(t > range_middle ? gas.cp_high : gas.cp_low, t);
}

double enthalpy_of(const PureGas& gas, double t) {
  return t > range_middle ? gas.h_high + integral(gas.cp_high, t) : gas.h_low + integral(gas.cp_low, t);
}

double entropy_of(const PureGas& gas, double t) {
  const auto part = [](const std::array<double, 5>& a, double x) {
    return a[0] * std::log(x) + x * (a[1] + x * (a[2] / 2 + x * (a[3] / 3 + x * a[4] / 4)));
  };
  if (t <= range_middle) {
    return part(gas.cp_low, t);
  }
  return part(gas.cp_low, range_middle) + part(gas.cp_high, t) - part(gas.cp_high, range_middle);
}

}  // namespace

double stoichiometric_afr(const Fuel& fuel) {
  return 34.56 * (4.0 + fuel.hydrogen_per_carbon) / (12.011 + 1.008 * fuel.hydrogen_per_carbon);
}

Composition air() {
  Composition c{};
  amount(c, SpeciesId::o2) = 0.2095;
  amount(c, SpeciesId::ar) = 0.0093;
  amount(c, SpeciesId::co2) = 0.0004;
  amount(c, SpeciesId::n2) = 1.0 - 0.2095 - 0.0093 - 0.0004;
  return c;
}

Composition fresh_charge(const Fuel& fuel, double equivalence_ratio) {
  Composition c = air();
  const double fuel_mass = carbon_per_air(fuel, equivalence_ratio) * carbon_mass(fuel);
  amount(c, SpeciesId::isooctane) = fuel_mass / species(SpeciesId::isooctane).molar_mass;
  return c;
}

// Rich: CO2 + H2 = CO + H2O frozen at K = [CO][H2O]/([CO2][H2]) = 3.5. With x = CO: the oxygen left over for
// carbon and hydrogen is shared, and (K - 1) x² - x (...) ... = 0 has one root that leaves every amount
// positive.
Composition burned_charge(const Fuel& fuel, double equivalence_ratio) {
  Composition c = air();
  const double carbon = carbon_per_air(fuel, equivalence_ratio);
  const double hydrogen = 0.5 * carbon * fuel.hydrogen_per_carbon;  // as H2 or H2O
  const double oxygen = amount(c, SpeciesId::o2);
  const double atmospheric = amount(c, SpeciesId::co2);
  const double left = oxygen - carbon * oxygen_needed(fuel);
  if (left >= -1e-12 * oxygen) {
    amount(c, SpeciesId::co2) = atmospheric + carbon;
    amount(c, SpeciesId::h2o) = hydrogen;
    amount(c, SpeciesId::o2) = std::max(left, 0.0);
    return c;
  }
  constexpr double k = 3.5;
  const double lacking = -2.0 * left;  // CO + H2
  if (lacking > carbon + hydrogen) {
    throw std::invalid_argument("burned_charge: so rich that soot would form");
  }
  // x (hydrogen - (lacking - x)) = k (carbon - x)(lacking - x)
  const double a = 1.0 - k;
  const double b = hydrogen - lacking + k * (carbon + lacking);
  const double q = -k * carbon * lacking;
  const double co = 2.0 * -q / (b + std::sqrt(b * b - 4.0 * a * q));
  amount(c, SpeciesId::co) = co;
  amount(c, SpeciesId::h2) = lacking - co;
  amount(c, SpeciesId::co2) = atmospheric + carbon - co;
  amount(c, SpeciesId::h2o) = hydrogen - (lacking - co);
  amount(c, SpeciesId::o2) = 0.0;
  return c;
}

double molar_mass(const Composition& c) {
  double moles = 0.0;
  for (const double n : c) {
    moles += n;
  }
  return mass(c) / moles;
}

GasPair::GasPair(const Fuel& fuel, double equivalence_ratio) {
  if (!(equivalence_ratio > 0.0 && equivalence_ratio <= 2.0)) {
    throw std::invalid_argument("GasPair: the equivalence ratio must lie in (0, 2]");
  }
  if (!(fuel.hydrogen_per_carbon > 0.0 && fuel.lower_heating_value > 0.0)) {
    throw std::invalid_argument("GasPair: hydrogen to carbon and the heating value must be positive");
  }
  const Composition charge = fresh_charge(fuel, equivalence_ratio);
  const Composition products = burned_charge(fuel, equivalence_ratio);
  fresh_ = pure_gas(charge);
  burned_ = pure_gas(products);
  const double fuel_mass = carbon_per_air(fuel, equivalence_ratio) * carbon_mass(fuel);
  fuel_fraction_ = fuel_mass / (fuel_mass + mass(air()));
  // What CO and H2 in the products would still free, from their enthalpies of formation.
  const auto formation = [](SpeciesId id) {
    return h_over_rt(species(id).polynomial, datum_temperature) * universal_gas_constant * datum_temperature;
  };
  const double unused =
      amount(products, SpeciesId::co) * (formation(SpeciesId::co) - formation(SpeciesId::co2)) +
      amount(products, SpeciesId::h2) * (formation(SpeciesId::h2) - formation(SpeciesId::h2o));
  heat_ = fuel_fraction_ * (fuel.lower_heating_value - unused / fuel_mass);
}

GasPair GasPair::perfect(double gas_constant, double heat_ratio, double heat_of_combustion) {
  if (!(gas_constant > 0.0 && heat_ratio > 1.0)) {
    throw std::invalid_argument("GasPair::perfect: needs R > 0 and a heat ratio above one");
  }
  GasPair pair;
  pair.fresh_.gas_constant = gas_constant;
  pair.fresh_.cp_low[0] = pair.fresh_.cp_high[0] = gas_constant * heat_ratio / (heat_ratio - 1.0);
  pair.burned_ = pair.fresh_;
  pair.heat_ = heat_of_combustion;
  return pair;
}

GasPair GasPair::dry_air() {
  GasPair pair;
  pair.fresh_ = pair.burned_ = pure_gas(air());
  return pair;
}

double GasPair::gas_constant(double burned) const {
  return fresh_.gas_constant + burned * (burned_.gas_constant - fresh_.gas_constant);
}

double GasPair::cp(double temperature, double burned) const {
  return (1.0 - burned) * cp_of(fresh_, temperature) + burned * cp_of(burned_, temperature);
}

double GasPair::enthalpy(double temperature, double burned) const {
  return (1.0 - burned) * enthalpy_of(fresh_, temperature) + burned * enthalpy_of(burned_, temperature);
}

double GasPair::energy(double temperature, double burned) const {
  return enthalpy(temperature, burned) - gas_constant(burned) * temperature;
}

double GasPair::heat_ratio(double temperature, double burned) const {
  const double c = cp(temperature, burned);
  return c / (c - gas_constant(burned));
}

double GasPair::sound_speed(double temperature, double burned) const {
  return std::sqrt(heat_ratio(temperature, burned) * gas_constant(burned) * temperature);
}

GasPair::Heats GasPair::heats(double t, double burned) const {
  const bool hot = t > range_middle;
  const auto& f = hot ? fresh_.cp_high : fresh_.cp_low;
  const auto& b = hot ? burned_.cp_high : burned_.cp_low;
  std::array<double, 5> a{};
  for (std::size_t k = 0; k < 5; ++k) {
    a[k] = f[k] + burned * (b[k] - f[k]);
  }
  const double zero_f = hot ? fresh_.h_high : fresh_.h_low;
  const double zero_b = hot ? burned_.h_high : burned_.h_low;
  return {gas_constant(burned), polynomial(a, t), zero_f + burned * (zero_b - zero_f) + integral(a, t)};
}

double GasPair::temperature_from_energy(double target, double burned, double guess) const {
  const bool constant_heats = fresh_.h_low == 0.0;
  const double lowest = constant_heats ? 0.0 : 50.0;
  const double highest = constant_heats ? 1e300 : 6000.0;
  double t = guess;
  for (int i = 0; i < 50; ++i) {
    const Heats h = heats(t, burned);
    const double step = (target - (h.enthalpy - h.gas_constant * t)) / (h.cp - h.gas_constant);
    t += step;
    if (!(t > lowest && t < highest)) {
      throw std::invalid_argument("temperature_from_energy: no temperature gives that energy");
    }
    if (std::abs(step) <= 1e-8 * t) {  // the next one would be of its square
      break;
    }
  }
  return t;
}

double GasPair::entropy_function(double temperature, double burned) const {
  return (1.0 - burned) * entropy_of(fresh_, temperature) + burned * entropy_of(burned_, temperature);
}

double viscosity(double temperature) {
  return 1.458e-6 * temperature * std::sqrt(temperature) / (temperature + 110.4);
}

}  // namespace fettle::gasflow
