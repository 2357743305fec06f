#include "pull/running_valves.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/valve_dynamics.h"
#include "pull/valve_plan.h"
#include "stations/train_state.h"

namespace fettle::pull {

namespace {

using build::Valve;
using mechanism::RunningState;
using mechanism::RunningTrace;
using stations::LobeKey;

constexpr double pi = std::numbers::pi;
constexpr double cycle = 4.0 * pi;
constexpr double rpm = pi / 30.0;

/// What a train adds to its rigid lift, m, at `valve_samples` places over the cycle from half of it before
/// full lift.
using Beyond = std::vector<double>;

/// Between two places of a cycle's samples, the last of which is followed by the first.
template <class Sample>
double between(double place, std::size_t count, Sample sample) {
  const double whole = std::floor(place);
  const auto i = static_cast<std::size_t>(whole) % count;
  return sample(i) + (place - whole) * (sample((i + 1) % count) - sample(i));
}

Beyond beyond_rigid(const RunningTrace& trace) {
  const std::size_t count = trace.lift.size();
  Beyond beyond;
  for (std::size_t i = 0; i < valve_samples; ++i) {
    // The trace's first sample stands one step after the start of its cycle, which its last one ends.
    const double at = cycle * static_cast<double>(i) / valve_samples / trace.step - 1.0;
    beyond.push_back(between(at < 0.0 ? at + static_cast<double>(count) : at, count,
                             [&](std::size_t k) { return trace.lift[k] - trace.rigid_lift[k]; }));
  }
  return beyond;
}

double beyond_at(const Beyond& beyond, double from_top) {
  constexpr double per_angle = valve_samples / cycle;
  return between((from_top + 0.5 * cycle) * per_angle, beyond.size(),
                 [&](std::size_t k) { return beyond[k]; });
}

/// Trains as far as they are known, each found once.
class Trains {
 public:
  explicit Trains(const build::Build& build) : sources_(build), observed_(sources_, sources_.estimates()) {}

  /// Of the cylinder's own valve, else of the weakest of its kind, and whose it is.
  std::pair<LobeKey, const stations::TrainKnown*> of(const LobeKey& key) {
    if (known(key).setup) {
      return {key, &known(key)};
    }
    const LobeKey other = stations::weakest_valve(sources_, key.valve);
    return {other, &known(other)};
  }

 private:
  const stations::TrainKnown& known(const LobeKey& key) {
    const auto found = known_.find(key);
    return found != known_.end() ? found->second
                                 : known_.emplace(key, stations::train_setup(observed_, key)).first->second;
  }

  stations::Sources sources_;
  stations::Observed observed_;
  std::map<LobeKey, stations::TrainKnown> known_;
};

build::Problem not_asked_for(const build::Build& build) {
  return {"valve_train", build.valve_train ? "no redline" : "nothing of the valve train",
          "valve_train with a redline and the weights of its parts: valves as they run need them",
          R"({ "redline": "6000 rpm" })"};
}

build::Problem lacking(Valve valve, const std::string& needs) {
  return {"valve_train", fmt::format("not enough of the {} valve's train", build::word(valve)),
          fmt::format("what is missing: {}", needs), ""};
}

/// A kind of valve at all speeds, by whose train it is.
class Runs {
 public:
  Runs(Trains& trains, std::span<const double> speeds) : trains_(trains), speeds_(speeds) {}

  /// In the order of the speeds; the train must be known.
  const std::vector<Beyond>& of(const LobeKey& whose) {
    std::vector<Beyond>& all = beyond_[whose];
    if (all.empty()) {
      const stations::TrainSetup& setup = *trains_.of(whose).second->setup;
      mechanism::DynamicsOptions options;
      options.traces = true;
      for (const RunningState& state : mechanism::run_valve(setup.running(), setup.train, speeds_, options)) {
        all.push_back(beyond_rigid(*state.trace));
        if (!state.periodic) {
          unsettled_.push_back(state.speed);
        }
      }
    }
    return all;
  }

  const std::vector<double>& unsettled() const { return unsettled_; }

 private:
  Trains& trains_;
  std::span<const double> speeds_;
  std::map<LobeKey, std::vector<Beyond>> beyond_;
  std::vector<double> unsettled_;
};

/// What is said in place of the plan's "as turned by hand".
void say_so(EnginePlan& plan, const std::string& basis, const std::vector<double>& unsettled) {
  std::string value = "as run at each speed, a prediction; " + basis;
  if (!unsettled.empty()) {
    const auto [least, most] = std::minmax_element(unsettled.begin(), unsettled.end());
    value += fmt::format("; from {:.0f} to {:.0f} rpm it does not repeat, the last revolution stands",
                         *least / rpm, *most / rpm);
  }
  for (Assumption& one : plan.assumptions) {
    if (one.text == valve_motion_at_speed) {
      one.value = value;
    }
  }
}

}  // namespace

build::Problems running_problems(const build::Build& build) {
  build::Problems problems;
  if (!stations::train_concerns(build)) {
    problems.push_back(not_asked_for(build));
    return problems;
  }
  Trains trains(build);
  const auto cylinders = static_cast<int>(build.engine.firing_order.size());
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    for (int cylinder = 1; cylinder <= cylinders; ++cylinder) {
      const auto* known = trains.of({cylinder, valve}).second;
      if (!known->setup) {
        problems.push_back(lacking(valve, known->needs));
        break;
      }
    }
  }
  return problems;
}

RunningPlans run_valves(const build::Build& build, const EnginePlan& plan, std::span<const double> speeds) {
  RunningPlans running;
  running.problems = running_problems(build);
  if (!running.problems.empty()) {
    return running;
  }
  Trains trains(build);
  Runs runs(trains, speeds);
  std::vector<EnginePlan> plans(speeds.size(), plan);
  std::string basis;
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    Silent said;  // by plan_engine() already
    const PortFlow flow(build, valve, valve_size(build, valve, said), said);
    for (std::size_t c = 0; c < plan.cylinders.size(); ++c) {
      const auto [whose, known] = trains.of({static_cast<int>(c) + 1, valve});
      const auto& beyond = runs.of(whose);
      basis = basis.empty() ? known->setup->basis : basis;
      for (std::size_t i = 0; i < speeds.size(); ++i) {
        ValvePlan& own =
            valve == Valve::intake ? plans[i].cylinders[c].intake : plans[i].cylinders[c].exhaust;
        move_valve(own, flow, [&](double from_top) { return beyond_at(beyond[i], from_top); });
      }
    }
  }
  for (std::size_t i = 0; i < speeds.size(); ++i) {
    for (std::size_t c = 0; c < plan.cylinders.size(); ++c) {
      if (!shut_together(plans[i].cylinders[c])) {
        running.problems.push_back(
            {"valve_train",
             fmt::format(
                 "valves of cylinder {} that at {:.0f} rpm float so far that they are never shut together",
                 c + 1, speeds[i] / rpm),
             "speeds that the valve train holds to: see the station Valve train at speed", ""});
        return running;
      }
    }
    say_so(plans[i], basis, runs.unsettled());
  }
  running.plans = std::move(plans);
  return running;
}

}  // namespace fettle::pull
