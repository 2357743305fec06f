#include <cmath>
#include <vector>

#include <benchmark/benchmark.h>

#include "gasflow/kernel.h"
#include "gasflow/network.h"

namespace {

using namespace fettle::gasflow;

// Arithmetic peak beside the rest, 256 bits wide: independent chains of fused products and sums.
#if defined(__x86_64__)
__attribute__((target("avx2,fma"))) double peak_loop(int rounds, double first) {
  typedef double Vector __attribute__((vector_size(32)));
  Vector a = {first, 2, 3, 4};
  Vector b = a + 1, c = a + 2, d = a + 3, e = a + 4, f = a + 5, g = a + 6, h = a + 7, i = a + 8, j = a + 9;
  const Vector m = {0.999999, 0.999999, 0.999999, 0.999999};
  const Vector s = {1e-6, 1e-6, 1e-6, 1e-6};
  for (int k = 0; k < rounds; ++k) {
    a = a * m + s, b = b * m + s, c = c * m + s, d = d * m + s, e = e * m + s;
    f = f * m + s, g = g * m + s, h = h * m + s, i = i * m + s, j = j * m + s;
  }
  const Vector sum = a + b + c + d + e + f + g + h + i + j;
  return sum[0] + sum[1] + sum[2] + sum[3];
}

void PeakOfArithmetic(benchmark::State& state) {
  double first = 1.0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(first);
    benchmark::DoNotOptimize(peak_loop(10000, first));
  }
  state.counters["flops"] = benchmark::Counter(
      2.0 * 4 * 10 * 10000.0 * static_cast<double>(state.iterations()), benchmark::Counter::kIsRate);
}
BENCHMARK(PeakOfArithmetic);
#endif

bool skipped(benchmark::State& state, InstructionSet set) {
  if (!runs_here(set)) {
    state.SkipWithError("this machine cannot run the instruction set");
    return true;
  }
  return false;
}

void count_cells(benchmark::State& state, double cells) {
  state.counters["cells"] =
      benchmark::Counter(cells * static_cast<double>(state.iterations()), benchmark::Counter::kIsRate);
}

void SodOnAThousandCells(benchmark::State& state, InstructionSet set, bool minmod) {
  if (skipped(state, set)) {
    return;
  }
  NetworkOptions options;
  options.minmod = minmod;
  options.instruction_set = set;
  const auto make = [&] {
    Network tube(GasPair::perfect(1.0, 1.4), options);
    Duct duct;
    duct.length = 1.0;
    duct.face_areas = constant_areas(1.0, 1000);
    duct.friction = false;
    tube.add_duct(duct, [](double x) {
      return x < 0.5 ? GasState{1.0, 1.0, 0.0, 0.0} : GasState{0.1, 0.8, 0.0, 0.0};
    });
    tube.close({0, Side::left});
    tube.close({0, Side::right});
    return tube;
  };
  Network tube = make();
  for (auto _ : state) {
    if (tube.time() > 0.2) {
      state.PauseTiming();
      tube = make();
      tube.step(1.0);
      state.ResumeTiming();
    }
    for (int i = 0; i < 20; ++i) {
      benchmark::DoNotOptimize(tube.step(1.0));
    }
  }
  count_cells(state, 20.0 * 1000.0);
}
BENCHMARK_CAPTURE(SodOnAThousandCells, avx512_mc, InstructionSet::avx512, false);
BENCHMARK_CAPTURE(SodOnAThousandCells, avx512_minmod, InstructionSet::avx512, true);
BENCHMARK_CAPTURE(SodOnAThousandCells, avx2_mc, InstructionSet::avx2, false);
BENCHMARK_CAPTURE(SodOnAThousandCells, baseline_mc, InstructionSet::baseline, false);

/// Thirty tapered pipes of two gases, 1000 cells in all, with friction and wall heat, between walls, the
/// atmosphere and a box, the gas thrown about by what it starts from.
Network network(InstructionSet set, bool pulsing_walls) {
  NetworkOptions options;
  options.instruction_set = set;
  Network net(GasPair(isooctane, 1.0), options);
  const std::size_t box = net.add_plenum(3e-3, {1.1e5, 320.0, 0.0, 0.1});
  for (std::size_t i = 0; i < 30; ++i) {
    Duct duct;
    duct.length = 0.33;
    duct.face_areas = tapered_areas(12e-4, 16e-4, i < 10 ? 34 : 33);
    duct.wall_temperature = 350.0 + 10.0 * static_cast<double>(i);
    duct.roughness = 2e-5;
    net.add_duct(duct, [i](double x) {
      const double wave = std::sin(20.0 * x + static_cast<double>(i));
      return GasState{1.2e5 + 2e4 * wave, 500.0 + 300.0 * wave, 30.0 * wave, 0.5 + 0.4 * wave};
    });
    if (pulsing_walls) {
      net.close({i, Side::left});
      net.close({i, Side::right});
    } else {
      net.open_to({i, Side::left}, {1.0e5, 300.0, 0.0, 0.0}, 0.3);
      net.open_to_plenum({i, Side::right}, box, 0.9);
    }
  }
  net.step(1.0);
  return net;
}

void NetworkOfThirtyPipes(benchmark::State& state, InstructionSet set, bool walls) {
  if (skipped(state, set)) {
    return;
  }
  Network net = network(set, walls);
  for (auto _ : state) {
    for (int i = 0; i < 20; ++i) {
      benchmark::DoNotOptimize(net.step(1.0));
    }
  }
  count_cells(state, 20.0 * static_cast<double>(net.real_cells()));
}
BENCHMARK_CAPTURE(NetworkOfThirtyPipes, avx512_walls, InstructionSet::avx512, true);
BENCHMARK_CAPTURE(NetworkOfThirtyPipes, avx2_walls, InstructionSet::avx2, true);
BENCHMARK_CAPTURE(NetworkOfThirtyPipes, baseline_walls, InstructionSet::baseline, true);
BENCHMARK_CAPTURE(NetworkOfThirtyPipes, avx512_throttled, InstructionSet::avx512, false);
BENCHMARK_CAPTURE(NetworkOfThirtyPipes, avx2_throttled, InstructionSet::avx2, false);

enum class Ends { walls, atmosphere, junctions };

/// Ninety-six pipes of four cells: all ends and hardly any cells. An end's time is the whole step over the
/// ends, so that the two cells and the ghost that belong to each are in it.
void EndsOfShortPipes(benchmark::State& state, InstructionSet set, Ends kind) {
  if (skipped(state, set)) {
    return;
  }
  NetworkOptions options;
  options.instruction_set = set;
  Network net(GasPair(isooctane, 1.0), options);
  constexpr std::size_t pipes = 96;
  for (std::size_t i = 0; i < pipes; ++i) {
    Duct duct;
    duct.length = 0.04;
    duct.face_areas = constant_areas(1e-3, 4);
    net.add_duct(duct, [i](double) {
      return GasState{1.1e5 + 100.0 * static_cast<double>(i % 7), 400.0, 0.0, 0.3};
    });
  }
  for (std::size_t i = 0; i < pipes; ++i) {
    if (kind == Ends::walls) {
      net.close({i, Side::left});
      net.close({i, Side::right});
    } else if (kind == Ends::atmosphere) {
      net.open_to({i, Side::left}, {1.2e5, 350.0, 0.0, 0.0}, 0.2);
      net.open_to({i, Side::right}, {1.0e5, 300.0, 0.0, 0.0}, 0.3);
    } else {
      net.open_to({i, Side::left}, {1.0e5 + (i % 4 == 0 ? 2e4 : 0.0), 350.0, 0.0, 0.0}, 0.2);
      if (i % 4 == 3) {
        net.join({{i - 3, Side::right}, {i - 2, Side::right}, {i - 1, Side::right}, {i, Side::right}});
      }
    }
  }
  net.step(1.0);
  for (auto _ : state) {
    benchmark::DoNotOptimize(net.step(1.0));
  }
  state.counters["s/end"] = benchmark::Counter(2.0 * pipes * static_cast<double>(state.iterations()),
                                               benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}
BENCHMARK_CAPTURE(EndsOfShortPipes, avx2_walls, InstructionSet::avx2, Ends::walls);
BENCHMARK_CAPTURE(EndsOfShortPipes, avx2_restrictions, InstructionSet::avx2, Ends::atmosphere);
BENCHMARK_CAPTURE(EndsOfShortPipes, avx2_half_junctions, InstructionSet::avx2, Ends::junctions);
BENCHMARK_CAPTURE(EndsOfShortPipes, avx512_walls, InstructionSet::avx512, Ends::walls);
BENCHMARK_CAPTURE(EndsOfShortPipes, avx512_restrictions, InstructionSet::avx512, Ends::atmosphere);
BENCHMARK_CAPTURE(EndsOfShortPipes, avx512_half_junctions, InstructionSet::avx512, Ends::junctions);

}  // namespace

BENCHMARK_MAIN();
