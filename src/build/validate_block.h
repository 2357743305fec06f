#pragma once

#include "build/problem.h"
#include "build/types.h"

namespace fettle::build {

/// The parts of validate() that look at what block_parts.h holds, and at the banks.
void check_block(const Build& build, Problems& problems);

/// What a reading of these parts must keep: its bounds, and a set of fasteners that there is.
void check_block_reading(const Build& build, const Reading& reading, const std::string& place,
                         Problems& problems);

}  // namespace fettle::build
