#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"

/// Station Deck: where the pistons stand below the deck, whether that is what the parts give, and whether the
/// deck stands square to the crank.
namespace fettle::stations {

std::vector<Group> deck_station(const Sources& sources);
std::vector<Missing> deck_missing(const Sources& sources);
std::vector<Mistake> deck_mistakes(const Sources& sources, const Report& report,
                                   const std::vector<Mistake>& earlier);
std::vector<Change> deck_changes(const Sources& sources, const Report& report);
nlohmann::ordered_json deck_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
