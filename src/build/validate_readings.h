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
/// What a kind of instrument measures: an angle, a length, a force, a volume and so on.
quantity::Dimension measured_by(ToolKind kind);
/// What the reading's `tester` measures.
quantity::Dimension tester_dimension(const Reading& reading);
/// What the reading is of, which `again` repeats.
quantity::Dimension main_dimension(const Reading& reading);

}  // namespace fettle::build
