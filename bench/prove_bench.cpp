// What `fettle prove` costs: the whole process as a builder waits for it, and its parts.
#include <fstream>
#include <string>

#include <benchmark/benchmark.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include "build/codec.h"
#include "stations/prove.h"
#include "stations/report_json.h"
#include "support/example_engines.h"

namespace {

std::string full_text() {
  fettle::invented::Shop shop(5);
  return fettle::build::write_build(shop.full_build()).dump(2);
}

void ReadBuild(benchmark::State& state) {
  const std::string text = full_text();
  while (state.KeepRunning()) {
    benchmark::DoNotOptimize(fettle::build::read_build(std::string_view(text)));
  }
}
BENCHMARK(ReadBuild)->Unit(benchmark::kMillisecond);

void FitSweeps(benchmark::State& state) {
  fettle::invented::Shop shop(5);
  const auto build = shop.full_build();
  while (state.KeepRunning()) {
    benchmark::DoNotOptimize(fettle::stations::Sources(build));
  }
}
BENCHMARK(FitSweeps)->Unit(benchmark::kMillisecond);

void Prove(benchmark::State& state) {
  fettle::invented::Shop shop(5);
  const auto build = shop.full_build();
  while (state.KeepRunning()) {
    benchmark::DoNotOptimize(fettle::stations::prove(build));
  }
}
BENCHMARK(Prove)->Unit(benchmark::kMillisecond);

/// The same for one reading changed, what it does not touch remembered: the part of an answer that the server
/// waits for. The first reading is a stop contact, on which every finding of the cam stands.
void ProveChanged(benchmark::State& state) {
  fettle::invented::Shop shop(5);
  const auto build = shop.full_build();
  const auto memory = std::make_shared<fettle::stations::Memory>();
  const fettle::stations::Sources sources(build, memory);
  while (state.KeepRunning()) {
    benchmark::DoNotOptimize(fettle::stations::prove(sources));
  }
}
BENCHMARK(ProveChanged)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();

/// The same with every valve read: over 600 readings.
void ProveFullTopEnd(benchmark::State& state) {
  const auto build = fettle::invented::example_full_v8(6).build;
  while (state.KeepRunning()) {
    benchmark::DoNotOptimize(fettle::stations::prove(build));
  }
  state.counters["readings"] = static_cast<double>(build.readings.size());
}
BENCHMARK(ProveFullTopEnd)->Unit(benchmark::kMillisecond);

/// Start to end of the program on a V8 with 16 swept lobes of 72 points each; its greatest memory beside it.
void WholeProcess(benchmark::State& state) {
  const std::string path = "/tmp/fettle_prove_bench.json";
  std::ofstream(path) << full_text();
  std::string program = FETTLE_PROGRAM;
  std::string command = "prove";
  std::string file = path;
  char* arguments[] = {program.data(), command.data(), file.data(), nullptr};
  char* environment[] = {nullptr};
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", 1, 0);
  while (state.KeepRunning()) {
    pid_t child = 0;
    int status = 0;
    posix_spawn(&child, program.c_str(), &actions, nullptr, arguments, environment);
    waitpid(child, &status, 0);
    if (!WIFEXITED(status) || WEXITSTATUS(status) > 3) {
      state.SkipWithError("fettle prove did not end as it should");
      break;
    }
  }
  posix_spawn_file_actions_destroy(&actions);
  rusage usage{};
  getrusage(RUSAGE_CHILDREN, &usage);
  state.counters["most_memory_MB"] = static_cast<double>(usage.ru_maxrss) / 1024;
}
BENCHMARK(WholeProcess)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace

BENCHMARK_MAIN();
