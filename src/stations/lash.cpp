#include "stations/lash.h"

#include <algorithm>

#include "build/names.h"
#include "stations/lash_state.h"
#include "stations/observed.h"
#include "stations/valves.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;

Group gap_group(const LobeKey& key) {
  return {[key](const Observed& observed) {
    std::vector<Valued> values;
    const auto gap = lash_gap(observed, key);
    if (!gap) {
      return values;
    }
    std::string basis(build::word(gap->warmth));
    basis += gap->reckoned ? ", reckoned from the lash with another shim" : "";
    values.push_back({{"lash.gap", where_of(key), basis}, gap->gap});
    const auto shim = bucket_shim(observed, key);
    const auto wanted = wanted_lash(observed.build(), key);
    if (shim && wanted) {
      values.push_back({{"lash.shim_wanted", where_of(key), ""}, *shim + gap->gap - *wanted});
    }
    return values;
  }};
}

Group scatter_group(Valve valve) {
  return {[valve](const Observed& observed) {
    std::vector<double> gaps;
    for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
      if (const auto gap = lash_gap(observed, {cylinder, valve})) {
        gaps.push_back(gap->gap);
      }
    }
    if (gaps.size() < 2) {
      return std::vector<Valued>{};
    }
    const auto [least, greatest] = std::minmax_element(gaps.begin(), gaps.end());
    return std::vector<Valued>{{{"lash.scatter", {{}, valve, {}}, ""}, *greatest - *least}};
  }};
}

bool lash_read(const Sources& sources) {
  return sources.inventory().at_valves.contains(ReadingKind::valve_lash);
}

}  // namespace

std::vector<Group> lash_station(const Sources& sources) {
  std::vector<Group> groups;
  if (!lash_read(sources)) {
    return groups;
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
      groups.push_back(gap_group({cylinder, valve}));
    }
    groups.push_back(scatter_group(valve));
  }
  return groups;
}

std::vector<Missing> lash_missing(const Sources& sources) {
  std::vector<Missing> missing;
  if (!lash_read(sources)) {
    return missing;
  }
  const Observed observed(sources, sources.estimates());
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      if (!lash_gap(observed, {cylinder, valve})) {
        missing.push_back(
            {{"lash.gap", {cylinder, valve, {}}, ""}, "the lash, with this valve on its base circle"});
      }
    }
  }
  return missing;
}

}  // namespace fettle::stations
