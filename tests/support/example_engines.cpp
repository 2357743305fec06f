#include "support/example_engines.h"

#include <array>

namespace fettle::invented {
namespace {

using build::Side;
using build::Turning;
using build::Valve;
using stations::LobeKey;

std::vector<LobeKey> valves_of(const EnginePlan& plan) {
  std::vector<LobeKey> keys;
  for (int cylinder = 1; cylinder <= plan.cylinders(); ++cylinder) {
    keys.push_back({cylinder, Valve::intake});
    keys.push_back({cylinder, Valve::exhaust});
  }
  return keys;
}

ExampleEngine start(std::uint64_t seed, const ShopOptions& options, const EnginePlan& plan) {
  ExampleEngine engine;
  engine.shop = std::make_unique<Shop>(seed, options, plan);
  engine.top_end = std::make_unique<TopEnd>(*engine.shop, seed);
  return engine;
}

void read_stop(ExampleEngine& engine, int pass) {
  constexpr double span = 41.6;
  engine.build.readings.push_back(engine.shop->stop(Turning::forward, span, pass));
  engine.build.readings.push_back(engine.shop->stop(Turning::backward, span, pass));
}

void read_points(ExampleEngine& engine, const LobeKey& key, std::span<const double> lifts_in) {
  for (const double lift : lifts_in) {
    engine.build.readings.push_back(engine.shop->lobe_point(key, Side::opening, lift));
    engine.build.readings.push_back(engine.shop->lobe_point(key, Side::closing, lift));
  }
}

void read_springs(ExampleEngine& engine, const LobeKey& key, int loads) {
  engine.top_end->read_height(engine.build, key);
  engine.top_end->read_loads(engine.build, key, loads);
  engine.top_end->read_solid(engine.build, key);
  engine.top_end->read_retainer(engine.build, key);
}

void read_block(ExampleEngine& engine) {
  Block& block = *engine.block;
  block.read_bores(engine.build);
  block.read_bearings(engine.build);
  block.read_bolts(engine.build);
  block.read_weights(engine.build);
  block.read_volumes(engine.build);
  block.read_cranking(engine.build);
}

}  // namespace

ExampleEngine example_v8(std::uint64_t seed) {
  ExampleEngine engine = start(seed, {}, pushrod_v8());
  engine.build = engine.shop->full_build();
  return engine;
}

ExampleEngine example_full_v8(std::uint64_t seed) {
  const EnginePlan& plan = whole_pushrod_v8();
  ExampleEngine engine = start(seed, {.cam_lateness_deg = 0.6}, plan);
  engine.build = engine.shop->full_build();
  engine.build.name = "Invented 5.4, every valve read";
  engine.top_end->add_parts(engine.build);
  engine.block = std::make_unique<Block>(*engine.shop, seed);
  engine.block->add_parts(engine.build);
  constexpr std::array drops{-20.0, -15.0, -10.0, -5.0, 0.0, 5.0, 10.0, 15.0, 20.0};
  constexpr std::array lifts{0.020, 0.050, 0.100, 0.200};
  for (const LobeKey& key : valves_of(plan)) {
    read_points(engine, key, lifts);
    read_points(engine, key, std::span(lifts).subspan(1, 1));
    read_springs(engine, key, 8);
    engine.top_end->read_height(engine.build, key);
    engine.top_end->read_drops(engine.build, key, drops);
    engine.top_end->read_notch(engine.build, key);
    engine.top_end->read_notch(engine.build, key);
    engine.build.readings.push_back(engine.shop->lobe_top(key));
    engine.top_end->read_mark(engine.build, key);
    engine.top_end->read_mark(engine.build, key);
    engine.top_end->read_preload(engine.build, key);
  }
  read_stop(engine, 2);
  read_block(engine);
  return engine;
}

ExampleEngine example_six(std::uint64_t seed) {
  ExampleEngine engine = start(seed, {.cam_lateness_deg = 0.9, .slack_deg = 2.4}, vintage_six());
  engine.build = engine.shop->parts();
  engine.top_end->add_parts(engine.build);
  read_stop(engine, 1);
  for (const int cylinder : {1, 6}) {
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      engine.build.readings.push_back(engine.shop->lobe_sweep({cylinder, valve}));
    }
  }
  engine.build.readings.push_back(engine.shop->lobe_sweep({1, Valve::intake}, Turning::backward));
  constexpr std::array lifts{0.050, 0.100};
  for (const int cylinder : {3, 4}) {
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      read_points(engine, {cylinder, valve}, lifts);
      engine.build.readings.push_back(engine.shop->lobe_top({cylinder, valve}));
    }
  }
  read_stop(engine, 2);
  for (const LobeKey& key : valves_of(vintage_six())) {
    read_springs(engine, key, 4);
    engine.top_end->read_drop(engine.build, key);
    engine.top_end->read_mark(engine.build, key);
    engine.top_end->read_lash(engine.build, key);
  }
  return engine;
}

ExampleEngine example_four(std::uint64_t seed) {
  const ShopOptions options{.dial_resolution_in = 0.01 / 25.4,
                            .dial_permissible_in = 0.005 / 25.4,
                            .dial_noise_in = 0.005 / 25.4,
                            .dial_drift_in = 0.002 / 25.4,
                            .cam_lateness_deg = 2.6,
                            .lobe_scatter_deg = 0.25,
                            .slack_deg = 0.3};
  ExampleEngine engine = start(seed, options, twin_cam_four());
  engine.build = engine.shop->full_build();
  engine.top_end->add_parts(engine.build);
  engine.build.notes.push_back(
      {"Lobes were read on the buckets, the lash taken up with checking shims.", {}, {}});
  for (const LobeKey& key : valves_of(twin_cam_four())) {
    read_springs(engine, key, 4);
    engine.top_end->read_drop(engine.build, key);
    engine.top_end->read_lash(engine.build, key);
    engine.top_end->read_shim(engine.build, key);
  }
  return engine;
}

ExampleEngine example_twin(std::uint64_t seed) {
  const EnginePlan& plan = odd_fire_twin();
  ExampleEngine engine = start(seed, {.cam_lateness_deg = 1.1, .slack_deg = 0.6}, plan);
  engine.build = engine.shop->full_build();
  engine.top_end->add_parts(engine.build);
  engine.block = std::make_unique<Block>(*engine.shop, seed);
  engine.block->add_parts(engine.build);
  for (const LobeKey& key : valves_of(plan)) {
    read_springs(engine, key, 4);
    engine.top_end->read_drop(engine.build, key);
    engine.top_end->read_notch(engine.build, key);
    engine.top_end->read_mark(engine.build, key);
    engine.top_end->read_lash(engine.build, key);
  }
  read_block(engine);
  return engine;
}

const std::vector<ExampleFile>& example_files() {
  static const std::vector<ExampleFile> files{{"invented-v8.json", example_v8, 5},
                                              {"invented-v8-full.json", example_full_v8, 6},
                                              {"invented-vintage-six.json", example_six, 3},
                                              {"invented-twin-cam.json", example_four, 4},
                                              {"invented-odd-twin.json", example_twin, 6}};
  return files;
}

}  // namespace fettle::invented
