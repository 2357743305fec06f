#include <span>
#include <vector>

#include <benchmark/benchmark.h>
#include <tbb/parallel_for.h>

#include "mechanism/valve_oracle.h"
#include "mechanism/valve_sets.h"
#include "mechanism/valve_speed.h"

namespace {

using namespace fettle::mechanism;
using namespace fettle::mechanism::test;

void OneValveOneSpeed(benchmark::State& state) {
  const RunningLobe lobe = running(street_lobe());
  const double speed = 5000 * rpm;
  int revolutions = 0;
  for (auto _ : state) {
    const auto found = run_valve(lobe, street_train(), std::span(&speed, 1)).front();
    revolutions = found.revolutions;
    benchmark::DoNotOptimize(found);
  }
  state.counters["revolutions"] = revolutions;
}
BENCHMARK(OneValveOneSpeed)->Unit(benchmark::kMillisecond);

void OneValveEightSpeeds(benchmark::State& state) {
  const RunningLobe lobe = running(street_lobe());
  std::vector<double> speeds;
  for (int i = 0; i < 8; ++i) {
    speeds.push_back((4000 + 200 * i) * rpm);
  }
  for (auto _ : state) {
    benchmark::DoNotOptimize(run_valve(lobe, street_train(), speeds));
  }
}
BENCHMARK(OneValveEightSpeeds)->Unit(benchmark::kMillisecond);

/// 1000 to 6900 rpm: a good part of them beyond separation, where nothing repeats.
void SixteenValvesSixtySpeeds(benchmark::State& state) {
  const RunningLobe lobe = running(street_lobe());
  std::vector<double> speeds;
  for (int i = 0; i < 60; ++i) {
    speeds.push_back((1000 + 100 * i) * rpm);
  }
  for (auto _ : state) {
    tbb::parallel_for(0, 16, [&](int valve) {
      ValveTrain train = street_train();
      train.springs.front().load += valve;
      benchmark::DoNotOptimize(run_valve(lobe, train, speeds));
    });
  }
}
BENCHMARK(SixteenValvesSixtySpeeds)->Unit(benchmark::kMillisecond)->UseRealTime();

void SpeedOfSeparation(benchmark::State& state) {
  const RunningLobe lobe = running(street_lobe());
  for (auto _ : state) {
    benchmark::DoNotOptimize(first_separation(lobe, street_train(), {2000 * rpm, 8000 * rpm, 250 * rpm}));
  }
}
BENCHMARK(SpeedOfSeparation)->Unit(benchmark::kMillisecond);

// Two revolutions of one case: the program's steps, and CVODE at a tolerance that gives the peak force to
// about 1e-4.
void TwoRevolutionsOwn(benchmark::State& state) {
  const RunningLobe lobe = running(street_lobe());
  const RunningCase one{street_train(), 5000 * rpm};
  for (auto _ : state) {
    benchmark::DoNotOptimize(run_revolutions(lobe, std::span(&one, 1), 2));
  }
}
BENCHMARK(TwoRevolutionsOwn)->Unit(benchmark::kMillisecond);

void TwoRevolutionsCvode(benchmark::State& state) {
  const ValveOracle oracle(running(street_lobe()), street_train(), 5000 * rpm, 12);
  for (auto _ : state) {
    benchmark::DoNotOptimize(by_cvode(oracle, 2, 360, 1e-6));
  }
}
BENCHMARK(TwoRevolutionsCvode)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
