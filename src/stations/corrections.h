#pragma once

#include <vector>

#include "stations/group.h"
#include "stations/report.h"
#include "stations/sources.h"

namespace fettle::stations {

/// What the parts of this engine allow to be changed, each with every finding it moves, before and after. The
/// one that mends most is recommended where something fails or is too close. `groups` are all groups of the
/// sources (prove.h).
std::vector<Correction> find_corrections(const Sources& sources, const std::vector<Group>& groups,
                                         const Report& report);

/// Every finding that a change moves, from and to: worked out anew from the same readings with the change
/// made. To first order a change leaves the doubt as it is.
std::vector<Effect> effects_of(const Sources& sources, const std::vector<Group>& groups, const Report& report,
                               const WhatIf& what_if);

}  // namespace fettle::stations
