#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Valve train at speed: whether contact holds to the redline, and what the parts bear.
namespace fettle::stations {

std::vector<Group> train_station(const Sources& sources);
std::vector<Missing> train_missing(const Sources& sources);
std::vector<Mistake> train_mistakes(const Sources& sources, const Report& report,
                                    const std::vector<Mistake>& earlier);
std::vector<Change> train_changes(const Sources& sources, const Report& report);
nlohmann::ordered_json train_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
