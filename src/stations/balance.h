#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Balance: weights of the moving parts to bobweight and shaking forces. Law and sources:
/// mechanism/balance.h.
namespace fettle::stations {

std::vector<Group> balance_station(const Sources& sources);
std::vector<Missing> balance_missing(const Sources& sources);
std::vector<Mistake> balance_mistakes(const Sources& sources, const Report& report,
                                      const std::vector<Mistake>& earlier);
/// Pistons to rods and both to crank pins by their weights, and what to take off which part.
std::vector<Change> balance_changes(const Sources& sources, const Report& report);
nlohmann::ordered_json balance_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
