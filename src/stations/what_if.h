#pragma once

#include "build/types.h"
#include "stations/report.h"
#include "stations/sources.h"

namespace fettle::stations {

/// Crank radians by which the cam is advanced in a position of the timing set, positive earlier.
double crank_advance(const build::TimingSet& set, double position);

/// The position fitted now of the cam that works a valve, rad of the set's marks; 0 where none is given.
double fitted_position(const build::Build& build, build::Valve valve = build::Valve::intake);

/// Whether intake and exhaust have cams that are set each by itself.
bool cams_set_apart(const build::Build& build);

}  // namespace fettle::stations
