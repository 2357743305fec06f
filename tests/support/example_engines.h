#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "support/invented_block.h"
#include "support/invented_top_end.h"

/// The engines of examples/: an invented shop, its top end, and what was read of both.
namespace fettle::invented {

struct ExampleEngine {
  std::unique_ptr<Shop> shop;
  std::unique_ptr<TopEnd> top_end;
  std::unique_ptr<Block> block = nullptr;  ///< where its short block is known
  build::Build build;
};

/// A V8 of which nothing but true TDC and the cam was read: the first example.
ExampleEngine example_v8(std::uint64_t seed);
/// The same engine with every valve's springs, heights, drops, marks and preload, and its short block,
/// volumes, bolts and weights: over 900 readings.
ExampleEngine example_full_v8(std::uint64_t seed);
/// Vintage six: lobes of cylinders 1 and 6 swept, of 3 and 4 read at points; springs, drops, marks and hot
/// lash of every valve.
ExampleEngine example_six(std::uint64_t seed);
/// Twin-cam four: every lobe swept; springs, drops, lash and shims of every valve.
ExampleEngine example_four(std::uint64_t seed);
/// Odd-fire V-twin: every lobe swept and every valve read, short block, volumes, bolts and weights.
ExampleEngine example_twin(std::uint64_t seed);

/// Seeds of the files in examples/.
struct ExampleFile {
  std::string file;
  ExampleEngine (*make)(std::uint64_t);
  std::uint64_t seed = 0;
};
const std::vector<ExampleFile>& example_files();

}  // namespace fettle::invented
