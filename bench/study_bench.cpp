// What one draw of a study costs on one core: every finding of every station but the valve train at speed,
// all readings drawn within their doubt. The goal is 0.4 ms: 100,000 draws in 20 s on two cores.
#include <filesystem>
#include <fstream>
#include <sstream>

#include <benchmark/benchmark.h>

#include "build/codec.h"
#include "study/codec.h"
#include "study/evaluate.h"
#include "study/results_file.h"

namespace {

using fettle::study::Evaluator;
using fettle::study::Plan;

std::unique_ptr<Plan> plan_of(const std::string& example, const std::string& varied, bool readings) {
  std::ifstream file(std::filesystem::path(FETTLE_EXAMPLES) / example);
  std::stringstream text;
  text << file.rdbuf();
  const auto build = fettle::build::read_build(text.str());
  const auto study = fettle::study::read_study(
      R"({ "study": 1, "name": "bench", "build": "x", "draw": "random", "count": 100000, "readings": )" +
      std::string(readings ? "true" : "false") + R"(, "vary": [)" + varied + "] }");
  return fettle::study::make_plan(*study.study, *build.build).plan;
}

void run_draws(benchmark::State& state, const char* example, const char* varied, bool readings) {
  const auto plan = plan_of(example, varied, readings);
  if (!plan) {
    state.SkipWithError("the study has no plan");
    return;
  }
  Evaluator evaluator(*plan);
  std::vector<double> row(plan->width());
  std::uint64_t draw = 0;
  while (state.KeepRunning()) {
    evaluator.evaluate(draw++ % plan->draws, row);
    benchmark::DoNotOptimize(row.data());
  }
  state.counters["results"] = static_cast<double>(plan->results.size());
  state.counters["fit_anew"] = plan->fit_anew ? 1 : 0;
}

constexpr const char* of_block = R"({ "path": "/bearings/oil/viscosity", "tolerance": "1 mPa s" },
  { "path": "/bearings/oil/speed", "tolerance": "200 rpm" }, { "path": "/engine/bore", "tolerance": "0.02 mm" })";
constexpr const char* of_v8 = R"({ "path": "/rockers/intake_ratio", "tolerance": "0.01" },
  { "path": "/rockers/exhaust_ratio", "tolerance": "0.01" })";
constexpr const char* of_full_v8 = R"({ "path": "/springs/intake/rate", "tolerance": "12 lbf/in" },
  { "path": "/valves/intake/angle", "tolerance": "0.2 deg" }, { "path": "/gasket/thickness", "tolerance": "0.002 in" })";
constexpr const char* of_twin = R"({ "path": "/engine/bore", "tolerance": "0.0005 in" },
  { "path": "/crowns/land_height", "tolerance": "0.005 in" }, { "path": "/gasket/thickness", "tolerance": "0.002 in" })";

BENCHMARK_CAPTURE(run_draws, short_block, "invented-four-short-block.json", of_block, true)
    ->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(run_draws, v8, "invented-v8.json", of_v8, true)->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(run_draws, twin, "invented-odd-twin.json", of_twin, true)->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(run_draws, full_v8, "invented-v8-full.json", of_full_v8, true)
    ->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(run_draws, full_v8_parts_only, "invented-v8-full.json", of_full_v8, false)
    ->Unit(benchmark::kMicrosecond);

/// Rows into the file, committed once: what rank 0 does for every draw of everyone.
void PutRows(benchmark::State& state) {
  const auto plan = plan_of("invented-four-short-block.json", of_block, true);
  Evaluator evaluator(*plan);
  fettle::study::ChunkRows rows{0, std::vector<double>(plan->chunk * plan->width()), {}};
  for (std::uint64_t draw = 0; draw < plan->chunk; ++draw) {
    evaluator.evaluate(draw, std::span(rows.rows).subspan(draw * plan->width(), plan->width()));
  }
  const auto path = std::filesystem::temp_directory_path() / "fettle_study_bench.sqlite";
  std::filesystem::remove(path);
  {
    fettle::study::ResultsFile file(path, *plan);
    while (state.KeepRunning()) {
      if (file.has(rows.chunk)) {
        state.SkipWithError("every chunk is in the file");
        break;
      }
      file.put(rows);
      rows.chunk = (rows.chunk + 1) % plan->chunks();
    }
    file.commit();
  }
  std::filesystem::remove(path);
  state.counters["values/s"] =
      benchmark::Counter(static_cast<double>(state.iterations()) * static_cast<double>(rows.rows.size()),
                         benchmark::Counter::kIsRate);
}
BENCHMARK(PutRows)->Unit(benchmark::kMicrosecond)->Iterations(400);

}  // namespace

BENCHMARK_MAIN();
