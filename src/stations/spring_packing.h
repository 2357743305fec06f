#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "stations/change.h"
#include "stations/spring_state.h"

namespace fettle::stations {

struct PackedSpring {
  LobeKey key;
  std::vector<double> shims;  ///< thicknesses under this spring, m
  double thickness = 0;       ///< of them all, m
  double seat_load = 0;       ///< N
};

/// Which shims go under which spring.
struct Packing {
  bool found = false;  ///< every spring is brought into the band
  std::vector<PackedSpring> springs;
  double spread = 0;  ///< greatest less least seat load, N
  std::string summary;
};

/// The fewest shims from the shelf that bring every spring of one kind that was read into the band of seat
/// load in force, the bind margin in force kept. Nothing without shims on the shelf, a band, or springs read.
std::optional<Packing> spring_packing(const Observed& observed, build::Valve valve);

/// Puts these thicknesses of shims, none where nought, under the springs of one kind in place of what is
/// there: the change's operations, which first note in heights read until now what they were read over, and
/// its parts.
void put_shims(const build::Build& build, build::Valve valve,
               const std::vector<std::pair<LobeKey, double>>& thicknesses, Change& change);

}  // namespace fettle::stations
