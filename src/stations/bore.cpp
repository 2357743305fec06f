#include "stations/bore.h"

#include <array>
#include <numbers>
#include <stdexcept>

#include <fmt/format.h>

#include "build/names.h"
#include "stations/bore_state.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Ring;
using build::WallMaterial;

constexpr double reference = 293.15;  // K

Where where_of(int cylinder) {
  return {cylinder, {}, {}};
}

/// Clearance at the running temperatures of the build.
double running(const build::Bores& bores, double bore, double piston) {
  const double walls = expansion(bores.material.value_or(WallMaterial::iron));
  const double skirt = expansion(bores.piston_material.value_or(WallMaterial::aluminium));
  return bore * (1 + walls * (bores.running->bore.si() - reference)) -
         piston * (1 + skirt * (bores.running->piston.si() - reference));
}

Group bore_group(int cylinder) {
  return {[cylinder](const Observed& observed) {
    std::vector<Valued> values;
    const BoreState state = bore_state(observed, cylinder);
    const auto add = [&](const char* id, const std::optional<double>& value) {
      if (value) {
        values.push_back({{id, where_of(cylinder), ""}, *value});
      }
    };
    const auto least = least_diameter(state.points);
    add("bore.least", least);
    if (least && state.piston) {
      add("bore.piston_clearance", *least - *state.piston);
      const auto& bores = observed.build().bores;
      if (bores && bores->running) {
        add("bore.running_clearance", running(*bores, *least, *state.piston));
      }
    }
    add("bore.taper", taper(state.points));
    add("bore.out_of_round", out_of_round(state.points));
    return values;
  }};
}

std::optional<double> ring_side(const Observed& observed, int cylinder, Ring ring) {
  const auto readings = ring_readings(observed, ReadingKind::ring_side, cylinder, ring);
  if (readings.empty()) {
    return std::nullopt;
  }
  double sum = 0;
  for (const int place : readings) {
    sum += observed.amount(place, Amount::gap);
  }
  return sum / static_cast<double>(readings.size());
}

FindingId gap_id(Ring ring) {
  switch (ring) {
    case Ring::top:
      return "bore.top_gap";
    case Ring::second:
      return "bore.second_gap";
    case Ring::oil:
      return "bore.oil_gap";
  }
  throw std::invalid_argument("gap_id: no such ring");
}

Group rings_group(int cylinder) {
  return {[cylinder](const Observed& observed) {
    std::vector<Valued> values;
    for (const Ring ring : {Ring::top, Ring::second, Ring::oil}) {
      if (const auto gap = ring_gap(observed, cylinder, ring)) {
        values.push_back({{gap_id(ring), where_of(cylinder), ""}, *gap});
      }
      const auto side = ring == Ring::oil ? std::nullopt : ring_side(observed, cylinder, ring);
      if (side) {
        values.push_back(
            {{ring == Ring::top ? "bore.top_side" : "bore.second_side", where_of(cylinder), ""}, *side});
      }
    }
    return values;
  }};
}

Group displacement_group() {
  return {[](const Observed& observed) {
    double areas = 0;
    for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
      const auto bore = mean_diameter(bore_state(observed, cylinder).points);
      if (!bore) {
        return std::vector<Valued>{};
      }
      areas += std::numbers::pi / 4 * *bore * *bore;
    }
    return std::vector<Valued>{{{"bore.displacement", {}, ""}, areas * observed.build().engine.stroke.si()}};
  }};
}

}  // namespace

std::vector<Group> bore_station(const Sources& sources) {
  std::vector<Group> groups;
  if (!bores_concern(sources)) {
    return groups;
  }
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    groups.push_back(bore_group(cylinder));
    groups.push_back(rings_group(cylinder));
  }
  groups.push_back(displacement_group());
  return groups;
}

std::vector<Missing> bore_missing(const Sources& sources) {
  std::vector<Missing> missing;
  if (!bores_concern(sources)) {
    return missing;
  }
  const Observed observed(sources, sources.estimates());
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    const Where where = where_of(cylinder);
    const BoreState state = bore_state(observed, cylinder);
    if (state.points.empty() || !state.piston) {
      missing.push_back({{"bore.piston_clearance", where, ""},
                         state.points.empty() ? "the bore at three depths, square to the pin and along it"
                                              : fmt::format("piston {} at its maker's gauge point",
                                                            piston_in(observed.build(), cylinder))});
    }
    if (!state.points.empty() && !taper(state.points)) {
      missing.push_back({{"bore.taper", where, ""}, "the bore at a second depth in the same direction"});
    }
    if (!state.points.empty() && !out_of_round(state.points)) {
      missing.push_back({{"bore.out_of_round", where, ""}, "the bore in a second direction at one depth"});
    }
    for (const Ring ring : {Ring::top, Ring::second}) {
      if (!ring_gap(observed, cylinder, ring)) {
        missing.push_back(
            {{gap_id(ring), where, ""},
             fmt::format("the end gap of the {} ring, square in this bore", build::word(ring))});
      }
    }
  }
  return missing;
}

}  // namespace fettle::stations
