#pragma once

#include <nlohmann/json.hpp>

#include "stations/report.h"
#include "stations/sources.h"

/// What the page draws from, station by station (docs/api.md, "Pictures"): SI numbers and radians.
namespace fettle::stations {

/// The wheel with its contacts and true TDC.
nlohmann::ordered_json tdc_picture(const Sources& sources, const Report& report);

/// Lobes as read with their points, and the card's.
nlohmann::ordered_json cam_picture(const Sources& sources, const Report& report);

}  // namespace fettle::stations
