#include <numbers>

#include <benchmark/benchmark.h>

#include "pull/assemble.h"
#include "pull/plan.h"
#include "pull/pull.h"
#include "pull/spark.h"
#include "support/invented_shop.h"

namespace {

using namespace fettle;

constexpr double rpm = 2.0 * std::numbers::pi / 60.0;
constexpr double degree = std::numbers::pi / 180.0;

build::Build eight() {
  invented::Shop shop(5);
  return shop.full_build();
}

/// The whole pull: sixteen swept lobes, twelve speeds from 1000 rpm on.
void PullOfTwelveSpeeds(benchmark::State& state) {
  const build::Build build = eight();
  pull::PullOptions options;
  options.from = 1000 * rpm;
  options.to = 6500 * rpm;
  options.step = 500 * rpm;
  options.threads = static_cast<unsigned>(state.range(0));
  double cycles = 0.0;
  double steps = 0.0;
  for (auto _ : state) {
    const auto outcome = pull::pull(build, options);
    cycles = 0.0;
    steps = 0.0;
    for (const auto& point : outcome.result->curves[0].points) {
      cycles += point.cycles;
      steps += static_cast<double>(point.steps);
    }
  }
  state.counters["cycles"] = cycles;
  state.counters["steps"] = steps;
}
BENCHMARK(PullOfTwelveSpeeds)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

/// From the build to the plan: proof of the lobes and lift tables.
void Planning(benchmark::State& state) {
  const build::Build build = eight();
  for (auto _ : state) {
    benchmark::DoNotOptimize(pull::plan_engine(build, {}));
  }
}
BENCHMARK(Planning)->Unit(benchmark::kMillisecond);

/// One speed from a cold start.
void OneSpeed(benchmark::State& state) {
  const build::Build build = eight();
  pull::PullOptions options;
  options.from = options.to = static_cast<double>(state.range(0)) * rpm;
  options.threads = 1;
  double steps = 0.0;
  for (auto _ : state) {
    steps = static_cast<double>(pull::pull(build, options).result->curves[0].points[0].steps);
  }
  state.counters["steps"] = steps;
}
BENCHMARK(OneSpeed)->Arg(2000)->Arg(4000)->Arg(6000)->Unit(benchmark::kMillisecond);

/// One cycle of the whole engine, spark given.
void OneCycle(benchmark::State& state) {
  const auto plan = *pull::plan_engine(eight(), {}).plan;
  pull::Assembled assembled = pull::assemble(plan, {});
  const pull::ClosedCycle closed(plan, {}, plan.cylinders[0], 4000 * rpm);
  const auto burn = closed.burn(closed.charge_at({99e3, 370.0, 0.0, 0.06}), 28 * degree);
  for (std::size_t i = 0; i < plan.cylinders.size(); ++i) {
    assembled.engine.set_burn(i, burn);
  }
  gasflow::EngineOptions options;
  options.speed = 4000 * rpm;
  options.longest_turn = 0.75 * degree;
  options.most_cycles = 2;
  options.tolerance = 1e-12;
  std::size_t steps = 0;
  for (auto _ : state) {
    steps = assembled.engine.run(options).steps;
  }
  state.counters["s/step"] = benchmark::Counter(static_cast<double>(steps * state.iterations()),
                                                benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
  state.counters["cells"] = static_cast<double>(assembled.engine.network().real_cells());
}
BENCHMARK(OneCycle)->Unit(benchmark::kMillisecond);

/// The shut part of one cylinder's cycle, and the search for its best spark.
void BestSpark(benchmark::State& state) {
  const auto plan = *pull::plan_engine(eight(), {}).plan;
  const pull::ClosedCycle closed(plan, {}, plan.cylinders[0], 4000 * rpm);
  const auto charge = closed.charge_at({99e3, 370.0, 0.0, 0.06});
  for (auto _ : state) {
    benchmark::DoNotOptimize(closed.best_advance(charge));
  }
}
BENCHMARK(BestSpark)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
