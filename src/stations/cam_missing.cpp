#include <fmt/format.h>

#include "build/names.h"
#include "stations/cam_timing.h"
#include "stations/limits.h"
#include "stations/true_tdc.h"

namespace fettle::stations {
namespace {

using build::Valve;

FindingId centreline_id(Valve valve) {
  return valve == Valve::intake ? "cam.intake_centerline" : "cam.exhaust_centerline";
}

Missing lobe_missing(int cylinder, Valve valve) {
  return {{centreline_id(valve), {cylinder, {}, {}}, ""},
          fmt::format("a sweep of the {} lobe of cylinder {}, or a reading on each of its flanks",
                      build::word(valve), cylinder)};
}

bool has_lobe(const Inventory& inventory, int cylinder, Valve valve) {
  const auto found = inventory.lobes.find({cylinder, valve});
  return found != inventory.lobes.end() && !found->second.empty();
}

/// Whether the readings of a lobe suffice for its centre, true TDC given.
bool has_centre(const Observed& observed, int cylinder, Valve valve) {
  const auto& lobes = observed.sources().inventory().lobes;
  const auto found = lobes.find({cylinder, valve});
  if (found == lobes.end()) {
    return false;
  }
  TdcOfWheels tdc_of(observed);
  const auto state = read_lobe(observed, found->first, found->second, tdc_of);
  return state && lobe_centre(*state).has_value();
}

}  // namespace

std::vector<Missing> cam_timing_missing(const Sources& sources) {
  const Observed observed(sources, sources.estimates());
  const Inventory& inventory = sources.inventory();
  std::vector<Missing> missing;
  bool any = false;
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    const bool intake = has_lobe(inventory, cylinder, Valve::intake);
    const bool exhaust = has_lobe(inventory, cylinder, Valve::exhaust);
    any = any || intake || exhaust;
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      if ((intake || exhaust) && !has_centre(observed, cylinder, valve)) {
        missing.push_back(lobe_missing(cylinder, valve));
        if (has_lobe(inventory, cylinder, valve) && !main_wheel(sources)) {
          missing.back().needs = "true TDC on the wheel that the lobe was read on";
        }
      }
    }
  }
  if (!any) {
    missing.push_back(lobe_missing(1, Valve::intake));
    missing.push_back(lobe_missing(1, Valve::exhaust));
  }
  if (!wanted_intake_centreline(sources.build())) {
    missing.push_back({{"cam.phase_error", {}, ""}, "the card's intake centreline, or the one wanted"});
  }
  return missing;
}

}  // namespace fettle::stations
