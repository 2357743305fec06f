// Load against height of every spring, with its seat, its open height and coil bind.

#include <algorithm>

#include "build/names.h"
#include "stations/spring.h"
#include "stations/spring_packing.h"

namespace fettle::stations {
namespace {

using nlohmann::ordered_json;

ordered_json optional_json(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

ordered_json one_spring(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of) {
  const SpringState state = spring_state(observed, key);
  if (!state.height && !state.characteristic) {
    return nullptr;
  }
  const auto lift = net_lift(observed, key, tdc_of);
  ordered_json json{{"cylinder", key.cylinder}, {"valve", std::string(build::word(key.valve))}};
  json["points"] = ordered_json::array();
  for (const int place : observed.sources().inventory().at(build::ReadingKind::spring_load, key)) {
    json["points"].push_back({observed.amount(place, Amount::height), observed.amount(place, Amount::load)});
  }
  json["seat_height"] = optional_json(state.height);
  const bool opens = state.height && lift;
  const double open_height = opens ? *state.height - lift->lift : 0;
  json["open_height"] = opens ? ordered_json(open_height) : ordered_json(nullptr);
  json["solid_height"] = optional_json(state.solid_height);
  json["shims"] = fitted_shims(observed.build(), key);
  json["curve"] = ordered_json::array();
  if (state.characteristic) {
    const auto& read = *state.characteristic;
    const double tallest = state.height ? std::max(read.tallest(), *state.height) : read.tallest();
    const double shortest = opens ? std::min(read.shortest(), open_height) : read.shortest();
    constexpr int steps = 12;
    for (int i = 0; i <= steps; ++i) {
      const double height = tallest + (shortest - tallest) * i / steps;
      json["curve"].push_back({height, read.load(height)});
    }
  }
  return json;
}

ordered_json packing_json(const Observed& observed, build::Valve valve) {
  const auto packing = spring_packing(observed, valve);
  if (!packing) {
    return nullptr;
  }
  ordered_json json{{"found", packing->found}, {"says", packing->summary}, {"spread", packing->spread}};
  json["springs"] = ordered_json::array();
  if (!packing->found) {
    return json;  // there is no packing to take to the bench
  }
  for (const PackedSpring& packed : packing->springs) {
    json["springs"].push_back(
        {{"cylinder", packed.key.cylinder}, {"shims", packed.shims}, {"seat_load", packed.seat_load}});
  }
  return json;
}

}  // namespace

ordered_json spring_picture(const Sources& sources, const Report& /*report*/) {
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  ordered_json springs = ordered_json::array();
  ordered_json packing = ordered_json::object();
  for (const build::Valve valve : {build::Valve::intake, build::Valve::exhaust}) {
    for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
      if (auto one = one_spring(observed, {cylinder, valve}, tdc_of); !one.is_null()) {
        springs.push_back(std::move(one));
      }
    }
    packing[std::string(build::word(valve))] = packing_json(observed, valve);
  }
  return {{"springs", std::move(springs)}, {"packing", std::move(packing)}};
}

}  // namespace fettle::stations
