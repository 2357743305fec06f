#include "mechanism/valve_dynamics.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <numbers>
#include <stdexcept>

#include "mechanism/valve_pack.h"

namespace fettle::mechanism {

namespace {

using valve_kernel::lanes;
using valve_kernel::Row;
using valve_kernel::Seen;
using valve_kernel::State;

constexpr int last_revolutions = 6;            // the worst of them stands for a train that does not repeat
constexpr double velocity_per_place = 5000.0;  // 1/s: velocities may differ by so much times the tolerance

void check(const RunningLobe& lobe, std::span<const RunningCase> cases, const DynamicsOptions& options) {
  const auto require = [](bool condition, const char* message) {
    if (!condition) {
      throw std::invalid_argument(message);
    }
  };
  require(lobe.lift != nullptr && std::isfinite(lobe.base_level) && std::isfinite(lobe.top),
          "run_valve: there is no lobe");
  require(
      options.elements >= 4 && options.elements <= valve_kernel::most_elements && options.elements % 2 == 0,
      "DynamicsOptions: elements must be even, 4 to 24");
  require(options.least_steps >= 360 && options.step_phase > 0.0 && options.step_phase <= 1.0,
          "DynamicsOptions: least_steps must be 360 or more and step_phase in (0, 1]");
  require(options.most_revolutions >= 2 && options.tolerance > 0.0,
          "DynamicsOptions: most_revolutions must be 2 or more and tolerance above zero");
  require(options.watched_part > 0.0 && options.watched_part < 1.0,
          "DynamicsOptions: watched_part must lie in (0, 1)");
  for (const RunningCase& one : cases) {
    require(std::isfinite(one.speed) && one.speed > 0.0, "run_valve: a speed must be greater than zero");
    if (const auto problem = valve_train_problem(one.train)) {
      throw std::invalid_argument("run_valve: " + *problem);
    }
    require(one.train.kind == cases.front().train.kind &&
                one.train.springs.size() == cases.front().train.springs.size(),
            "run_valve: trains run together must be of one kind and number of springs");
  }
}

/// Greatest change of a lane's state over a revolution, velocities brought to places, m.
double change_of(const State& before, const State& after, int bodies, int springs, int elements, int lane) {
  double greatest = 0.0;
  const auto look = [&](const Row& a, const Row& b, double scale) {
    greatest = std::max(greatest, std::abs(a.lane[lane] - b.lane[lane]) * scale);
  };
  for (int i = 0; i < bodies; ++i) {
    look(before.x[i], after.x[i], 1.0);
    look(before.v[i], after.v[i], 1.0 / velocity_per_place);
  }
  for (int s = 0; s < springs; ++s) {
    for (int j = 0; j + 1 < elements; ++j) {
      look(before.z[s][j], after.z[s][j], 1.0);
      look(before.w[s][j], after.w[s][j], 1.0 / velocity_per_place);
    }
  }
  look(before.plunger, after.plunger, 1.0);
  return greatest;
}

RunningState state_of(const Seen& seen, int lane) {
  RunningState state;
  state.least_squeeze = seen.least_squeeze.lane[lane];
  state.least_cam_force = seen.least_cam.lane[lane];
  state.greatest_cam_force = seen.greatest_cam.lane[lane];
  state.greatest_link_force = seen.greatest_link.lane[lane];
  state.greatest_tip_force = seen.greatest_tip.lane[lane];
  state.loft = seen.loft.lane[lane];
  state.deflection = seen.deflection.lane[lane];
  state.seating_velocity = seen.seating.lane[lane];
  state.bounce = seen.bounce.lane[lane];
  state.surge = seen.surge.lane[lane];
  state.cam_work = seen.work.lane[lane];
  return state;
}

/// The worse of the two for the parts, figure by figure.
void take_worse(RunningState& state, const RunningState& other) {
  state.least_squeeze = std::min(state.least_squeeze, other.least_squeeze);
  state.least_cam_force = std::min(state.least_cam_force, other.least_cam_force);
  for (double RunningState::*figure :
       {&RunningState::greatest_cam_force, &RunningState::greatest_link_force,
        &RunningState::greatest_tip_force, &RunningState::loft, &RunningState::deflection,
        &RunningState::seating_velocity, &RunningState::bounce, &RunningState::surge}) {
    state.*figure = std::max(state.*figure, other.*figure);
  }
}

/// Up to eight cases through their revolutions.
class Pack {
 public:
  Pack(const RunningLobe& lobe, std::span<const RunningCase> cases, const DynamicsOptions& options)
      : made_(pack_of(lobe, cases, options)), options_(options), cases_(cases) {
    if (options.traces) {
      for (auto& rows : trace_) {
        rows.resize(static_cast<std::size_t>(made_.run.steps));
      }
      made_.run.trace_lift = trace_[0].data();
      made_.run.trace_rigid = trace_[1].data();
      made_.run.trace_force = trace_[2].data();
      made_.run.trace_coil = trace_[3].data();
      made_.run.trace_gap = trace_[4].data();
    }
  }

  std::vector<RunningState> until_periodic() {
    std::vector<RunningState> results(cases_.size());
    std::size_t open = cases_.size();
    for (int turn = 1; turn <= options_.most_revolutions && open > 0; ++turn) {
      const State before = revolve();
      for (std::size_t i = 0; i < cases_.size(); ++i) {
        RunningState& result = results[i];
        if (result.periodic) {
          continue;
        }
        const int lane = static_cast<int>(i);
        RunningState now = outcome(before, lane, turn);
        now.periodic = turn > 1 && change(before, lane) < options_.tolerance;
        const bool last = turn == options_.most_revolutions;
        if (!now.periodic && turn > options_.most_revolutions - last_revolutions + 1 && result.steps > 0) {
          take_worse(now, result);
        }
        if (options_.traces && (now.periodic || last)) {
          now.trace = trace(lane);
        }
        result = std::move(now);
        made_.run.idle[lane] = result.periodic;
        open -= result.periodic ? 1 : 0;
      }
    }
    return results;
  }

  std::vector<RunningState> so_many(int revolutions) {
    std::vector<RunningState> results;
    State before;
    for (int turn = 0; turn < revolutions; ++turn) {
      before = revolve();
    }
    for (std::size_t i = 0; i < cases_.size(); ++i) {
      const int lane = static_cast<int>(i);
      results.push_back(outcome(before, lane, revolutions));
      results.back().periodic = change(before, lane) < options_.tolerance;
      if (options_.traces) {
        results.back().trace = trace(lane);
      }
    }
    return results;
  }

 private:
  /// Runs one revolution and gives the state before it.
  State revolve() {
    const State before = state_;
    valve_revolve()(made_.train, made_.run, state_, seen_);
    return before;
  }

  double change(const State& before, int lane) const {
    return change_of(before, state_, made_.train.bodies, made_.train.springs, made_.train.elements, lane);
  }

  RunningState outcome(const State& before, int lane, int turns) const {
    RunningState result = state_of(seen_, lane);
    const RunningCase& one = cases_[static_cast<std::size_t>(lane)];
    result.speed = one.speed;
    result.revolutions = turns;
    result.steps = made_.run.steps;
    result.energy_change = energy_of(made_, state_, lane) - energy_of(made_, before, lane);
    return result;
  }

  RunningTrace trace(int lane) const {
    RunningTrace kept;
    kept.step = made_.crank_step;
    kept.from = made_.from + made_.crank_step;
    std::vector<double>* const into[] = {&kept.lift, &kept.rigid_lift, &kept.cam_force, &kept.coil,
                                         &kept.gap};
    for (std::size_t i = 0; i < std::size(trace_); ++i) {
      into[i]->reserve(trace_[i].size());
      for (const Row& row : trace_[i]) {
        into[i]->push_back(row.lane[lane]);
      }
    }
    return kept;
  }

  ValvePack made_;
  State state_{};
  Seen seen_{};
  const DynamicsOptions& options_;
  std::span<const RunningCase> cases_;
  std::vector<Row> trace_[5];
};

template <class Run>
std::vector<RunningState> in_packs(const RunningLobe& lobe, std::span<const RunningCase> cases,
                                   const DynamicsOptions& options, Run run) {
  check(lobe, cases, options);
  std::vector<RunningState> results;
  results.reserve(cases.size());
  for (std::size_t first = 0; first < cases.size(); first += lanes) {
    const std::size_t count = std::min<std::size_t>(lanes, cases.size() - first);
    Pack pack(lobe, cases.subspan(first, count), options);
    for (RunningState& result : run(pack)) {
      results.push_back(std::move(result));
    }
  }
  return results;
}

}  // namespace

std::vector<RunningState> run_valve(const RunningLobe& lobe, std::span<const RunningCase> cases,
                                    const DynamicsOptions& options) {
  return in_packs(lobe, cases, options, [](Pack& pack) { return pack.until_periodic(); });
}

std::vector<RunningState> run_valve(const RunningLobe& lobe, const ValveTrain& train,
                                    std::span<const double> speeds, const DynamicsOptions& options) {
  std::vector<RunningCase> cases;
  cases.reserve(speeds.size());
  for (const double speed : speeds) {
    cases.push_back({train, speed});
  }
  return run_valve(lobe, cases, options);
}

std::vector<RunningState> run_revolutions(const RunningLobe& lobe, std::span<const RunningCase> cases,
                                          int revolutions, const DynamicsOptions& options) {
  if (revolutions < 1) {
    throw std::invalid_argument("run_revolutions: at least one revolution is run");
  }
  return in_packs(lobe, cases, options, [&](Pack& pack) { return pack.so_many(revolutions); });
}

}  // namespace fettle::mechanism
