#pragma once

#include "build/problem.h"
#include "build/types.h"

namespace fettle::build {

/// What must hold of the rockers, of the pushrods under them and of the lifters' adjusters.
void check_rockers(const Build& build, Problems& problems);

}  // namespace fettle::build
