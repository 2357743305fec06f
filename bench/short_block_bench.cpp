#include <vector>

#include <benchmark/benchmark.h>

#include "build/types.h"
#include "mechanism/journal_table.h"
#include "mechanism/selective_fit.h"
#include "stations/prove.h"

namespace {

using namespace fettle;

constexpr double inch = 0.0254;

void FilmsOfOneShape(benchmark::State& state) {
  for (auto _ : state) {
    benchmark::DoNotOptimize(mechanism::JournalTable(0.4));
  }
}
BENCHMARK(FilmsOfOneShape)->Unit(benchmark::kMillisecond);

void LeastFilmOffTheTable(benchmark::State& state) {
  const mechanism::JournalTable table(0.4);
  for (auto _ : state) {
    benchmark::DoNotOptimize(table.least_film({54e-3, 21.6e-3, 55e-6, 0.009, 600, 9000}));
  }
}
BENCHMARK(LeastFilmOffTheTable);

/// Sizes that follow no order, about 10 micrometres apart at most.
double scattered(int i) {
  return (i * 37 % 23) * 0.45e-6;
}

void SixteenPistonsToTheirBores(benchmark::State& state) {
  Eigen::MatrixXd clearance(16, 16);
  for (int i = 0; i < 16; ++i) {
    for (int j = 0; j < 16; ++j) {
      clearance(i, j) = 50e-6 + scattered(i) - scattered(5 * j + 3);
    }
  }
  for (auto _ : state) {
    benchmark::DoNotOptimize(mechanism::least_spread(clearance));
  }
}
BENCHMARK(SixteenPistonsToTheirBores)->Unit(benchmark::kMillisecond);

void ShellsForNineJournals(benchmark::State& state) {
  const std::vector<mechanism::ShellSize> sizes{{0, 4}, {-0.001 * inch, 4}, {0.001 * inch, 3}};
  std::vector<double> standard;
  for (int i = 0; i < 9; ++i) {
    standard.push_back(0.0015 * inch + 3 * scattered(i));
  }
  for (auto _ : state) {
    benchmark::DoNotOptimize(
        mechanism::choose_shells(sizes, standard, {0.0016 * inch, 0.0028 * inch}, 0.001 * inch));
  }
}
BENCHMARK(ShellsForNineJournals)->Unit(benchmark::kMillisecond);

build::Reading round(build::ReadingKind kind, double diameter_in) {
  build::Reading reading;
  reading.kind = kind;
  reading.diameter = build::Length::from_si(diameter_in * inch);
  return reading;
}

/// A V8 with every journal, bearing and bore read.
build::Build short_block() {
  build::Build build;
  build.name = "Bench";
  build.engine.layout = "V8";
  build.engine.firing_order = {1, 8, 4, 3, 6, 5, 7, 2};
  build.engine.bore = build::Length::from_si(0.1016);
  build.engine.stroke = build::Length::from_si(0.0884);
  build.engine.rod_length = build::Length::from_si(0.1448);
  for (int number = 1; number <= 13; ++number) {
    const bool main = number <= 5;
    const double journal = main ? 2.448 : 2.1;
    const auto add = [&](build::Reading reading) {
      (main ? reading.main : reading.cylinder) = main ? number : number - 5;
      build.readings.push_back(std::move(reading));
    };
    for (int i = 0; i < 4; ++i) {
      auto reading = round(build::ReadingKind::journal_diameter, journal);
      reading.along = build::Length::from_si(0.005 + 0.012 * (i / 2));
      reading.around = build::Angle::from_si(1.5708 * (i % 2));
      add(std::move(reading));
    }
    add(round(build::ReadingKind::bearing_bore, journal + 0.0022));
    add(round(build::ReadingKind::housing_bore, journal + 0.192));
  }
  for (int cylinder = 1; cylinder <= 8; ++cylinder) {
    for (int i = 0; i < 6; ++i) {
      auto reading = round(build::ReadingKind::bore_diameter, 4.001);
      reading.cylinder = cylinder;
      reading.along = build::Length::from_si(0.012 + 0.05 * (i / 2));
      reading.around = build::Angle::from_si(1.5708 * (i % 2));
      build.readings.push_back(std::move(reading));
    }
    auto piston = round(build::ReadingKind::piston_diameter, 3.9988);
    piston.piston = cylinder;
    build.readings.push_back(std::move(piston));
  }
  return build;
}

void ProofOfAShortBlock(benchmark::State& state) {
  const build::Build build = short_block();
  for (auto _ : state) {
    benchmark::DoNotOptimize(stations::prove(build));
  }
}
BENCHMARK(ProofOfAShortBlock)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
