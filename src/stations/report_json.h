#pragma once

#include <nlohmann/json.hpp>

#include "stations/report.h"
#include "stations/sources.h"

namespace fettle::stations {

/// A report as `fettle prove --json` prints it (docs/api.md, "The report"): SI numbers and radians.
nlohmann::ordered_json report_json(const Report& report);

nlohmann::ordered_json finding_json(const Finding& finding);

/// What the page draws from: the wheel with its contacts and true TDC, fitted lobes with their points, the
/// card's lobes.
nlohmann::ordered_json pictures_json(const Sources& sources, const Report& report);

/// The station a finding or mistake belongs to: the part of its id before the point.
std::string station_of(const std::string& id);

}  // namespace fettle::stations
