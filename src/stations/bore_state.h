#pragma once

#include <optional>
#include <vector>

#include "stations/diameters.h"
#include "stations/part_places.h"

namespace fettle::stations {

/// Expansion of bores and pistons, 1/K: 6 and 13 millionths a degree Fahrenheit for iron and aluminium
/// (common practice, no source).
double expansion(build::WallMaterial material);

/// What is known of one bore and of the piston in it, at 20 C, with what has been honed out by now.
struct BoreState {
  std::vector<DiameterAt> points;
  std::optional<double> piston;  ///< at its gauge point, m
};

BoreState bore_state(const Observed& observed, int cylinder);

/// Diameter of a piston by its mark, at 20 C.
std::optional<double> piston_diameter(const Observed& observed, int piston);

/// Mean end gap of one ring in its bore, with what has been honed out by now: a ring's gap opens by pi times
/// what its bore grows.
std::optional<double> ring_gap(const Observed& observed, int cylinder, build::Ring ring);

/// Mean diameter of a bore as read; nothing where it was not.
std::optional<double> mean_bore(const Observed& observed, int cylinder);

/// Whether a piston's clearance in a bore would lie outside its limits, as far as both were read.
bool piston_does_not_fit(const Observed& observed, int cylinder, int piston);

/// Honed out of a bore by now, m.
double honed(const build::Build& build, int cylinder);

/// Readings of that kind, of that ring.
std::vector<int> ring_readings(const Observed& observed, build::ReadingKind kind, int cylinder,
                               build::Ring ring);

/// Whether anything is said or read of bores, pistons and rings.
bool bores_concern(const Sources& sources);

}  // namespace fettle::stations
