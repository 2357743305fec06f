#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Crank and bearings: journals, bearing bores and shells to oil clearances, and the play of crank
/// and rods.
namespace fettle::stations {

std::vector<Group> bottom_end_station(const Sources& sources);
std::vector<Missing> bottom_end_missing(const Sources& sources);
std::vector<Mistake> bottom_end_mistakes(const Sources& sources, const Report& report,
                                         const std::vector<Mistake>& earlier);
std::vector<Change> bottom_end_changes(const Sources& sources, const Report& report);
nlohmann::ordered_json bottom_end_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
