#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Fasteners: stretch, angle and torque to preload and its margins. Law and sources:
/// mechanism/fastener.h.
namespace fettle::stations {

std::vector<Group> fastener_station(const Sources& sources);
std::vector<Missing> fastener_missing(const Sources& sources);
std::vector<Mistake> fastener_mistakes(const Sources& sources, const Report& report,
                                       const std::vector<Mistake>& earlier);
nlohmann::ordered_json fastener_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
