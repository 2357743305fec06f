#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Compression: volumes poured and the cam's closing to ratios, quench and cranking pressure. Law and
/// sources: mechanism/volumes.h.
namespace fettle::stations {

std::vector<Group> compression_station(const Sources& sources);
std::vector<Missing> compression_missing(const Sources& sources);
std::vector<Mistake> compression_mistakes(const Sources& sources, const Report& report,
                                          const std::vector<Mistake>& earlier);
std::vector<Change> compression_changes(const Sources& sources, const Report& report);
nlohmann::ordered_json compression_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
