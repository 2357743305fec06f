#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stations/observed.h"

namespace fettle::stations {

/// Cylinders of each bank from front to rear: the build's, else one bank of an engine in line; empty where it
/// is not known.
std::vector<std::vector<int>> banks_of(const build::Build& build);

/// Where the flat of one piston stands below the deck at TDC, m; negative above it.
struct DeckClearance {
  double below = 0;
  std::string basis;          ///< empty: read over the pin, with the piston that stands there now
  bool other_piston = false;  ///< read with one that does not
};

/// From the readings over the pin, brought to the deck as it is cut now; else from those at the edges;
/// nothing where the cylinder was not read.
std::optional<DeckClearance> read_deck(const Observed& observed, int cylinder);

/// Mean of the readings of one cylinder at one place of the crown, m.
std::optional<double> deck_at(const Observed& observed, int cylinder, build::PistonPlace place);

/// What the parts give: block height, less what was cut off, less throw, rod and compression height. Nothing
/// where one of them is not said.
std::optional<double> computed_deck(const Observed& observed);

/// Readings of the deck clearance of a cylinder; places in build.readings.
std::vector<int> deck_readings(const Sources& sources, int cylinder);

}  // namespace fettle::stations
