#pragma once

#include <optional>
#include <string>
#include <vector>

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

}  // namespace fettle::stations
