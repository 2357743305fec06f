// The card for setting the valves: the fewest crank positions, and one valve at a time, with the margin that
// each valve has to its ramps there.

#include <algorithm>
#include <cmath>

#include "build/names.h"
#include "mechanism/valve_setting.h"
#include "quantity/angle.h"
#include "stations/card_lobe.h"
#include "stations/lash.h"
#include "stations/lobe_slopes.h"
#include "stations/prove.h"
#include "stations/valve_motion.h"

namespace fettle::stations {
namespace {

using build::Valve;
using nlohmann::ordered_json;

constexpr double degree = quantity::radians_per_degree;

/// A follower that stands higher than this is off its base circle: above the run-out of one and the noise of
/// a curve (common practice, no source).
constexpr double off_base_lift = 0.1e-3;

/// Crank degrees that a valve must have to its ramps where it is set.
constexpr double least_margin = 10 * degree;

struct Profile {
  ValveMotion::Span off;
  std::string basis;
  double expanded = 0;  ///< doubt of its ends, crank rad
};

/// The card's lobe where the card puts it, for valves whose lobes nobody read.
std::optional<Profile> card_profile(const Observed& observed, Valve valve) {
  const auto lobe = card_lobe(observed.build(), valve, observed.sources().memory());
  if (!lobe) {
    return std::nullopt;
  }
  return Profile{{lobe->lift_start, lobe->lift_end}, "the card's lobe, ramps made smooth", 0};
}

/// Doubt of the lowest events that were read of this lobe, or of another of its kind.
double doubt_of_ends(const Report& report, Valve valve) {
  double most = 0;
  double lowest = 1;
  for (const Finding& finding : report.findings) {
    const bool event = finding.id == "cam.opening" || finding.id == "cam.closing";
    if (event && finding.where.valve == valve && finding.value && finding.where.at &&
        *finding.where.at <= lowest) {
      most = *finding.where.at < lowest ? finding.expanded : std::max(most, finding.expanded);
      lowest = *finding.where.at;
    }
  }
  return most;
}

std::optional<Profile> profile_of(const Observed& observed, const Report& report, const LobeKey& key,
                                  TdcOfWheels& tdc_of) {
  if (const auto motion = valve_motion(observed, key, tdc_of)) {
    return Profile{motion->follower_span(off_base_lift), motion->basis, doubt_of_ends(report, key.valve)};
  }
  return card_profile(observed, key.valve);
}

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
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    const double overlap = sources.phases().overlap_tdc(cylinder);
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      const auto profile = profile_of(observed, report, {cylinder, valve}, tdc_of);
      if (!profile) {
        return ordered_json::object();
      }
      const auto kind = valve == Valve::intake ? mechanism::ValveKind::intake : mechanism::ValveKind::exhaust;
      valves.push_back({cylinder, kind, overlap + profile->off.from, overlap + profile->off.to});
      bases[std::string(build::word(valve))] = profile->basis;
      expanded = std::max(expanded, profile->expanded);
    }
  }
  const auto plan = mechanism::fewest_positions(sources.phases(), valves, least_margin + expanded,
                                                mechanism::SettingPlaces::dead_centres);
  ordered_json singles = ordered_json::array();
  for (const auto& single : mechanism::one_at_a_time(valves)) {
    ordered_json one = valve_json(valves[single.valve], single.margin);
    one["crank"] = single.crank_angle;
    singles.push_back(std::move(one));
  }
  return {{"plan", plan_json(plan, valves)},
          {"one_at_a_time", std::move(singles)},
          {"margin", least_margin},
          {"expanded", expanded},
          {"basis", std::move(bases)}};
}

}  // namespace fettle::stations
