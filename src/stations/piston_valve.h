#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Valve to piston: drops, clay and the motion of the valve to the clearance at every angle and cam
/// position.
namespace fettle::stations {

std::vector<Group> piston_valve_station(const Sources& sources);
std::vector<Missing> piston_valve_missing(const Sources& sources);
std::vector<Mistake> piston_valve_mistakes(const Sources& sources, const Report& report,
                                           const std::vector<Mistake>& earlier);
std::vector<Change> piston_valve_changes(const Sources& sources, const Report& report);
nlohmann::ordered_json piston_valve_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
