#include "pull/pull.h"

#include <algorithm>
#include <cmath>
#include <exception>
#include <memory>
#include <mutex>
#include <numbers>
#include <stdexcept>
#include <thread>

#include "pull/correction.h"
#include "pull/doubt.h"
#include "pull/plan.h"
#include "pull/point.h"
#include "pull/running_valves.h"

namespace fettle::pull {

namespace {

/// Speeds that follow one another from one start: always the same, so that results do not depend on threads.
constexpr std::size_t chain_length = 3;

struct Chain {
  std::size_t curve = 0;
  std::size_t first = 0;
  std::size_t last = 0;  // one past
};

void require(bool holds, const char* message) {
  if (!holds) {
    throw std::invalid_argument(message);
  }
}

void check(const PullOptions& o, std::size_t cylinders) {
  require(o.from > 0.0 && o.to >= o.from && o.step > 0.0 && std::isfinite(o.to) &&
              (o.to - o.from) / o.step < 1000.0,
          "PullOptions: speeds must rise from more than nothing, a thousand at most");
  require(
      !o.cam.empty() && std::all_of(o.cam.begin(), o.cam.end(), [](double a) { return std::abs(a) < 1.1; }),
      "PullOptions: cam positions must be given, within 60 degrees");
  require(o.ambient.pressure >= 80e3 && o.ambient.pressure <= 110e3 && o.ambient.vapour_pressure >= 0.0 &&
              o.ambient.vapour_pressure < 10e3 && o.ambient.temperature >= 250.0 &&
              o.ambient.temperature <= 330.0,
          "PullOptions: ambient out of range");
  require(o.model.cells >= 0.5 && o.model.cells <= 4.0 && o.model.tolerance > 0.0 && o.model.most_cycles >= 2,
          "ModelOptions: out of range");
  require(!o.traces || (o.trace_cylinder >= 1 && static_cast<std::size_t>(o.trace_cylinder) <= cylinders),
          "PullOptions: no such cylinder to trace");
}

/// What a curve is run from: one plan for all speeds, or one for each.
using CurvePlans = std::vector<EnginePlan>;

/// Runs chains, one thread each, until none is left.
class Workers {
 public:
  Workers(const std::vector<CurvePlans>& plans, const PullOptions& options, const std::vector<double>& speeds,
          std::vector<Curve>& curves)
      : plans_(plans), options_(options), speeds_(speeds), curves_(curves) {
    for (std::size_t curve = 0; curve < plans.size(); ++curve) {
      for (std::size_t first = 0; first < speeds.size(); first += chain_length) {
        chains_.push_back({curve, first, std::min(first + chain_length, speeds.size())});
      }
    }
    // The slow ones first: a cycle at low speed takes more steps.
    std::stable_sort(chains_.begin(), chains_.end(),
                     [](const Chain& a, const Chain& b) { return a.first < b.first; });
  }

  void run() {
    const std::size_t cores = std::max(1U, std::thread::hardware_concurrency());
    const std::size_t asked = options_.threads == 0 ? cores : options_.threads;
    const std::size_t count = std::min(asked, chains_.size());
    std::vector<std::jthread> threads;
    for (std::size_t i = 1; i < count; ++i) {
      threads.emplace_back([this] { work(); });
    }
    work();
    threads.clear();
    if (failure_) {
      std::rethrow_exception(failure_);
    }
  }

 private:
  bool stopped() const {
    return failed_.load() || (options_.cancel != nullptr && options_.cancel->load(std::memory_order_relaxed));
  }

  void work() {
    for (std::size_t i = next_++; i < chains_.size() && !stopped(); i = next_++) {
      try {
        run_chain(chains_[i]);
      } catch (...) {
        const std::lock_guard lock(mutex_);
        failure_ = failure_ ? failure_ : std::current_exception();
        failed_ = true;
      }
    }
  }

  void run_chain(const Chain& chain) {
    const CurvePlans& plans = plans_[chain.curve];
    const bool each = plans.size() > 1;
    const auto begin = [&](std::optional<PointRunner>& runner, std::size_t i) {
      runner.emplace(plans[each ? i : 0], options_, speeds_[chain.last - 1]);
    };
    std::optional<PointRunner> runner;
    for (std::size_t i = chain.first; i < chain.last && !stopped(); ++i) {
      const bool fresh = each || i == chain.first;
      if (fresh) {
        begin(runner, i);
      }
      SpeedPoint point = runner->run(speeds_[i]);
      if (!point.converged && !fresh && !stopped()) {
        // Perhaps the neighbour's state was a bad start.
        begin(runner, i);
        point = runner->run(speeds_[i]);
      }
      const std::lock_guard lock(mutex_);
      ++done_;
      if (options_.progress) {
        options_.progress(
            {done_, plans_.size() * speeds_.size(), point.speed, point.brake_torque, chain.curve});
      }
      curves_[chain.curve].points[i] = std::move(point);
    }
  }

  const std::vector<CurvePlans>& plans_;
  const PullOptions& options_;
  const std::vector<double>& speeds_;
  std::vector<Curve>& curves_;
  std::vector<Chain> chains_;
  std::atomic<std::size_t> next_{0};
  std::atomic<bool> failed_{false};
  std::exception_ptr failure_;
  std::size_t done_ = 0;
  std::mutex mutex_;
};

/// Plans of one curve; empty with problems.
CurvePlans curve_plans(const build::Build& build, const PullOptions& options, const PlanChange& change,
                       const std::vector<double>& speeds, build::Problems& problems) {
  PlanOutcome planned = plan_engine(build, options.ambient, change);
  if (!planned.plan) {
    problems = std::move(planned.problems);
    return {};
  }
  if (!options.dynamic) {
    return {std::move(*planned.plan)};
  }
  RunningPlans running = run_valves(build, *planned.plan, speeds);
  problems = std::move(running.problems);
  return std::move(running.plans);
}

}  // namespace

std::vector<double> speeds_of(const PullOptions& options) {
  std::vector<double> speeds;
  const double last = options.to + 1e-9 * options.step;
  for (std::size_t i = 0; options.from + static_cast<double>(i) * options.step <= last; ++i) {
    speeds.push_back(options.from + static_cast<double>(i) * options.step);
  }
  return speeds;
}

PullOutcome pull(const build::Build& build, const PullOptions& options) {
  PullOutcome outcome;
  check(options, build.engine.firing_order.size());
  std::vector<PlanChange> changes;
  for (const double advance : options.cam) {
    changes.push_back({advance, 0.0});
  }
  std::vector<DoubtSource> sources;
  if (options.doubts) {
    sources = doubt_sources(build);
    for (const DoubtSource& source : sources) {
      changes.push_back(source.changed(options.cam.front(), -1.0));
      changes.push_back(source.changed(options.cam.front(), +1.0));
    }
  }
  const std::vector<double> speeds = speeds_of(options);
  std::vector<CurvePlans> plans;
  for (const PlanChange& change : changes) {
    plans.push_back(curve_plans(build, options, change, speeds, outcome.problems));
    if (!outcome.problems.empty()) {
      return outcome;
    }
  }
  std::vector<Curve> curves;
  for (const PlanChange& change : changes) {
    curves.push_back({change.cam_advance, std::vector<SpeedPoint>(speeds.size())});
    for (std::size_t i = 0; i < speeds.size(); ++i) {
      curves.back().points[i].speed = speeds[i];
    }
  }
  Workers(plans, options, speeds, curves).run();
  const EnginePlan& plan = plans.front().front();
  PullResult result;
  result.cancelled = options.cancel != nullptr && options.cancel->load();
  for (std::size_t i = 0; i < sources.size() && !result.cancelled; ++i) {
    const std::size_t first = options.cam.size() + 2 * i;
    result.doubts.push_back(torque_doubt(sources[i], curves[first], curves[first + 1]));
  }
  curves.resize(options.cam.size());
  result.curves = std::move(curves);
  result.assumptions = plan.assumptions;
  result.cautions = cautions();
  result.sae_factor = sae_j1349(plan.ambient.pressure, plan.ambient.temperature);
  result.iso_factor = iso_1585(plan.ambient.pressure, plan.ambient.temperature);
  result.displacement = plan.swept() * static_cast<double>(plan.cylinders.size());
  for (const CylinderPlan& cylinder : plan.cylinders) {
    result.compression_ratio += cylinder.compression_ratio / static_cast<double>(plan.cylinders.size());
  }
  outcome.result = std::move(result);
  return outcome;
}

std::vector<std::string> cautions() {
  return {
      "A prediction. It has not been held against a measured torque curve of any engine.",
      "Not validated: burn duration, knock, wall heat, friction of this engine, mixture from cylinder to "
      "cylinder, valve motion at speed.",
      "Differences between two builds are worth more than the figures themselves.",
  };
}

}  // namespace fettle::pull
