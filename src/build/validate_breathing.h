#pragma once

#include "build/problem.h"
#include "build/types.h"

namespace fettle::build {

/// What must hold of head, intake, exhaust, fuel, ignition and the compression ratio. `cylinders` of the
/// engine.
void check_breathing(const Build& build, int cylinders, Problems& problems);

}  // namespace fettle::build
