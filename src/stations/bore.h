#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Bores, pistons and rings: bores read by depth and direction, pistons and rings, to clearances,
/// shape and gaps.
namespace fettle::stations {

std::vector<Group> bore_station(const Sources& sources);
std::vector<Missing> bore_missing(const Sources& sources);
std::vector<Mistake> bore_mistakes(const Sources& sources, const Report& report,
                                   const std::vector<Mistake>& earlier);
std::vector<Change> bore_changes(const Sources& sources, const Report& report);
nlohmann::ordered_json bore_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
