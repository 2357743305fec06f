#pragma once

#include "build/problem.h"
#include "build/types.h"

namespace fettle::build {

/// What must hold of the valve train's masses and stiffnesses.
void check_train(const Build& build, Problems& problems);

}  // namespace fettle::build
