#include "stations/inventory.h"

#include <cmath>

#include "quantity/angle.h"
#include "stations/what_if.h"

namespace fettle::stations {
namespace {

using build::Reading;
using build::ReadingKind;
using build::Turning;

/// The group with the same keys, made when it is not there yet.
StopGroup& stop_group(std::vector<StopGroup>& groups, const Reading& reading) {
  const std::string wheel = reading.tool.value_or("");
  const std::string stop = reading.stop.value_or("");
  for (StopGroup& group : groups) {
    if (group.cylinder == reading.cylinder && group.wheel == wheel && group.stop == stop &&
        group.pass == pass_of(reading)) {
      return group;
    }
  }
  return groups.emplace_back(StopGroup{*reading.cylinder, wheel, stop, pass_of(reading), {}, {}});
}

DropGroup& drop_group(std::vector<DropGroup>& groups, const Reading& reading) {
  const std::string wheel = reading.tool.value_or("");
  for (DropGroup& group : groups) {
    if (group.cylinder == reading.cylinder && group.wheel == wheel && group.pass == pass_of(reading)) {
      return group;
    }
  }
  return groups.emplace_back(DropGroup{*reading.cylinder, wheel, pass_of(reading), {}});
}

void add_to_lobe(LobeReadings& lobe, const Reading& reading, int place) {
  const bool backward = reading.turning == Turning::backward;
  switch (reading.kind) {
    case ReadingKind::lobe_sweep:
      (backward ? lobe.backward_sweeps : lobe.sweeps).push_back(place);
      break;
    case ReadingKind::lobe_point:
      (backward ? lobe.backward_points : lobe.points).push_back(place);
      break;
    default:
      (backward ? lobe.backward_points : lobe.tops).push_back(place);
  }
}

/// The map of lobes a reading belongs to: of the position fitted now, or of an earlier one.
std::map<LobeKey, LobeReadings>& lobes_for(Inventory& inventory, const build::Build& build,
                                           const Reading& reading) {
  constexpr double same = 0.01 * quantity::radians_per_degree;
  const bool told = build.timing_set && (build.timing_set->fitted || build.timing_set->exhaust_fitted);
  if (!reading.position || !told ||
      std::abs(reading.position->si() - fitted_position(build, *reading.valve)) < same) {
    return inventory.lobes;
  }
  for (auto& [position, lobes] : inventory.earlier_lobes) {
    if (std::abs(position - reading.position->si()) < same) {
      return lobes;
    }
  }
  return inventory.earlier_lobes[reading.position->si()];
}

}  // namespace

const std::vector<int>& Inventory::at(ReadingKind kind, const LobeKey& key) const {
  static const std::vector<int> none;
  const auto of_kind = at_valves.find(kind);
  if (of_kind == at_valves.end()) {
    return none;
  }
  const auto found = of_kind->second.find(key);
  return found == of_kind->second.end() ? none : found->second;
}

const std::vector<int>& Inventory::of(ReadingKind kind) const {
  static const std::vector<int> none;
  const auto found = of_parts.find(kind);
  return found == of_parts.end() ? none : found->second;
}

const std::vector<int>& Inventory::at_spot(ReadingKind kind, const Spot& spot) const {
  static const std::vector<int> none;
  const auto of_kind = at_spots.find(kind);
  if (of_kind == at_spots.end()) {
    return none;
  }
  const auto found = of_kind->second.find(spot);
  return found == of_kind->second.end() ? none : found->second;
}

Spot spot_of(const Reading& reading) {
  if (reading.main) {
    return {SpotKind::main, *reading.main};
  }
  if (reading.piston) {
    return {SpotKind::piston, *reading.piston};
  }
  return reading.cylinder ? Spot{SpotKind::cylinder, *reading.cylinder} : Spot{};
}

int pass_of(const Reading& reading) {
  return reading.pass.value_or(1);
}

Inventory take_inventory(const build::Build& build) {
  Inventory inventory;
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const Reading& reading = build.readings[i];
    const int place = static_cast<int>(i);
    switch (reading.kind) {
      case ReadingKind::stop_contact: {
        StopGroup& group = stop_group(inventory.stops, reading);
        (reading.turning == Turning::backward ? group.backward : group.forward).push_back(place);
        break;
      }
      case ReadingKind::tdc_drop:
        drop_group(inventory.drops, reading).readings.push_back(place);
        break;
      case ReadingKind::tdc_sweep:
        inventory.tdc_sweeps.push_back(place);
        break;
      case ReadingKind::chain_slack:
        inventory.slack.push_back(place);
        break;
      case ReadingKind::lobe_point:
      case ReadingKind::lobe_top:
      case ReadingKind::lobe_sweep:
        add_to_lobe(lobes_for(inventory, build, reading)[{*reading.cylinder, *reading.valve}], reading,
                    place);
        break;
      case ReadingKind::journal_diameter:
      case ReadingKind::housing_bore:
      case ReadingKind::bearing_bore:
      case ReadingKind::shell_wall:
      case ReadingKind::film_strip:
      case ReadingKind::end_play:
      case ReadingKind::rod_side:
      case ReadingKind::bore_diameter:
      case ReadingKind::piston_diameter:
      case ReadingKind::ring_gap:
      case ReadingKind::ring_side:
        inventory.at_spots[reading.kind][spot_of(reading)].push_back(place);
        break;
      default:
        if (reading.cylinder && reading.valve) {
          inventory.at_valves[reading.kind][{*reading.cylinder, *reading.valve}].push_back(place);
        } else {
          inventory.of_parts[reading.kind].push_back(place);
        }
    }
  }
  return inventory;
}

}  // namespace fettle::stations
