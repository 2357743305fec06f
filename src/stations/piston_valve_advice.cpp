// Mistakes, corrections and the picture of the station Valve to piston.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "quantity/angle.h"
#include "stations/head_height.h"
#include "stations/length_text.h"
#include "stations/limits.h"
#include "stations/piston_valve.h"
#include "stations/piston_valve_state.h"
#include "stations/prove.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;
using nlohmann::ordered_json;

constexpr double degree = quantity::radians_per_degree;

std::string valve_text(const LobeKey& key) {
  return fmt::format("{} valve of cylinder {}", build::word(key.valve), key.cylinder);
}

/// Drops read only where the valve stands wide open: the piston is far away there.
std::optional<Mistake> read_at_full_lift(const LobeKey& key, const std::vector<int>& readings,
                                         const mechanism::ValveDrop& drop) {
  constexpr double near_tdc = 45 * degree;
  const bool at_tdc = drop.mapped(0) || drop.mapped(near_tdc) || drop.mapped(-near_tdc);
  if (at_tdc) {
    return std::nullopt;
  }
  return Mistake{
      "piston_valve.read_at_full_lift", readings, key.cylinder,
      fmt::format("The drops of the {} were all taken far from TDC. Near full lift the piston is well down; "
                  "the two come closest around overlap.",
                  valve_text(key)),
      "Take the drop at TDC, and at 10 degrees before and after it."};
}

/// The least clearance lies outside the drops that were read.
std::optional<Mistake> least_beyond_map(const LobeKey& key, const std::vector<int>& readings,
                                        const PistonValveState& state) {
  if (readings.size() < 2 || !state.motion) {
    return std::nullopt;
  }
  const auto least = mechanism::least_clearance(*state.drop, motion_advanced(*state.motion, 0));
  if (state.drop->mapped(least.crank_angle)) {
    return std::nullopt;
  }
  return Mistake{
      "piston_valve.least_beyond_map", readings, key.cylinder,
      fmt::format(
          "The {} comes closest at {:.0f} degrees {} overlap TDC, outside the drops that were read: the "
          "map must reach past the closest place.",
          valve_text(key), std::abs(least.crank_angle) / degree, least.crank_angle < 0 ? "before" : "after"),
      fmt::format("Read the drop at about {:.0f} degrees {} TDC as well.",
                  std::ceil(std::abs(least.crank_angle) / degree / 5 + 1) * 5,
                  least.crank_angle < 0 ? "before" : "after")};
}

/// Clay and drop of the same valve that do not agree within their doubt.
std::optional<Mistake> clay_disagrees(const Sources& sources, const Report& report, const LobeKey& key,
                                      const std::vector<int>& clays) {
  const Finding* clearance = find(report, "piston_valve.clearance", {key.cylinder, key.valve, {}});
  if (clearance == nullptr || !clearance->value || clearance->basis.starts_with("clay")) {
    return std::nullopt;
  }
  const Observed observed(sources, sources.estimates());
  const double clay = observed.amount(clays.front(), Amount::gap);
  const double u = sources.inputs()[*sources.amount_input(clays.front(), Amount::gap)].u();
  const double off = clay - *clearance->value;
  if (std::abs(off) <= clearance->expanded + 2 * u) {
    return std::nullopt;
  }
  const bool much = off > 0;
  return Mistake{
      "piston_valve.clay_disagrees", clays, key.cylinder,
      fmt::format(
          "Clay under the {} tells {} {} clearance than its drop and lobe do.{}", valve_text(key),
          in_both(std::abs(off), 3), much ? "more" : "less",
          much ? " A hydraulic lifter that bled down, soft springs, lash or another gasket give too much."
               : ""),
      much ? "Repeat it with a solid lifter, the lash taken up and the gasket that will be run."
           : "Measure the drop again."};
}

std::optional<Mistake> hydraulic_under_clay(const build::Build& build, const std::vector<int>& clays) {
  const bool hydraulic = build.lifters && build.lifters->kind == build::LifterKind::hydraulic &&
                         !build.lifters->checking.value_or(false);
  if (!hydraulic || clays.empty()) {
    return std::nullopt;
  }
  return Mistake{"piston_valve.clay_on_hydraulic", clays, std::nullopt,
                 "Clay was pressed with hydraulic lifters in place: they bleed down and leave more clay than "
                 "there is room.",
                 "Put solid checking lifters in and press it again."};
}

ordered_json curve_json(const PistonValveState& state) {
  ordered_json crank = ordered_json::array();
  ordered_json clearance = ordered_json::array();
  const auto motion = motion_advanced(*state.motion, 0);
  constexpr double step = 2 * degree;
  for (int i = -20; i <= 20; ++i) {
    const double angle = i * step;
    crank.push_back(angle);
    clearance.push_back(mechanism::valve_clearance(*state.drop, motion, angle));
  }
  return {{"crank", std::move(crank)}, {"clearance", std::move(clearance)}};
}

ordered_json against_cam_json(const PistonValveState& state) {
  ordered_json advance = ordered_json::array();
  ordered_json clearance = ordered_json::array();
  for (int i = -12; i <= 12; i += 2) {
    advance.push_back(i * degree);
    clearance.push_back(
        mechanism::least_clearance(*state.drop, motion_advanced(*state.motion, i * degree)).clearance);
  }
  return {{"advance", std::move(advance)}, {"clearance", std::move(clearance)}};
}

/// Cam positions that keep the limit with the doubt of the clearance on the safe side.
ordered_json window_json(const Report& report, const LobeKey& key, const PistonValveState& state) {
  const Finding* clearance = find(report, "piston_valve.clearance", {key.cylinder, key.valve, {}});
  if (clearance == nullptr || !clearance->value || !clearance->limit || !clearance->limit->min) {
    return nullptr;
  }
  const double guarded = *clearance->limit->min + clearance->expanded;
  const auto window =
      mechanism::cam_window(*state.drop, motion_advanced(*state.motion, 0), guarded, cam_search);
  if (!window) {
    return nullptr;
  }
  const auto edge = [](const std::optional<double>& value) {
    return value ? ordered_json(*value) : ordered_json(nullptr);
  };
  return {{"most_retard", edge(window->most_retard)},
          {"most_advance", edge(window->most_advance)},
          {"holds_now", window->holds_now}};
}

}  // namespace

std::vector<Mistake> piston_valve_mistakes(const Sources& sources, const Report& report,
                                           const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  const auto keep = [&](std::optional<Mistake> mistake) {
    const bool found = mistake.has_value();
    if (found) {
      mistakes.push_back(std::move(*mistake));
    }
    return found;
  };
  std::vector<int> all_clay;
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      const LobeKey key{cylinder, valve};
      const auto& drops = sources.inventory().at(ReadingKind::valve_drop, key);
      const auto& clays = sources.inventory().at(ReadingKind::clay, key);
      all_clay.insert(all_clay.end(), clays.begin(), clays.end());
      const auto state = piston_valve_state(observed, key, tdc_of);
      if (!drops.empty() && state.drop && !keep(read_at_full_lift(key, drops, *state.drop))) {
        keep(least_beyond_map(key, drops, state));
      }
      if (!clays.empty()) {
        keep(clay_disagrees(sources, report, key, clays));
      }
    }
  }
  keep(hydraulic_under_clay(sources.build(), all_clay));
  return mistakes;
}

std::vector<Change> piston_valve_changes(const Sources& sources, const Report& report) {
  const bool read = std::any_of(report.findings.begin(), report.findings.end(), [](const Finding& finding) {
    return finding.id == "piston_valve.clearance" && finding.value;
  });
  return read ? gasket_changes(sources.build(), "piston_valve.gasket") : std::vector<Change>{};
}

ordered_json piston_valve_picture(const Sources& sources, const Report& report) {
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  ordered_json valves = ordered_json::array();
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      const LobeKey key{cylinder, valve};
      const auto state = piston_valve_state(observed, key, tdc_of);
      if (!state.drop || !state.motion) {
        continue;
      }
      ordered_json one{{"cylinder", cylinder}, {"valve", std::string(build::word(valve))}};
      one["curve"] = curve_json(state);
      one["against_cam"] = against_cam_json(state);
      one["window"] = window_json(report, key, state);
      const auto limit = limit_for(sources.build(), "piston_valve.clearance", {cylinder, valve, {}});
      one["limit"] = limit && limit->min ? ordered_json(*limit->min) : ordered_json(nullptr);
      valves.push_back(std::move(one));
    }
  }
  return {{"valves", std::move(valves)}};
}

}  // namespace fettle::stations
