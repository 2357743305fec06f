#pragma once

#include <iosfwd>

#include "build/problem.h"

namespace fettle::cli {

/// What is wrong with a build: one a line on `err`, and with `json` as { "problems": [...] } on `out` too.
void write_problems(const build::Problems& problems, bool json, std::ostream& out, std::ostream& err);

}  // namespace fettle::cli
