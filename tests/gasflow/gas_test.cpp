#include "gasflow/gas.h"

#include <cmath>
#include <stdexcept>
#include <vector>

#include <gtest/gtest.h>

namespace fettle::gasflow::test {
namespace {

double molar_cp(SpeciesId id, double t) {
  return cp_over_r(species(id).polynomial, t) * universal_gas_constant;
}

double molar_h(SpeciesId id, double t) {
  return h_over_rt(species(id).polynomial, t) * universal_gas_constant * t;
}

struct JanafRow {
  SpeciesId id;
  double cp[3];  // J/(mol K) at 300, 1000, 2000 K
  double h[2];   // H - H298, kJ/mol at 1000, 2000 K
};

// NIST-JANAF Thermochemical Tables, 4th edition (Chase 1998).
TEST(Species, HeatCapacityAndEnthalpyFollowTheJanafTables) {
  const JanafRow rows[] = {{SpeciesId::n2, {29.125, 32.697, 35.971}, {21.463, 56.137}},
                           {SpeciesId::o2, {29.385, 34.870, 37.741}, {22.703, 59.175}},
                           {SpeciesId::co2, {37.221, 54.308, 60.350}, {33.397, 91.439}},
                           {SpeciesId::co, {29.142, 33.183, 36.250}, {21.690, 56.744}}};
  const double at[] = {300.0, 1000.0, 2000.0};
  for (const JanafRow& row : rows) {
    for (int i = 0; i < 3; ++i) {
      EXPECT_NEAR(molar_cp(row.id, at[i]), row.cp[i], 3e-3 * row.cp[i]) << species(row.id).name << at[i];
    }
    for (int i = 0; i < 2; ++i) {
      const double h = (molar_h(row.id, at[i + 1]) - molar_h(row.id, datum_temperature)) / 1000.0;
      EXPECT_NEAR(h, row.h[i], 1.5e-3 * row.h[i]) << species(row.id).name << at[i + 1];
    }
  }
  // Water at 2000 K differs between the two sources by 1.1 %: 51.180 in the tables.
  EXPECT_NEAR(molar_cp(SpeciesId::h2o, 2000.0), 51.180, 0.012 * 51.180);
}

// Enthalpies of formation at 298.15 K: NIST Chemistry WebBook (CO2 -393.51, H2O -241.83, CO -110.53,
// isooctane vapour -224.0 kJ/mol); isooctane's heat capacity at 298.15 K, 188.9 J/(mol K), from memory.
TEST(Species, EnthalpiesOfFormationAreThePublishedOnes) {
  const double t = datum_temperature;
  EXPECT_NEAR(molar_h(SpeciesId::co2, t), -393.51e3, 0.1e3);
  EXPECT_NEAR(molar_h(SpeciesId::h2o, t), -241.83e3, 0.1e3);
  EXPECT_NEAR(molar_h(SpeciesId::co, t), -110.53e3, 0.1e3);
  EXPECT_NEAR(molar_h(SpeciesId::n2, t), 0.0, 30.0);
  EXPECT_NEAR(molar_h(SpeciesId::isooctane, t), -224.0e3, 1.0e3);
  EXPECT_NEAR(molar_cp(SpeciesId::isooctane, t), 188.9, 0.5);
}

TEST(Species, CpIsTheSlopeOfEnthalpyAndOfEntropyAndRangesMeet) {
  for (std::size_t i = 0; i < species_count; ++i) {
    const Nasa7& gas = species(SpeciesId{i}).polynomial;
    for (const double t : {310.0, 700.0, 1300.0, 2400.0}) {
      const double d = 1e-3 * t;
      const double dh = (h_over_rt(gas, t + d) * (t + d) - h_over_rt(gas, t - d) * (t - d)) / (2.0 * d);
      const double ds = (s_over_r(gas, t + d) - s_over_r(gas, t - d)) / (2.0 * d) * t;
      EXPECT_NEAR(dh, cp_over_r(gas, t), 2e-6 * std::abs(dh));
      EXPECT_NEAR(ds, cp_over_r(gas, t), 2e-6 * std::abs(ds));
    }
    EXPECT_NEAR(cp_over_r(gas, gas.middle), cp_over_r(gas, gas.middle + 1e-9),
                2e-4 * cp_over_r(gas, gas.middle));
  }
}

// Heywood, Internal Combustion Engine Fundamentals, eq. 3.6 and table D.4: 15.13 and (gasoline CH1.87) 14.60.
TEST(Charge, StoichiometricAirFuelRatioIsHeywoods) {
  EXPECT_NEAR(stoichiometric_afr(isooctane), 15.13, 5e-3);
  EXPECT_NEAR(stoichiometric_afr(gasoline), 14.60, 5e-3);
  // The charge itself, counted in atoms.
  const GasPair pair(isooctane, 1.0);
  EXPECT_NEAR(1.0 / pair.fuel_fraction() - 1.0, 15.13, 0.01);
}

// The heating value of vapour from the enthalpies of formation, 44.65 MJ/kg, is 0.31 MJ/kg of vaporisation
// above the liquid's 44.3 (Heywood, table D.4): the polynomials and the stated heating value agree.
TEST(Charge, HeatingValueAgreesWithTheEnthalpiesOfFormation) {
  const double h = molar_h(SpeciesId::isooctane, datum_temperature) -
                   8.0 * molar_h(SpeciesId::co2, datum_temperature) -
                   9.0 * molar_h(SpeciesId::h2o, datum_temperature);
  const double per_kg = h / species(SpeciesId::isooctane).molar_mass;
  EXPECT_NEAR(per_kg - 0.308e6, isooctane.lower_heating_value, 0.1e6);
  const GasPair pair(isooctane, 1.0);
  EXPECT_NEAR(pair.heat_of_combustion(), 44.3e6 / 16.13, 3e3);
}

TEST(Charge, BurningKeepsEveryAtom) {
  for (const double phi : {0.7, 1.0, 1.1, 1.3}) {
    const Composition a = fresh_charge(isooctane, phi);
    const Composition b = burned_charge(isooctane, phi);
    const auto n = [](const Composition& c, SpeciesId id) { return c[static_cast<std::size_t>(id)]; };
    const double fuel = n(a, SpeciesId::isooctane);
    EXPECT_NEAR(n(b, SpeciesId::co2) + n(b, SpeciesId::co), 8.0 * fuel + n(a, SpeciesId::co2), 1e-5);
    EXPECT_NEAR(n(b, SpeciesId::h2o) + n(b, SpeciesId::h2), 9.0 * fuel, 1e-5);
    EXPECT_NEAR(
        2.0 * n(b, SpeciesId::o2) + 2.0 * n(b, SpeciesId::co2) + n(b, SpeciesId::co) + n(b, SpeciesId::h2o),
        2.0 * n(a, SpeciesId::o2) + 2.0 * n(a, SpeciesId::co2), 1e-12);
    for (const double amount : b) {
      EXPECT_GE(amount, 0.0);
    }
  }
  const Composition rich = burned_charge(isooctane, 1.2);
  const auto n = [&](SpeciesId id) { return rich[static_cast<std::size_t>(id)]; };
  const double formed = n(SpeciesId::co2) - 0.0004;
  EXPECT_NEAR(n(SpeciesId::co) * n(SpeciesId::h2o) / (formed * n(SpeciesId::h2)), 3.5, 1e-9);
}

TEST(GasPair, DryAirIsKnown) {
  const GasPair air = GasPair::dry_air();
  EXPECT_NEAR(air.gas_constant(0.0), 287.05, 0.05);  // U.S. Standard Atmosphere 1976
  EXPECT_NEAR(air.heat_ratio(300.0, 0.0), 1.400, 1e-3);
  // Same, sea level: 340.294 m/s with a heat ratio of 1.4 by definition; 1.401 follows from cp(T).
  EXPECT_NEAR(air.sound_speed(288.15, 0.0), 340.294, 0.2);
  // Keenan and Kaye, Gas Tables: h(1000 K) - h(300 K) of air, 1046.04 - 300.19 kJ/kg.
  EXPECT_NEAR(air.enthalpy(1000.0, 0.0) - air.enthalpy(300.0, 0.0), 745.85e3, 1.5e3);
  EXPECT_NEAR(viscosity(288.15), 1.7894e-5, 1e-9);  // U.S. Standard Atmosphere 1976, sea level
}

TEST(GasPair, EnergyAndTemperatureAreInverse) {
  const GasPair pair(gasoline, 1.1);
  for (const double y : {0.0, 0.3, 1.0}) {
    for (const double t : {260.0, 900.0, 999.9, 1000.1, 1800.0, 2800.0}) {
      EXPECT_NEAR(pair.temperature_from_energy(pair.energy(t, y), y), t, 1e-9 * t);
      const double d = 0.01;
      EXPECT_NEAR((pair.enthalpy(t + d, y) - pair.enthalpy(t - d, y)) / (2.0 * d), pair.cp(t, y),
                  2e-3 * pair.cp(t, y));
      EXPECT_NEAR((pair.entropy_function(t + d, y) - pair.entropy_function(t - d, y)) / (2.0 * d) * t,
                  pair.cp(t, y), 2e-3 * pair.cp(t, y));
    }
  }
  EXPECT_NEAR(pair.enthalpy(datum_temperature, 0.4), 0.0, 1e-6);
  EXPECT_THROW(pair.temperature_from_energy(-1e9, 0.0), std::invalid_argument);
  EXPECT_THROW(GasPair(gasoline, 0.0), std::invalid_argument);
}

TEST(GasPair, PerfectGasHasConstantHeats) {
  const GasPair pair = GasPair::perfect(1.0, 1.4);
  EXPECT_DOUBLE_EQ(pair.heat_ratio(0.5, 0.2), 1.4);
  EXPECT_DOUBLE_EQ(pair.energy(2.0, 0.0), 5.0);
  EXPECT_NEAR(pair.temperature_from_energy(5.0, 0.7), 2.0, 1e-13);
}

}  // namespace
}  // namespace fettle::gasflow::test
