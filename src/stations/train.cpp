#include "stations/train.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "stations/train_speeds.h"
#include "stations/valves.h"

namespace fettle::stations {
namespace {

using build::Valve;

std::string basis_of(const TrainRun& run) {
  std::string basis = "a prediction; " + run.setup.basis;
  if (!run.speeds->periodic) {
    basis += "; it does not repeat from turn to turn at the redline, the worst of some turns counts there";
  }
  return basis;
}

void add_speeds(const TrainRun& run, const Where& where, const std::string& basis,
                std::vector<Valued>& values) {
  const auto separation = run.value(TrainOutput::separation);
  if (separation) {
    const std::string says =
        run.speeds->separates ? basis : basis + "; none up to twice the redline, which stands here";
    values.push_back({{"valve_train.separation", where, says}, *separation});
    values.push_back({{"valve_train.separation_margin", where, says}, *separation / run.setup.redline});
  }
  if (const auto needed = run.value(TrainOutput::seat_load_needed)) {
    values.push_back({{"valve_train.seat_load_needed", where, basis}, *needed});
    values.push_back({{"valve_train.seat_load_spare", where, basis},
                      run.figures[static_cast<std::size_t>(TrainFigure::seat_load)] - *needed});
  }
}

/// What cannot be less than nothing, however far the doubt reaches.
double not_negative(double value) {
  return std::max(0.0, value);
}

Group train_group(const LobeKey& key) {
  return {[key](const Observed& observed) {
    std::vector<Valued> values;
    const auto run = train_run(observed, key);
    if (!run) {
      return values;
    }
    const Where where = where_of(key);
    const std::string basis = basis_of(*run);
    add_speeds(*run, where, basis, values);
    const auto give = [&](const char* id, TrainOutput output) {
      if (const auto value = run->value(output)) {
        values.push_back({{id, where, basis}, not_negative(*value)});
      }
    };
    give("valve_train.least_contact", TrainOutput::least_contact);
    give("valve_train.cam_force", TrainOutput::cam_force);
    give("valve_train.loft", TrainOutput::loft);
    give("valve_train.deflection", TrainOutput::deflection);
    give("valve_train.seating_velocity", TrainOutput::seating_velocity);
    give("valve_train.bounce", TrainOutput::bounce);
    give("valve_train.surge", TrainOutput::surge);
    const auto force = run->value(TrainOutput::link_force);
    if (force && *force > 0 && run->setup.buckling_load) {
      values.push_back({{"valve_train.pushrod_margin", where, basis}, *run->setup.buckling_load / *force});
    }
    give("valve_train.break_in_pressure", TrainOutput::break_in_pressure);
    give("valve_train.break_in_film", TrainOutput::break_in_film);
    return values;
  }};
}

}  // namespace

std::vector<Group> train_station(const Sources& sources) {
  std::vector<Group> groups;
  if (!train_concerns(sources.build())) {
    return groups;
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    groups.push_back(train_group(weakest_valve(sources, valve)));
  }
  return groups;
}

std::vector<Missing> train_missing(const Sources& sources) {
  std::vector<Missing> missing;
  const build::Build& build = sources.build();
  if (build.valve_train && !train_redline(build)) {
    missing.push_back({{"valve_train.separation_margin", {1, Valve::intake, {}}, ""}, "valve_train.redline"});
  }
  if (!train_concerns(build)) {
    return missing;
  }
  const Observed observed(sources, sources.estimates());
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    const LobeKey key = weakest_valve(sources, valve);
    const auto known = train_setup(observed, key);
    if (!known.setup) {
      missing.push_back({{"valve_train.separation_margin", where_of(key), ""}, known.needs});
    }
  }
  return missing;
}

}  // namespace fettle::stations
