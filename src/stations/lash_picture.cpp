// The card for setting the valves: the fewest crank positions, and one valve at a time, with the margin that
// each valve has to its ramps there; and which shim goes where.

#include <algorithm>

#include "build/names.h"
#include "mechanism/valve_setting.h"
#include "quantity/angle.h"
#include "stations/lash.h"
#include "stations/lash_state.h"
#include "stations/valves.h"

namespace fettle::stations {
namespace {

using build::Valve;
using nlohmann::ordered_json;

constexpr double degree = quantity::radians_per_degree;

/// Crank degrees that a valve must have to its ramps where it is set.
constexpr double least_margin = 10 * degree;

ordered_json valve_json(const mechanism::SettableValve& valve, double margin) {
  const bool intake = valve.kind == mechanism::ValveKind::intake;
  return {{"cylinder", valve.cylinder},
          {"valve", std::string(build::word(intake ? Valve::intake : Valve::exhaust))},
          {"margin", margin}};
}

ordered_json plan_json(const mechanism::SettingPlan& plan,
                       const std::vector<mechanism::SettableValve>& valves) {
  ordered_json positions = ordered_json::array();
  for (const auto& position : plan.positions) {
    ordered_json one{{"crank", position.crank_angle}};
    one["firing_cylinder"] =
        position.firing_cylinder ? ordered_json(*position.firing_cylinder) : ordered_json(nullptr);
    one["valves"] = ordered_json::array();
    for (const std::size_t place : position.valves) {
      one["valves"].push_back(
          valve_json(valves[place], mechanism::base_margin(valves[place], position.crank_angle)));
    }
    positions.push_back(std::move(one));
  }
  ordered_json never = ordered_json::array();
  for (const std::size_t place : plan.never) {
    never.push_back(valve_json(valves[place], 0));
  }
  return {{"positions", std::move(positions)}, {"never", std::move(never)}};
}

}  // namespace

ordered_json lash_picture(const Sources& sources, const Report& report) {
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  std::vector<mechanism::SettableValve> valves;
  ordered_json bases = ordered_json::object();
  double expanded = 0;
  ordered_json picture = ordered_json::object();
  if (auto shims = shims_picture(observed, report); !shims.is_null()) {
    picture["shims"] = std::move(shims);
  }
  for (const LobeKey& key : all_valves(sources)) {
    const auto lobe = settable_lobe(observed, report, key, tdc_of);
    if (!lobe) {
      return picture;
    }
    valves.push_back(lobe->valve);
    bases[std::string(build::word(key.valve))] = lobe->basis;
    expanded = std::max(expanded, lobe->expanded);
  }
  const auto plan = mechanism::fewest_positions(sources.phases(), valves, least_margin + expanded,
                                                mechanism::SettingPlaces::dead_centres);
  ordered_json singles = ordered_json::array();
  for (const auto& single : mechanism::one_at_a_time(valves)) {
    ordered_json one = valve_json(valves[single.valve], single.margin);
    one["crank"] = single.crank_angle;
    singles.push_back(std::move(one));
  }
  picture["plan"] = plan_json(plan, valves);
  picture["one_at_a_time"] = std::move(singles);
  picture["margin"] = least_margin;
  picture["expanded"] = expanded;
  picture["basis"] = std::move(bases);
  return picture;
}

}  // namespace fettle::stations
