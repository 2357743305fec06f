#pragma once

#include <vector>

#include "stations/report.h"
#include "stations/sources.h"

namespace fettle::stations {

/// Every valve of the engine, cylinder by cylinder, intake first.
inline std::vector<LobeKey> all_valves(const Sources& sources) {
  std::vector<LobeKey> keys;
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    keys.push_back({cylinder, build::Valve::intake});
    keys.push_back({cylinder, build::Valve::exhaust});
  }
  return keys;
}

/// The place of a finding of one valve.
inline Where where_of(const LobeKey& key) {
  return {key.cylinder, key.valve, std::nullopt};
}

}  // namespace fettle::stations
