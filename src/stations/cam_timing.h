#pragma once

#include <memory>
#include <vector>

#include "stations/change.h"
#include "stations/group.h"
#include "stations/lobe_state.h"
#include "stations/true_tdc.h"

/// Station Cam timing: lobe readings and true TDC to events, centrelines and what they say of the cam's
/// place.
namespace fettle::stations {

/// The lobes of one cylinder as read.
struct CylinderLobes {
  std::shared_ptr<const LobeState> intake;
  std::shared_ptr<const LobeState> exhaust;
};

/// State of one lobe, where true TDC on its wheel is known; else null.
std::shared_ptr<const LobeState> read_lobe(const Observed& observed, const LobeKey& key,
                                           const LobeReadings& readings, TdcOfWheels& tdc_of);

/// Centreline as the trade counts it, positive for both lobes.
double centreline(const LobeCentre& centre, build::Valve valve);

std::vector<Group> cam_timing_station(const Sources& sources);

/// What is not measured yet of what the station is for.
std::vector<Missing> cam_timing_missing(const Sources& sources);

/// The positions of the timing set that the cam could stand in instead.
std::vector<Change> cam_changes(const Sources& sources, const Report& report);

}  // namespace fettle::stations
