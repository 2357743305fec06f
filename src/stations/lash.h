#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Setting the valves: where each valve stands on its base circle, in which order they are set, and
/// the gaps read.
namespace fettle::stations {

std::vector<Group> lash_station(const Sources& sources);
std::vector<Missing> lash_missing(const Sources& sources);
std::vector<Mistake> lash_mistakes(const Sources& sources, const Report& report,
                                   const std::vector<Mistake>& earlier);
std::vector<Change> lash_changes(const Sources& sources, const Report& report);
nlohmann::ordered_json lash_picture(const Sources& sources, const Report& report);
/// The plan of shims as the page has it; null where there is none.
nlohmann::ordered_json shims_picture(const Observed& observed, const Report& report);

}  // namespace fettle::stations
