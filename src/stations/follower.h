#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Lobes and followers: whether each lobe as swept suits the face or roller that runs on it.
namespace fettle::stations {

std::vector<Group> follower_station(const Sources& sources);
std::vector<Missing> follower_missing(const Sources& sources);
std::vector<Mistake> follower_mistakes(const Sources& sources, const Report& report,
                                       const std::vector<Mistake>& earlier);
nlohmann::ordered_json follower_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
