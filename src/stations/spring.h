#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Springs: loads and heights read, and what is wound, to seat and open load and what is left of
/// travel.
namespace fettle::stations {

std::vector<Group> spring_station(const Sources& sources);
std::vector<Missing> spring_missing(const Sources& sources);
std::vector<Mistake> spring_mistakes(const Sources& sources, const Report& report,
                                     const std::vector<Mistake>& earlier);
std::vector<Change> spring_changes(const Sources& sources, const Report& report);
nlohmann::ordered_json spring_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
