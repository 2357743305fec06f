#pragma once

#include "build/problem.h"
#include "build/types.h"

namespace fettle::build {

/// The part of validate() that looks at readings.
void check_readings(const Build& build, Problems& problems);

/// Whether the timing set offers this position (within a hundredth of a degree).
bool offers(const TimingSet& set, const Angle& position);

/// Whether the instrument gives angles (a wheel, an encoder) rather than lengths.
bool measures_angle(ToolKind kind);
/// What a kind of instrument measures: an angle, a force or a length.
quantity::Dimension measured_by(ToolKind kind);

}  // namespace fettle::build
