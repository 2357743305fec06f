#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "stations/movements.h"
#include "stations/report.h"
#include "stations/sources.h"

namespace fettle::stations {

enum class JsonLayout { compact, indented };

/// A report as `fettle prove --json` prints it (docs/api.md, "The report"): SI numbers and radians. A number
/// that is not finite is null.
std::string report_json(const Report& report, JsonLayout layout = JsonLayout::compact);

/// The station a finding or mistake belongs to: the part of its id before the point.
std::string_view station_of(std::string_view id);

/// SI unit of a finding, empty for an id nobody knows.
std::string_view unit_of(std::string_view id);

/// What moved, with value, doubt and verdict before and after (docs/api.md, "moved").
std::string movements_json(const std::vector<Movement>& movements);

}  // namespace fettle::stations
