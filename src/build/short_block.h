#pragma once

#include <optional>
#include <vector>

#include "quantity/quantity.h"

/// Parts of the short block: bearings, bores, pistons and rings as they should be and as they stand.
namespace fettle::build {

/// A piston ring, from the crown down.
enum class Ring { top, second, oil };

/// One half of a pair of bearing shells: `upper` in block or rod, `lower` in the cap.
enum class ShellHalf { upper, lower };

enum class WallMaterial { iron, aluminium };

/// Shells of one size that are in hand.
struct ShellStock {
  quantity::Length change = quantity::Length::from_si(0);  ///< of the oil clearance, by a whole pair
  std::optional<int> count;                                ///< pairs in hand, fitted ones too; default: any
};

/// Which halves stand in one bearing now, each by its size: what a whole pair of it does to the clearance.
struct FittedShells {
  int number = 1;                         ///< of the main bearing from the front, or of the rod's cylinder
  std::optional<quantity::Length> upper;  ///< default: standard, 0
  std::optional<quantity::Length> lower;
};

/// The mains, or the rod bearings.
struct BearingSet {
  std::optional<quantity::Length> journal;  ///< greatest diameter of a new journal
  std::optional<quantity::Length> width;    ///< of the shell's running surface, along the journal
  std::optional<quantity::Force> load;      ///< steady load of one bearing for which the film is worked out
  std::vector<ShellStock> shells;           ///< sizes to be had
  std::vector<FittedShells> fitted;         ///< where they are not standard
};

/// The oil in the film and the speed for which it is worked out.
struct Oil {
  quantity::Viscosity viscosity = quantity::Viscosity::from_si(0);  ///< dynamic, at the film's temperature
  quantity::RotationalSpeed speed = quantity::RotationalSpeed::from_si(0);
};

struct Bearings {
  std::optional<int> mains;  ///< how many the crank has
  std::optional<BearingSet> main;
  std::optional<BearingSet> rod;
  std::optional<Oil> oil;
};

/// Temperatures for which a clearance is worked out.
struct RunningTemperatures {
  quantity::Temperature bore = quantity::Temperature::from_si(0);
  quantity::Temperature piston = quantity::Temperature::from_si(0);
};

/// What has been honed out of a bore since it was first read, on the diameter.
struct HonedBore {
  int cylinder = 1;
  quantity::Length amount = quantity::Length::from_si(0);
};

struct Bores {
  std::optional<WallMaterial> material;         ///< of the walls; default: iron
  std::optional<WallMaterial> piston_material;  ///< default: aluminium
  std::vector<int> pistons;                     ///< which piston, by its mark, stands in cylinder 1, 2 ...
  std::vector<HonedBore> honed;
  std::optional<RunningTemperatures> running;
};

}  // namespace fettle::build
