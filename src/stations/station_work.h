#pragma once

#include <span>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

#include "stations/change.h"
#include "stations/group.h"
#include "stations/report.h"

namespace fettle::stations {

/// What one station does. All are pure functions of the sources (and of the findings, once they are known).
struct StationWork {
  std::string_view id;  ///< as in catalogue.h
  std::vector<Group> (*groups)(const Sources&);
  std::vector<Missing> (*missing)(const Sources&);  ///< what is not measured yet of what the station is for
  std::vector<Mistake> (*mistakes)(const Sources&, const Report&,
                                   const std::vector<Mistake>& of_earlier_stations);
  std::vector<Change> (*changes)(const Sources&, const Report&);  ///< what can be changed; may be null
  nlohmann::ordered_json (*picture)(const Sources&, const Report&);
};

/// In the order of the work.
std::span<const StationWork> station_work();

}  // namespace fettle::stations
