#pragma once

#include "build/problem.h"
#include "build/types.h"

namespace fettle::build {

/// What must hold of followers, fingers, bucket shims and the tolerances of springs.
void check_followers(const Build& build, Problems& problems);

}  // namespace fettle::build
