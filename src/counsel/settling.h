#pragma once

#include <optional>
#include <string>

#include "build/types.h"
#include "stations/report.h"

namespace fettle::counsel {

/// What would settle a finding that is too close to call, were its value to stay.
struct Settling {
  double wanted = 0;  ///< expanded uncertainty that leaves the limit outside it, SI; < the present one
  std::optional<int> reading;  ///< the one reading that doubts it most, place among the build's readings
  /// How often that reading is to be taken in all, repeats that stand in the build counted; absent where
  /// repeats alone do not settle it, since too much of the doubt is a tool's own.
  std::optional<int> times;
  std::string label;  ///< what has the greatest part besides readings: a tool's error, or something assumed
  std::string tool;   ///< that tool, where it is one of the build's
};

/// Nothing for a finding with another verdict. The part of the variance that is a reading's own falls with
/// the number of its repeats (JCGM 100:2008, 4.2.3), a tool's stays. Takes the scatter to be as stated.
std::optional<Settling> settling_of(const build::Build& build, const stations::Finding& finding);

}  // namespace fettle::counsel
