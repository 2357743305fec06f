#include <numbers>
#include <span>
#include <vector>

#include <benchmark/benchmark.h>

#include "mechanism/lobe_card.h"
#include "mechanism/rocker_train.h"
#include "mechanism/rockers.h"
#include "mechanism/shim_choice.h"
#include "mechanism/spring.h"
#include "mechanism/valve_clearance.h"
#include "mechanism/valve_setting.h"

namespace {

using namespace fettle::mechanism;

constexpr double degree = std::numbers::pi / 180.0;
constexpr double inch = 0.0254;

ValveMotion intake() {
  const auto lobe = synthesise_lobe(symmetric_card(
      0.300 * inch, 108 * degree, {{0.006 * inch, 276 * degree}, {0.050 * inch, 226 * degree}}));
  return {[curve = *lobe.curve](double x) { return curve.value(x); }, 1.5, 0.0, 0.0};
}

ValveDrop drop() {
  const ValveDropReading reading{0.0, 0.28 * inch};
  return {SliderCrank({1.74 * inch, 5.7 * inch, 0.0}), approach_factor(0.4, 0.4), std::span(&reading, 1)};
}

void RockerAtALift(benchmark::State& state) {
  const RockerTrain train(test::street_rocker());
  for (auto _ : state) {
    benchmark::DoNotOptimize(train.at(0.2 * inch));
  }
}
BENCHMARK(RockerAtALift);

void PushrodOfLeastSweep(benchmark::State& state) {
  const RockerGeometry g = test::street_rocker();
  for (auto _ : state) {
    benchmark::DoNotOptimize(least_sweep_pushrod(g, 0.35 * inch, 0.3 * inch));
  }
}
BENCHMARK(PushrodOfLeastSweep)->Unit(benchmark::kMicrosecond);

void LeastClearanceOfAValve(benchmark::State& state) {
  const ValveDrop measured = drop();
  const ValveMotion motion = intake();
  for (auto _ : state) {
    benchmark::DoNotOptimize(least_clearance(measured, motion));
  }
}
BENCHMARK(LeastClearanceOfAValve)->Unit(benchmark::kMicrosecond);

void WindowOfACam(benchmark::State& state) {
  const ValveDrop measured = drop();
  const ValveMotion motion = intake();
  const double limit = least_clearance(measured, motion).clearance - 0.02 * inch;
  for (auto _ : state) {
    benchmark::DoNotOptimize(cam_window(measured, motion, limit, 15 * degree));
  }
}
BENCHMARK(WindowOfACam)->Unit(benchmark::kMicrosecond);

void SettingPlanOfAnEight(benchmark::State& state) {
  const CylinderPhases phases({{1, 8, 4, 3, 6, 5, 7, 2}, {}});
  const auto valves = settable_valves(phases, {-50 * degree, 265 * degree}, {-268 * degree, 47 * degree});
  for (auto _ : state) {
    benchmark::DoNotOptimize(fewest_positions(phases, valves, 5 * degree));
  }
}
BENCHMARK(SettingPlanOfAnEight)->Unit(benchmark::kMicrosecond);

void ShimsOfSixteenSprings(benchmark::State& state) {
  const std::vector<ShimStock> stock{{0.015 * inch, 16}, {0.030 * inch, 16}, {0.060 * inch, 8}};
  std::vector<ShimmableSpring> springs;
  for (int i = 0; i < 16; ++i) {
    springs.push_back(
        {[=](double stack) { return 440.0 + 7.0 * (i * 5 % 16) + 60e3 * stack; }, 0.060 * inch});
  }
  for (auto _ : state) {
    benchmark::DoNotOptimize(choose_shims(stock, springs, {500.0, 560.0, 3}));
  }
}
BENCHMARK(ShimsOfSixteenSprings)->Unit(benchmark::kMicrosecond);

void SpringFromReadings(benchmark::State& state) {
  const std::vector<SpringReading> readings{{0.046, 480.0}, {0.040, 830.0}, {0.034, 1220.0}};
  for (auto _ : state) {
    benchmark::DoNotOptimize(SpringCharacteristic(readings, SpringShape::curve).load(0.037));
  }
}
BENCHMARK(SpringFromReadings);

}  // namespace

BENCHMARK_MAIN();
