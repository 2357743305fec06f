#include <numbers>
#include <vector>

#include <benchmark/benchmark.h>

#include "mechanism/lobe.h"
#include "mechanism/lobe_card.h"
#include "mechanism/lobe_sweep.h"
#include "mechanism/slider_crank.h"

namespace {

using namespace fettle::mechanism;

constexpr double degree = std::numbers::pi / 180.0;
constexpr double inch = 0.0254;

LobeCard card() {
  return symmetric_card(
      0.300 * inch, 108 * degree,
      {{0.006 * inch, 268 * degree}, {0.050 * inch, 218 * degree}, {0.200 * inch, 132 * degree}});
}

/// One turn of readings 5 degrees apart with a repeatable scatter of a few ten thousandths.
std::vector<SweepPoint> sweep() {
  const auto lobe = synthesise_lobe(card());
  std::vector<SweepPoint> points;
  for (int i = 0; i < 72; ++i) {
    const double x = (-72.0 + 5.0 * i) * degree;
    const double scatter = 0.0004 * inch * ((i * 7919) % 13 - 6) / 6.0;
    points.push_back({x, lobe.curve->value(x) + scatter, 0.0005 * inch, 0.25 * degree});
  }
  return points;
}

void FitOfASweep(benchmark::State& state) {
  const auto points = sweep();
  for (auto _ : state) {
    benchmark::DoNotOptimize(fit_lobe_sweep(points));
  }
}
BENCHMARK(FitOfASweep)->Unit(benchmark::kMicrosecond);

void ReductionOfAFittedLobe(benchmark::State& state) {
  const SweepFit fit = fit_lobe_sweep(sweep());
  ReductionOptions options;
  options.covered = fit.covered;
  for (auto _ : state) {
    benchmark::DoNotOptimize(reduce_lobe(fit.fit.curve, options));
  }
}
BENCHMARK(ReductionOfAFittedLobe)->Unit(benchmark::kMicrosecond);

void CovarianceOfAFittedLobe(benchmark::State& state) {
  const SweepFit fit = fit_lobe_sweep(sweep());
  ReductionOptions options;
  options.covered = fit.covered;
  const LobeReduction lobe = reduce_lobe(fit.fit.curve, options);
  for (auto _ : state) {
    benchmark::DoNotOptimize(lobe_covariance(lobe, fit.fit));
  }
}
BENCHMARK(CovarianceOfAFittedLobe)->Unit(benchmark::kMicrosecond);

void SynthesisOfALobe(benchmark::State& state) {
  for (auto _ : state) {
    benchmark::DoNotOptimize(synthesise_lobe(card()));
  }
}
BENCHMARK(SynthesisOfALobe)->Unit(benchmark::kMillisecond);

void PistonMotionAtOneAngle(benchmark::State& state) {
  const SliderCrank crank({0.043, 0.1486, 0.0005});
  double angle = 0.0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(crank.motion(angle));
    angle += 0.01;
  }
}
BENCHMARK(PistonMotionAtOneAngle);

}  // namespace

BENCHMARK_MAIN();
