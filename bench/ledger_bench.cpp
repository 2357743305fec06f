// How long the ledger takes: one appended change, opening a shop's ledger, rebuilding a document.

#include <filesystem>
#include <random>
#include <string>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "ledger/ledger.h"

namespace {

using fettle::ledger::Applied;
using fettle::ledger::EntryNumber;
using fettle::ledger::Ledger;
using fettle::ledger::Operation;
using fettle::ledger::Writer;
using nlohmann::json;
namespace fs = std::filesystem;

class Folder {
 public:
  Folder() : path_(fs::temp_directory_path() / fmt::format("fettle-bench-{:08x}", std::random_device()())) {
    fs::create_directories(path_);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  [[nodiscard]] fs::path file() const { return path_ / "shop.fettle"; }

 private:
  fs::path path_;
};

Writer writer() {
  return {"bench", "bench", std::nullopt};
}

// A document with as many readings as asked for: 60 fill about 10 kB, a build half measured.
json document(int readings) {
  json out = {{"fettle", 1}, {"name", "Invented"}, {"readings", json::array()}};
  for (int i = 0; i < readings; ++i) {
    out["readings"].push_back({{"id", fmt::format("r{}", i)},
                               {"kind", "lobe_point"},
                               {"valve", "intake"},
                               {"cylinder", 1 + i % 8},
                               {"side", "opening"},
                               {"below_max", "0.050 in"},
                               {"wheel", fmt::format("{}.5 deg", i)},
                               {"tool", "wheel"},
                               {"lift_tool", "dial"}});
  }
  return out;
}

Operation reading(int i) {
  return {fmt::format("/readings/r{}/wheel", i % 60), fmt::format("{}.25 deg", i)};
}

EntryNumber append(Ledger& ledger, const std::string& engine, EntryNumber version, int changes) {
  for (int i = 0; i < changes; ++i) {
    version = std::get<Applied>(ledger.change(engine, version, {reading(i)}, writer())).version;
  }
  return version;
}

// A ledger of many engines; importing one history over and over is the quick way to many entries.
void generate(const fs::path& file, int engines, int changes) {
  Ledger ledger(file);
  const auto first = std::get<Applied>(ledger.create("Invented", document(60), writer()));
  append(ledger, first.engine, first.version, changes);
  const json history = ledger.export_history(first.engine).value();
  for (int i = 1; i < engines; ++i) {
    static_cast<void>(ledger.import_history(history, writer()));
  }
}

void AppendChange(benchmark::State& state) {
  const Folder folder;
  Ledger ledger(folder.file());
  const auto made =
      std::get<Applied>(ledger.create("Invented", document(static_cast<int>(state.range(0))), writer()));
  EntryNumber version = made.version;
  int i = 0;
  while (state.KeepRunning()) {
    version = std::get<Applied>(ledger.change(made.engine, version, {reading(++i)}, writer())).version;
  }
}
BENCHMARK(AppendChange)->Arg(60)->Arg(600)->Unit(benchmark::kMillisecond)->UseRealTime();

void Undo(benchmark::State& state) {
  const Folder folder;
  Ledger ledger(folder.file());
  const auto made = std::get<Applied>(ledger.create("Invented", document(60), writer()));
  append(ledger, made.engine, made.version, static_cast<int>(state.range(0)));
  bool undone = false;
  while (state.KeepRunning()) {
    benchmark::DoNotOptimize(undone ? ledger.redo(made.engine, std::nullopt, writer())
                                    : ledger.undo(made.engine, std::nullopt, writer()));
    undone = !undone;
  }
}
BENCHMARK(Undo)->Arg(1000)->Unit(benchmark::kMillisecond)->UseRealTime();

void OpenLedger(benchmark::State& state) {
  const Folder folder;
  generate(folder.file(), static_cast<int>(state.range(0)), static_cast<int>(state.range(1)));
  while (state.KeepRunning()) {
    const Ledger ledger(folder.file());
    benchmark::DoNotOptimize(ledger.engines().size());
  }
  state.counters["bytes"] = static_cast<double>(fs::file_size(folder.file()));
}
BENCHMARK(OpenLedger)->Args({10, 100})->Args({1000, 100})->Unit(benchmark::kMillisecond)->UseRealTime();

void ListEngines(benchmark::State& state) {
  const Folder folder;
  generate(folder.file(), 1000, 10);
  const Ledger ledger(folder.file());
  while (state.KeepRunning()) {
    benchmark::DoNotOptimize(ledger.engines());
  }
}
BENCHMARK(ListEngines)->Unit(benchmark::kMillisecond);

void RebuildDocument(benchmark::State& state) {
  const Folder folder;
  Ledger ledger(folder.file());
  const auto made = std::get<Applied>(ledger.create("Invented", document(60), writer()));
  const EntryNumber last = append(ledger, made.engine, made.version, static_cast<int>(state.range(0)));
  while (state.KeepRunning()) {
    benchmark::DoNotOptimize(ledger.engine_as_of(made.engine, last));
  }
}
BENCHMARK(RebuildDocument)->Arg(100)->Arg(1000)->Unit(benchmark::kMillisecond);

void CheckLedger(benchmark::State& state) {
  const Folder folder;
  generate(folder.file(), 100, 100);
  const Ledger ledger(folder.file());
  while (state.KeepRunning()) {
    benchmark::DoNotOptimize(ledger.check().faults.size());
  }
}
BENCHMARK(CheckLedger)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
