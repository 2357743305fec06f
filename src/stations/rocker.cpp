#include "stations/rocker.h"

#include <algorithm>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/pushrod.h"
#include "stations/rocker_state.h"
#include "stations/spring_state.h"
#include "stations/valves.h"

namespace fettle::stations {
namespace {

using build::MeasuredAt;
using build::ReadingKind;
using build::Valve;

Where where_of(Valve valve) {
  return {std::nullopt, valve, std::nullopt};
}

/// Greatest lifts read of one lobe at one end of the rocker, as the indicator had them; mean, or nothing.
std::optional<double> greatest_lift(const Observed& observed, const LobeReadings& readings, MeasuredAt end) {
  double sum = 0;
  int count = 0;
  const auto stood_there = [&](int place) {
    return observed.reading(place).measured_at.value_or(MeasuredAt::lifter) == end;
  };
  for (const int place : readings.sweeps) {
    const FittedSweep* fitted = observed.sources().sweep(place);
    if (stood_there(place) && fitted != nullptr) {
      sum += fitted->basis.to_measured(observed.swept_max_lift(place));
      ++count;
    }
  }
  for (const int place : readings.tops) {
    if (stood_there(place) && observed.reading(place).lift) {
      sum += observed.lift(place);
      ++count;
    }
  }
  return count > 0 ? std::optional(sum / count) : std::nullopt;
}

/// Lash typed for a valve: the rocker has taken it up before the valve moves.
double typed_lash(const build::Build& build, Valve valve) {
  if (!build.lash) {
    return 0;
  }
  const auto& lash = valve == Valve::intake ? build.lash->intake : build.lash->exhaust;
  return lash ? lash->si() : 0;
}

Group ratio_group(const LobeKey& key, const LobeReadings& readings) {
  return {[key, readings](const Observed& observed) {
    std::vector<Valued> values;
    const auto lobe = greatest_lift(observed, readings, MeasuredAt::lifter);
    const auto valve = greatest_lift(observed, readings, MeasuredAt::valve);
    if (lobe && valve && *lobe > 0) {
      const double lash = typed_lash(observed.build(), key.valve);
      values.push_back(
          {{"rocker.ratio", where_of(key), lash > 0 ? "lash of the build added to the lift" : ""},
           (*valve + lash) / *lobe});
    }
    return values;
  }};
}

Group mark_group(const LobeKey& key) {
  return {[key](const Observed& observed) {
    std::vector<Valued> values;
    TdcOfWheels tdc_of(observed);
    const auto mark = tip_mark(observed, key, tdc_of);
    if (!mark) {
      return values;
    }
    const std::string basis =
        mark->moved ? "brought over by the geometry from the pushrod it was read with" : "";
    values.push_back({{"rocker.mark_offset", where_of(key), basis}, mark->offset});
    if (mark->width) {
      values.push_back({{"rocker.mark_width", where_of(key), basis}, *mark->width});
    }
    if (const auto pushrod = central_pushrod(observed, key, *mark, tdc_of)) {
      values.push_back({{"rocker.pushrod_length", where_of(key),
                         pivot_follows(observed.build()) ? "the pivot moved along its stud with it"
                                                         : "the pivot moved on shims with it"},
                        *pushrod});
    }
    return values;
  }};
}

Group preload_group(const LobeKey& key) {
  return {[key](const Observed& observed) {
    std::vector<Valued> values;
    if (const auto preload = plunger_preload(observed, key)) {
      values.push_back({{"rocker.preload", where_of(key), preload->basis}, preload->preload});
    }
    return values;
  }};
}

Group sweep_group(Valve valve) {
  return {[valve](const Observed& observed) {
    std::vector<Valued> values;
    const auto geometry = rocker_geometry(observed, valve);
    if (!geometry) {
      return values;
    }
    const mechanism::RockerTrain train(*geometry);
    TdcOfWheels tdc_of(observed);
    const auto rise = tappet_rise(observed, {1, valve}, train, tdc_of);
    if (const auto sweep = rise ? train.sweep(rise->rise) : std::nullopt) {
      values.push_back({{"rocker.sweep_width", where_of(valve), "lift: " + rise->basis}, sweep->width()});
    }
    return values;
  }};
}

/// Greatest load of the springs of one kind at full lift.
std::optional<double> greatest_open_load(const Observed& observed, Valve valve, TdcOfWheels& tdc_of) {
  std::optional<double> greatest;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const LobeKey key{cylinder, valve};
    const SpringState state = spring_state(observed, key);
    if (!state.height || !state.characteristic) {
      continue;
    }
    const auto lift = net_lift(observed, key, tdc_of);
    if (lift && *state.height > lift->lift) {
      const double load = state.characteristic->load(*state.height - lift->lift);
      greatest = std::max(greatest.value_or(load), load);
    }
  }
  return greatest;
}

/// Force along the pushrod over that along the valve at full lift.
std::optional<double> pushrod_force(const Observed& observed, Valve valve, TdcOfWheels& tdc_of) {
  if (const auto geometry = rocker_geometry(observed, valve)) {
    const mechanism::RockerTrain train(*geometry);
    const auto rise = tappet_rise(observed, {1, valve}, train, tdc_of);
    if (const auto open = rise ? train.at(rise->rise) : std::nullopt) {
      return open->pushrod_force;
    }
  }
  return known_ratio(observed, valve);
}

Group buckling_group(Valve valve) {
  return {[valve](const Observed& observed) {
    std::vector<Valued> values;
    const auto tube = pushrod_tube(observed.build());
    if (!tube) {
      return values;
    }
    TdcOfWheels tdc_of(observed);
    const auto load = greatest_open_load(observed, valve, tdc_of);
    const auto force = load ? pushrod_force(observed, valve, tdc_of) : std::nullopt;
    if (force && *load > 0) {
      values.push_back(
          {{"rocker.pushrod_buckling", where_of(valve), "standing: the spring's open load alone"},
           mechanism::pushrod_column(*tube).buckling_load / (*load * *force)});
    }
    return values;
  }};
}

bool has_value(const Observed& observed, const Group& group, std::string_view id) {
  const auto values = group.evaluate(observed);
  return std::any_of(values.begin(), values.end(), [&](const Valued& one) { return one.key.id == id; });
}

bool hydraulic(const build::Build& build) {
  return build.lifters && build.lifters->kind == build::LifterKind::hydraulic;
}

void add_missing_mark(const Observed& observed, const LobeKey& key, std::vector<Missing>& missing) {
  const bool read = !observed.sources().inventory().at(ReadingKind::tip_mark, key).empty();
  const bool measured = rocker_dimensions(observed.build(), key.valve) != nullptr;
  TdcOfWheels tdc_of(observed);
  const auto mark = tip_mark(observed, key, tdc_of);
  if (!mark && (read || measured)) {
    missing.push_back({{"rocker.mark_offset", where_of(key), ""},
                       read ? "a mark made with the pushrod fitted now, or the rocker's geometry"
                            : "the mark on the valve's tip after two turns by hand"});
  }
  if (!mark || central_pushrod(observed, key, *mark, tdc_of)) {
    return;
  }
  const bool lift = net_lift(observed, key, tdc_of).has_value();
  missing.push_back({{"rocker.pushrod_length", where_of(key), ""},
                     !measured ? "the rocker's geometry"
                     : !lift   ? "the valve's lift: its lobe read, or the card's lift"
                               : "a stand moved across the head: no pushrod brings the mark to the middle"});
}

void add_missing_preload(const Observed& observed, const LobeKey& key, std::vector<Missing>& missing) {
  const Inventory& inventory = observed.sources().inventory();
  const bool asked = inventory.at_valves.contains(ReadingKind::preload_turns) ||
                     inventory.at_valves.contains(ReadingKind::plunger_depth);
  const bool adjusted = observed.build().lifters && observed.build().lifters->adjuster;
  if (plunger_preload(observed, key) || !(asked || (hydraulic(observed.build()) && adjusted))) {
    return;
  }
  const bool turns = !inventory.at(ReadingKind::preload_turns, key).empty();
  missing.push_back({{"rocker.preload", where_of(key), ""},
                     turns ? "lifters.adjuster, its thread_pitch and the rocker's ratio"
                           : "turns of the adjuster past zero lash, or the depth of the plunger"});
}

}  // namespace

std::vector<Group> rocker_station(const Sources& sources) {
  std::vector<Group> groups;
  for (const auto& [key, readings] : sources.inventory().lobes) {
    groups.push_back(ratio_group(key, readings));
  }
  if (!rockers_concern(sources)) {
    return groups;
  }
  for (const LobeKey& key : all_valves(sources)) {
    groups.push_back(mark_group(key));
    groups.push_back(preload_group(key));
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    groups.push_back(sweep_group(valve));
    groups.push_back(buckling_group(valve));
  }
  return groups;
}

std::vector<Missing> rocker_missing(const Sources& sources) {
  std::vector<Missing> missing;
  if (!rockers_concern(sources)) {
    return missing;
  }
  const Observed observed(sources, sources.estimates());
  for (const LobeKey& key : all_valves(sources)) {
    add_missing_mark(observed, key, missing);
    add_missing_preload(observed, key, missing);
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    const bool measured = rocker_geometry(observed, valve).has_value();
    if (measured && !has_value(observed, sweep_group(valve), "rocker.sweep_width")) {
      missing.push_back({{"rocker.sweep_width", where_of(valve), ""},
                         "the valve's lift: its lobe read, or the card's lift"});
    }
    if (pushrod_tube(sources.build()) &&
        !has_value(observed, buckling_group(valve), "rocker.pushrod_buckling")) {
      missing.push_back({{"rocker.pushrod_buckling", where_of(valve), ""},
                         "the spring's open load (height, loads and lift) and the rocker's ratio"});
    }
  }
  return missing;
}

}  // namespace fettle::stations
