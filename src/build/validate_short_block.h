#pragma once

#include "build/problem.h"
#include "build/types.h"

namespace fettle::build {

/// The part of validate() that looks at bearings and bores.
void check_short_block(const Build& build, Problems& problems);

/// The part that looks at one reading of them; `place` is where it stands.
void check_short_block_reading(const Build& build, const Reading& reading, const std::string& place,
                               Problems& problems);

/// Tools that are set to size on others.
void check_set_on(const Build& build, Problems& problems);

}  // namespace fettle::build
