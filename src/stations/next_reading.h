#pragma once

#include <optional>

#include "stations/report.h"
#include "stations/sources.h"

namespace fettle::stations {

/// The reading to take next: one that is missing for a finding of the station at hand, else the one whose
/// repeat most shrinks the doubt of what is too close to call; nothing where all is settled.
std::optional<NextReading> find_next_reading(const Sources& sources, const Report& report);

}  // namespace fettle::stations
