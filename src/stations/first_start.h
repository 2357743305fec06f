#pragma once

#include <vector>

#include "build/types.h"
#include "stations/report.h"

namespace fettle::stations {

/// What is done before, at and after the first start of this engine, in order, each with its reason: from
/// what the build says of cam, lifters, springs and lash, and from what of the report is still open. All of
/// it is common practice with no source; the maker's sheet wins.
std::vector<StartStep> first_start(const build::Build& build, const Report& report);

}  // namespace fettle::stations
