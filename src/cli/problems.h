#pragma once

#include <iosfwd>
#include <optional>
#include <string>

#include "build/problem.h"
#include "build/types.h"

namespace fettle::cli {

/// What is wrong with a build: one a line on `err`, and with `json` as { "problems": [...] } on `out` too.
void write_problems(const build::Problems& problems, bool json, std::ostream& out, std::ostream& err);

/// The build in a file ("-": standard input); nothing after saying so as write_problems() does.
std::optional<build::Build> read_build_file(const std::string& path, bool json, std::istream& in,
                                            std::ostream& out, std::ostream& err);

}  // namespace fettle::cli
