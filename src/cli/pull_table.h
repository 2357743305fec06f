#pragma once

#include <string>

#include "build/types.h"
#include "pull/pull.h"
#include "quantity/print.h"

namespace fettle::cli {

/// The pull as tables for a terminal of 80 columns.
std::string pull_table(const build::Build& build, const pull::PullResult& result, quantity::System system);

}  // namespace fettle::cli
