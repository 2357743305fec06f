#pragma once

#include <optional>

#include "mechanism/volumes.h"
#include "stations/report.h"
#include "stations/sources.h"

namespace fettle::stations {

/// The room of the mean cylinder, over all whose clearance volume is known.
struct MeanRoom {
  mechanism::ClearanceParts parts;
  double stroke = 0;  ///< m
  double ratio = 0;   ///< static
};
std::optional<MeanRoom> mean_room(const Sources& sources);

/// The static ratio to go for: typed, else the middle of the limit in force where a cylinder fails it.
std::optional<double> wanted_ratio(const build::Build& build, const Report& report);

}  // namespace fettle::stations
