#pragma once

#include <optional>
#include <vector>

#include "build/types.h"
#include "stations/memory.h"

namespace fettle::stations {

/// Where the middle of a lobe is expected: the card's centreline, or a usual one. Signed crank radians from
/// overlap TDC.
double expected_centre(const build::Build& build, build::Valve valve);

/// The shape that a single lift reading is corrected by: how far the lift changes with crank angle near a
/// reading. From the card's lobe, or a usual one where there is no card.
class LobeSlopes {
 public:
  LobeSlopes(const build::Build& build, build::Valve valve, Memory& memory);

  /// |dL/dθ| at a lift above the base circle, m/rad; nothing beyond the lobe.
  std::optional<double> at_lift(double lift, build::Side side) const;
  /// How far either side of the top the lift has fallen by `drop`, rad.
  double nose_half_width(double drop) const;
  double max_lift() const { return max_lift_; }
  bool from_card() const { return from_card_; }

 private:
  std::vector<double> lifts_, slopes_;  ///< dense samples from where lift begins to where it ends
  std::size_t top_ = 0;                 ///< place of the greatest
  double max_lift_ = 0;
  bool from_card_ = false;
};

}  // namespace fettle::stations
