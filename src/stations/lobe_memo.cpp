#include "stations/lobe_memo.h"

#include <algorithm>

#include "stations/cam_timing.h"

namespace fettle::stations {

LobeMemo::LobeMemo(const Sources& sources) {
  for (const auto& [key, readings] : sources.inventory().lobes) {
    Standing standing{std::nullopt, Used(sources.inputs().size(), false)};
    const Observed observed(sources, sources.estimates(), &standing.used);
    TdcOfWheels tdc_of(observed);
    standing.state = read_lobe(observed, key, readings, tdc_of);
    lobes_.emplace(key, std::move(standing));
  }
}

const std::optional<LobeState>* LobeMemo::unmoved(const LobeKey& key,
                                                  std::span<const std::size_t> moved) const {
  const auto found = lobes_.find(key);
  if (found == lobes_.end() ||
      std::any_of(moved.begin(), moved.end(), [&](std::size_t input) { return found->second.used[input]; })) {
    return nullptr;
  }
  return &found->second.state;
}

}  // namespace fettle::stations
