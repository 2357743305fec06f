#include "stations/at_estimates.h"

#include <algorithm>

#include "stations/cam_timing.h"
#include "stations/valves.h"

namespace fettle::stations {

namespace {

template <class Map>
auto standing(const Map& map, const LobeKey& key, std::span<const std::size_t> moved)
    -> decltype(&map.begin()->second.state) {
  const auto found = map.find(key);
  if (found == map.end() ||
      std::any_of(moved.begin(), moved.end(), [&](std::size_t input) { return found->second.used[input]; })) {
    return nullptr;
  }
  return &found->second.state;
}

}  // namespace

AtEstimates::AtEstimates(const Sources& sources) {
  const Used none(sources.inputs().size(), false);
  const auto keep = [&](auto& map, const LobeKey& key, auto work_out) {
    auto& entry = map[key];
    entry.used = none;
    const Observed observed(sources, sources.estimates(), &entry.used);
    TdcOfWheels tdc_of(observed);
    entry.state = work_out(observed, tdc_of);
  };
  for (const auto& lobe : sources.inventory().lobes) {
    keep(lobes_, lobe.first, [&](const Observed& observed, TdcOfWheels& tdc_of) {
      return read_lobe(observed, lobe.first, lobe.second, tdc_of);
    });
  }
  if (sources.inventory().at_valves.empty()) {
    return;
  }
  for (const LobeKey& key : all_valves(sources)) {
    keep(motions_, key,
         [&](const Observed& observed, TdcOfWheels& tdc_of) { return valve_motion(observed, key, tdc_of); });
    keep(springs_, key,
         [&](const Observed& observed, TdcOfWheels& /*none*/) { return spring_state(observed, key); });
  }
}

const std::shared_ptr<const LobeState>* AtEstimates::unmoved(const LobeKey& key,
                                                             std::span<const std::size_t> moved) const {
  return standing(lobes_, key, moved);
}

std::shared_ptr<const LobeState> AtEstimates::with_moved(
    const LobeKey& key, std::size_t input, double value,
    const std::function<std::shared_ptr<const LobeState>()>& work_out) const {
  const std::tuple place{key, input, value};
  {
    const std::lock_guard lock(mutex_);
    if (const auto known = moved_.find(place); known != moved_.end()) {
      return known->second;
    }
  }
  auto lobe = work_out();
  const std::lock_guard lock(mutex_);
  return moved_.try_emplace(place, std::move(lobe)).first->second;
}

const std::optional<ValveMotion>* AtEstimates::unmoved_motion(const LobeKey& key,
                                                              std::span<const std::size_t> moved) const {
  return standing(motions_, key, moved);
}

const SpringState* AtEstimates::unmoved_spring(const LobeKey& key, std::span<const std::size_t> moved) const {
  return standing(springs_, key, moved);
}

}  // namespace fettle::stations
