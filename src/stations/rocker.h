#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Rockers and pushrods: ratio, sweep, pushrod length and preload.
namespace fettle::stations {

std::vector<Group> rocker_station(const Sources& sources);
std::vector<Missing> rocker_missing(const Sources& sources);
std::vector<Mistake> rocker_mistakes(const Sources& sources, const Report& report,
                                     const std::vector<Mistake>& earlier);
std::vector<Change> rocker_changes(const Sources& sources, const Report& report);
nlohmann::ordered_json rocker_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
