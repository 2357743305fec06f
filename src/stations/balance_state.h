#pragma once

#include <optional>
#include <string>
#include <vector>

#include "mechanism/balance.h"
#include "stations/observed.h"

namespace fettle::stations {

/// Mean weight of one part of a cylinder, kg, with what has been taken off it by now: its own readings, else
/// those that name none. Pistons with their pins, and rods, are known by their marks and counted where they
/// stand now.
std::optional<double> weight_of(const Observed& observed, build::WeighedItem item, int cylinder);

/// The same of a piston, a pin or a rod by its mark; nothing where that one was not weighed.
std::optional<double> marked_weight(const Observed& observed, build::WeighedItem item, int mark);

/// Readings of that very part of a cylinder, not of one that was weighed for all.
std::vector<int> own_weighings(const Observed& observed, build::WeighedItem item, int cylinder);

/// Mark of the piston or rod that a part of a cylinder belongs to, else the cylinder.
int mark_of(const build::Build& build, build::WeighedItem item, int cylinder);

/// Taken off one part by now, kg: a whole rod by what its ends lost.
double taken_off(const build::Build& build, build::WeighedItem item, int mark);

/// Cylinders whose rods share a crank pin; in an engine in line those whose throws stand alike. Empty where
/// the banks are not known.
std::vector<std::vector<int>> pin_groups(const Observed& observed);

/// Bobweight of each of those groups, kg, without oil: nothing where the masses are not known.
std::vector<double> pin_weights(const Observed& observed, const std::vector<std::vector<int>>& groups);

/// Parts of what rotates and what reciprocates that the weight of a pin counts.
struct PinFactors {
  double rotating = 1;
  double reciprocating = 1;
};
/// The balance plan's; in an engine in line 1 and 1.
std::optional<PinFactors> pin_factors(const build::Build& build);

/// What moves in one cylinder, kg, and what was left out of it.
struct MovingMasses {
  std::optional<double> reciprocating;
  std::optional<double> rotating;
  std::optional<double> rod_closure;  ///< both ends less the whole rod
  std::string reciprocating_basis;
  std::string rotating_basis;
};
MovingMasses moving_masses(const Observed& observed, int cylinder);

/// How the counterweights are meant: bobweight = rotating_factor × rotating + reciprocating_factor ×
/// reciprocating of every rod on the pin, + oil.
struct BalancePlan {
  double rotating_factor = 1;
  double reciprocating_factor = 0;
  int rods = 1;
  double oil = 0;  ///< kg
  std::string basis;
};
/// Nothing where no factor is typed and common practice has none for the layout.
std::optional<BalancePlan> balance_plan(const build::Build& build);

/// Whether the layout needs no bobweight: an engine in line, whose crank balances what rotates by itself.
bool balances_itself(const build::Build& build);

/// The engine for mechanism::shaking(): every cylinder with its throw, bank and masses, positions from the
/// middle (0 where the bore spacing is not said). What the counterweights do stands in the rotating masses.
/// Nothing where banks or masses are missing.
struct ShakenEngine {
  std::vector<mechanism::BalanceCylinder> cylinders;
  bool positions = false;
  std::string basis;
};
std::optional<ShakenEngine> shaken_engine(const Observed& observed);

/// Bobweight of one pin for the mean of the cylinders weighed, kg.
struct Bobweight {
  double mass = 0;
  std::string basis;
};
std::optional<Bobweight> bobweight_of(const Observed& observed);

/// Speed at which forces are told, rad/s.
std::optional<double> balance_speed(const build::Build& build);

}  // namespace fettle::stations
