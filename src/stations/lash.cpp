#include "stations/lash.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "stations/limits.h"
#include "stations/observed.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;
using build::Warmth;

constexpr double inch = 0.0254;

/// Lash of one valve, the engine cold or hot; hot readings count where there are any.
struct Gap {
  double gap = 0;
  Warmth warmth = Warmth::cold;
};

std::optional<Gap> gap_of(const Observed& observed, const LobeKey& key) {
  for (const Warmth warmth : {Warmth::hot, Warmth::cold}) {
    double sum = 0;
    int count = 0;
    for (const int place : observed.sources().inventory().at(ReadingKind::valve_lash, key)) {
      if (observed.reading(place).warmth.value_or(Warmth::cold) == warmth) {
        sum += observed.amount(place, Amount::gap);
        ++count;
      }
    }
    if (count > 0) {
      return Gap{sum / count, warmth};
    }
  }
  return std::nullopt;
}

Group gap_group(const LobeKey& key) {
  return {[key](const Observed& observed) {
    std::vector<Valued> values;
    if (const auto gap = gap_of(observed, key)) {
      values.push_back(
          {{"lash.gap", {key.cylinder, key.valve, {}}, std::string(build::word(gap->warmth))}, gap->gap});
    }
    return values;
  }};
}

Group scatter_group(Valve valve) {
  return {[valve](const Observed& observed) {
    std::vector<double> gaps;
    for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
      if (const auto gap = gap_of(observed, {cylinder, valve})) {
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
      if (!gap_of(observed, {cylinder, valve})) {
        missing.push_back(
            {{"lash.gap", {cylinder, valve, {}}, ""}, "the lash, with this valve on its base circle"});
      }
    }
  }
  return missing;
}

/// All lashes of one kind off by much the same: they were taken at another temperature than the figure is
/// for.
std::vector<Mistake> lash_mistakes(const Sources& sources, const Report& report,
                                   const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  constexpr double much = 0.0025 * inch;
  constexpr double alike = 0.003 * inch;
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    std::vector<double> off;
    std::vector<int> readings;
    for (const Finding& finding : report.findings) {
      const bool of_kind = finding.id == "lash.gap" && finding.where.valve == valve && finding.value;
      if (of_kind && finding.limit && finding.limit->min && finding.limit->max) {
        off.push_back(*finding.value - (*finding.limit->min + *finding.limit->max) / 2);
        const auto& places =
            sources.inventory().at(ReadingKind::valve_lash, {*finding.where.cylinder, valve});
        readings.insert(readings.end(), places.begin(), places.end());
      }
    }
    if (off.size() < 3) {
      continue;
    }
    const auto [least, greatest] = std::minmax_element(off.begin(), off.end());
    if ((*least > much || *greatest < -much) && *greatest - *least < alike) {
      mistakes.push_back(
          {"lash.all_shifted", readings, std::nullopt,
           fmt::format(
               "All {} lashes are about {:.3f} in {} the figure, all alike: that is the temperature, not the "
               "setting. Iron closes up and aluminium heads open the gap as they warm.",
               build::word(valve), std::abs(off.front()) / inch, *least > 0 ? "over" : "under"),
           "See whether the figure is for a cold or a hot engine, and take one valve again so."});
    }
  }
  return mistakes;
}

}  // namespace fettle::stations
