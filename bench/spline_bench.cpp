#include <cmath>
#include <numbers>
#include <vector>

#include <benchmark/benchmark.h>

#include "metrology/periodic_spline.h"

namespace {

using fettle::metrology::fit_periodic_spline;
using fettle::metrology::Functional;
using fettle::metrology::SmoothingOptions;
using fettle::metrology::SplineFit;

struct Trace {
  std::vector<double> x, y, u;
};

/// 72 readings 5 degrees apart over half a period of 720 degrees, with a repeatable scatter of about the
/// stated noise.
Trace trace(int number) {
  Trace out;
  for (int i = 0; i < 72; ++i) {
    const double x = -180.0 + 5.0 * i;
    const double scatter = 0.02 * std::sin(12.9898 * (i + 100 * number)) + 0.01 * std::cos(78.233 * i * i);
    out.x.push_back(x);
    out.y.push_back(7.5 * std::exp(6.0 * (std::cos(2.0 * std::numbers::pi * x / 720.0) - 1.0)) + scatter);
    out.u.push_back(0.015);
  }
  return out;
}

SmoothingOptions options() {
  SmoothingOptions o;
  o.period = 720.0;
  return o;
}

void SixteenFitsWithCrossValidation(benchmark::State& state) {
  std::vector<Trace> traces;
  for (int k = 0; k < 16; ++k) {
    traces.push_back(trace(k));
  }
  for (auto _ : state) {
    for (const Trace& t : traces) {
      benchmark::DoNotOptimize(fit_periodic_spline(t.x, t.y, t.u, options()).penalty);
    }
  }
}
BENCHMARK(SixteenFitsWithCrossValidation)->Unit(benchmark::kMillisecond);

void Evaluation(benchmark::State& state) {
  const Trace t = trace(0);
  const SplineFit fit = fit_periodic_spline(t.x, t.y, t.u, options());
  double x = 0.0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(fit.curve.value(x));
    x += 0.37;
  }
}
BENCHMARK(Evaluation);

void CovarianceOfTwelveFunctionals(benchmark::State& state) {
  const Trace t = trace(0);
  const SplineFit fit = fit_periodic_spline(t.x, t.y, t.u, options());
  std::vector<Functional> asked;
  for (int i = 0; i < 12; ++i) {
    asked.push_back({-60.0 + 10.0 * i, i % 3});
  }
  for (auto _ : state) {
    benchmark::DoNotOptimize(fit.covariance(asked).sum());
  }
}
BENCHMARK(CovarianceOfTwelveFunctionals)->Unit(benchmark::kMicrosecond);

}  // namespace

BENCHMARK_MAIN();
