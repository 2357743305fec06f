#pragma once

#include "gasflow/cylinder.h"
#include "gasflow/gas.h"

namespace fettle::gasflow {

/// Laminar speed of a flame into unburned charge, m/s: S_L0 (T/298 K)^a (p/1 atm)^b with
/// S_L0 = B_M + B_phi (phi - phi_M)² (Metghalchi and Keck 1982; gasoline: Rhodes and Keck, SAE 850047;
/// Heywood, *Internal Combustion Engine Fundamentals*, section 9.3.4), times 1 - 2.06 x^0.77 for a mole
/// fraction x of burned gas (Rhodes and Keck). Constants from memory. Fuels with less hydrogen than 2 per
/// carbon count as gasoline, others as isooctane. Measured for 300 to 700 K, 0.4 to 50 atm, phi 0.7 to 1.6, x
/// up to 0.3. Never given as less than 0.03 m/s. Throws std::invalid_argument unless T, p > 0 and 0 <= x
/// <= 1.
double laminar_speed(const Fuel& fuel, double equivalence_ratio, double temperature, double pressure,
                     double residual);

/// Charge and chamber at one moment; all > 0.
struct BurnState {
  double piston_speed = 0.0;   ///< mean, m/s
  double viscosity = 0.0;      ///< kinematic, of the unburned charge, m2/s
  double laminar_speed = 0.0;  ///< m/s
  double height = 0.0;         ///< of the chamber: volume over the bore's disc, m
  double stroke = 0.0;         ///< m
  double flame_travel = 0.0;   ///< from the plug to the farthest wall, m
};

/// Crank angles in which a charge burns, rad.
struct BurnAngles {
  double development = 0.0;  ///< from the spark to a tenth burned
  double rapid = 0.0;        ///< from a tenth to nine tenths
};

/// How both angles change with speed, charge and chamber: as (Sp ν)^(1/3) (h/S_L)^(2/3)/stroke, development
/// with the state where the spark jumps, rapid burning with that of the unfired charge at TDC and times
/// travel/h besides (Hires, Tabaczynski and Novak, SAE 780232; Heywood, section 14.4.2; from memory. They
/// take the state at half burned; the rise of density from TDC to there is taken as the same in all engines).
/// Their constants belong to an engine: here they are such that an engine of 100 mm bore and 88 mm stroke
/// with the plug a fifth of the bore off centre takes 24 and 32 degrees at 3000 rpm and full load (common
/// practice, no source).
BurnAngles burn_angles(const BurnState& at_spark, const BurnState& at_tdc);

/// The Wiebe law (a = 5) that has these angles: m + 1 = ln(ln 0.1/ln 0.9)/ln(1 + rapid/development).
CylinderSetup::Burn wiebe_burn(const BurnAngles& angles, double start, double efficiency);

}  // namespace fettle::gasflow
