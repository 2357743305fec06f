#pragma once

#include "build/problem.h"
#include "build/types.h"

namespace fettle::build {

/// What must hold between the parts of a build whose shape is right: geometry that can turn, a firing order
/// that is a permutation, readings with the fields of their kind, tools that exist and fit. Gives every
/// problem.
Problems validate(const Build& build);

}  // namespace fettle::build
