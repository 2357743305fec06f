#pragma once

#include <cstdint>

#include "build/types.h"
#include "stations/group.h"
#include "stations/report.h"
#include "stations/sources.h"

namespace fettle::stations {

struct ProveOptions {
  std::size_t trials = 0;  ///< of the Monte Carlo beside the first-order result; 0: none
  std::uint64_t seed = 1;
  bool advise = true;  ///< also mistakes, corrections and the next reading
};

/// All findings of all stations with their doubt and verdicts, and what follows from them. A pure function of
/// the build, which must have passed build::validate(); gives the same for the same build and options on
/// every machine.
Report prove(const build::Build& build, const ProveOptions& options = {});

/// The same where the sources have been made already.
Report prove(const Sources& sources, const ProveOptions& options = {});

/// The groups of findings of all stations, in the order of the work.
std::vector<Group> all_groups(const Sources& sources);

}  // namespace fettle::stations
