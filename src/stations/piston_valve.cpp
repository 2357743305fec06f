#include "stations/piston_valve.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "mechanism/valve_room.h"
#include "stations/limits.h"
#include "stations/piston_valve_state.h"
#include "stations/train_speeds.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;

std::optional<double> least_limit(const build::Build& build, const LobeKey& key) {
  const auto limit = limit_for(build, "piston_valve.clearance", {key.cylinder, key.valve, std::nullopt});
  return limit ? limit->min : std::nullopt;
}

/// Where the cam stands when the least clearance comes down to the limit, crank rad toward the piston from
/// where it is, and the crank angle at which that is met.
struct CamRoom {
  double room = 0;
  double closest = 0;
};

/// That place by Newton's method from `start`, with the closest crank angle known to be near or not; nothing
/// where it does not get there.
std::optional<CamRoom> cam_room(const PistonValveState& state, Valve valve, double limit, double start,
                                const std::optional<double>& closest = std::nullopt) {
  constexpr double near = 0.1;  // rad, about the last closest place; in the end the whole range is looked at
  const auto about = [](double angle) { return mechanism::ClearanceRange{angle - near, angle + near}; };
  const double way = toward_piston(valve);
  double room = start;
  bool whole = !closest;
  mechanism::ClearanceRange range = whole ? mechanism::ClearanceRange{} : about(*closest);
  for (int i = 0; i < 12; ++i) {
    const auto least =
        mechanism::least_clearance(*state.drop, motion_advanced(*state.motion, way * room), range);
    const double slope = way * least.per_advance;  // falls toward the piston
    if (!whole && (least.at_edge || !(slope < 0))) {
      range = {};
      whole = true;
      continue;
    }
    const double step = (limit - least.clearance) / slope;
    if (!(slope < 0) || std::abs(room + step) > 2 * cam_search) {
      return std::nullopt;
    }
    room += step;
    // Close by, the next step settles it: the last look at the whole range is made there.
    constexpr double close = 1e-3;
    constexpr double settled = 1e-7;
    if (std::abs(step) < settled && whole) {
      return CamRoom{room, least.crank_angle};
    }
    whole = std::abs(step) < close;
    range = whole ? mechanism::ClearanceRange{} : about(least.crank_angle);
  }
  return std::nullopt;
}

/// The room left at the estimates, from which all others are found quickly.
std::optional<CamRoom> room_at_estimates(const Sources& sources, const LobeKey& key) {
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  const auto state = piston_valve_state(observed, key, tdc_of);
  const auto limit = least_limit(observed.build(), key);
  if (!state.drop || !state.motion || !limit) {
    return std::nullopt;
  }
  if (const auto room = cam_room(state, key.valve, *limit, 0)) {
    return room;
  }
  const auto window =
      mechanism::cam_window(*state.drop, motion_advanced(*state.motion, 0), *limit, cam_search);
  const auto edge = !window                      ? std::nullopt
                    : key.valve == Valve::intake ? window->most_advance
                                                 : window->most_retard;
  return edge ? cam_room(state, key.valve, *limit, toward_piston(key.valve) * *edge) : std::nullopt;
}

void add_clearances(const Observed& observed, const LobeKey& key, const PistonValveState& state,
                    const std::optional<CamRoom>& room_start, std::vector<Valued>& values) {
  const Where where{key.cylinder, key.valve, std::nullopt};
  if (state.drop) {
    values.push_back({{"piston_valve.drop", where, state.basis}, state.drop->at(0)});
  }
  std::optional<double> clearance = state.clay;
  if (state.drop && state.motion) {
    const auto least = mechanism::least_clearance(*state.drop, motion_advanced(*state.motion, 0));
    clearance = least.clearance;
    values.push_back({{"piston_valve.closest", where, state.basis}, least.crank_angle});
  }
  if (!clearance) {
    return;
  }
  values.push_back({{"piston_valve.clearance", where, state.basis}, *clearance});
  if (const auto allowance = allowance_at_redline(observed)) {
    // A valve that is flung stands so much deeper in the cylinder; lift that is lost counts for nothing here.
    const auto train = train_concerns(observed.build())
                           ? train_run(observed, weakest_valve(observed.sources(), key.valve))
                           : std::nullopt;
    const auto loft = train ? train->value(TrainOutput::loft) : std::nullopt;
    values.push_back({{"piston_valve.clearance_at_speed", where,
                       loft ? "rod stretch, play and loft of the valve at the redline, a prediction"
                            : "rod stretch and play at the redline, a prediction"},
                      *clearance - state.approach * allowance->total - std::max(0.0, loft.value_or(0))});
  }
  const auto limit = least_limit(observed.build(), key);
  if (room_start && limit && state.drop && state.motion) {
    if (const auto room = cam_room(state, key.valve, *limit, room_start->room, room_start->closest)) {
      values.push_back({{"piston_valve.cam_room", where, state.basis}, room->room});
    }
  }
}

Group valve_group(const LobeKey& key, const std::optional<CamRoom>& room_start) {
  return {[key, room_start](const Observed& observed) {
    std::vector<Valued> values;
    TdcOfWheels tdc_of(observed);
    add_clearances(observed, key, piston_valve_state(observed, key, tdc_of), room_start, values);
    const auto& gaps = observed.sources().inventory().at(ReadingKind::notch_gap, key);
    double sum = 0;
    for (const int place : gaps) {
      sum += observed.amount(place, Amount::gap);
    }
    if (!gaps.empty()) {
      values.push_back({{"piston_valve.radial", {key.cylinder, key.valve, {}}, ""},
                        sum / static_cast<double>(gaps.size())});
    }
    return values;
  }};
}

/// Heads of both valves in the plane through their axes, leaning toward each other.
Group between_group(int cylinder) {
  return {[cylinder](const Observed& observed) {
    std::vector<Valued> values;
    const auto& valves = observed.build().valves;
    const bool told = valves && valves->spacing && valves->intake && valves->exhaust &&
                      valves->intake->angle && valves->exhaust->angle && valves->intake->head_diameter &&
                      valves->exhaust->head_diameter;
    if (!told) {
      return values;
    }
    TdcOfWheels tdc_of(observed);
    const auto intake = valve_motion(observed, {cylinder, Valve::intake}, tdc_of);
    const auto exhaust = valve_motion(observed, {cylinder, Valve::exhaust}, tdc_of);
    if (!intake || !exhaust) {
      return values;
    }
    const auto head = [&](const build::ValvePart& part, double side) {
      const double angle = part.angle->si();
      return mechanism::ValveHead{{side * valves->spacing->si() / 2, 0},
                                  {-side * std::sin(angle), -std::cos(angle)},
                                  part.head_diameter->si() / 2};
    };
    const auto least =
        mechanism::least_head_distance(head(*valves->intake, -1), motion_advanced(*intake, 0),
                                       head(*valves->exhaust, +1), motion_advanced(*exhaust, 0));
    values.push_back(
        {{"piston_valve.between_valves", {cylinder, {}, {}}, "discs without thickness"}, least.distance});
    return values;
  }};
}

bool concerns(const Sources& sources) {
  constexpr std::array kinds{ReadingKind::valve_drop, ReadingKind::clay, ReadingKind::notch_gap};
  return std::any_of(kinds.begin(), kinds.end(),
                     [&](ReadingKind kind) { return sources.inventory().at_valves.contains(kind); });
}

}  // namespace

std::vector<Group> piston_valve_station(const Sources& sources) {
  std::vector<Group> groups;
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      const LobeKey key{cylinder, valve};
      if (concerns(sources)) {
        groups.push_back(valve_group(key, room_at_estimates(sources, key)));
      }
    }
    if (sources.build().valves && sources.build().valves->spacing) {
      groups.push_back(between_group(cylinder));
    }
  }
  return groups;
}

std::vector<Missing> piston_valve_missing(const Sources& sources) {
  std::vector<Missing> missing;
  if (!concerns(sources)) {
    return missing;
  }
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      const auto state = piston_valve_state(observed, {cylinder, valve}, tdc_of);
      const bool clear = (state.drop && state.motion) || state.clay;
      if (!clear) {
        missing.push_back({{"piston_valve.clearance", {cylinder, valve, {}}, ""},
                           state.drop ? "a lobe of this kind read, and true TDC"
                                      : "the drop of the valve to the piston at TDC, or clay"});
      }
    }
  }
  return missing;
}

}  // namespace fettle::stations
