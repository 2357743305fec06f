#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stations/change.h"
#include "stations/observed.h"

/// Which piston and which rod, by the numbers marked on them, stand in which cylinder, and which of them a
/// reading was taken of.
namespace fettle::stations {

/// Mark of the piston, or rod, in a cylinder: that of the cylinder where the build does not say.
int piston_in(const build::Build& build, int cylinder);
int rod_in(const build::Build& build, int cylinder);

/// Mark of the piston, or rod, that a reading was taken of: the one it names, else the one that stood in its
/// cylinder when the build was written; nothing without a cylinder.
std::optional<int> piston_of(const Observed& observed, const build::Reading& reading);
std::optional<int> rod_of(const Observed& observed, const build::Reading& reading);

/// Whether the piston now in a cylinder is the one that a reading of that cylinder was taken with.
bool piston_stayed(const Observed& observed, const build::Reading& reading);

/// Operations that write into the readings of pistons, or of rods, which one they were taken of: before parts
/// are changed round.
std::vector<Operation> keep_pistons(const build::Build& build);
std::vector<Operation> keep_rods(const build::Build& build);

/// Puts pistons, or pistons and rods, into cylinder 1, 2 ... by their marks: what is written, and the build
/// with them so. Rods: empty where they stay.
void place_parts(Change& change, const build::Build& build, const std::vector<int>& pistons,
                 const std::vector<int>& rods = {});

/// "1: piston 3; 2: piston 1".
std::string places_text(const std::vector<int>& marks, std::string_view part);

}  // namespace fettle::stations
