// Writes an example build of the invented shop to standard output: build/release/tools/invent FILE SEED >
// examples/FILE, FILE being one of invented-v8.json, invented-v8-full.json, invented-vintage-six.json,
// invented-twin-cam.json and invented-odd-twin.json; without SEED the one that examples/ has.
#include <cstdlib>
#include <iostream>
#include <string>

#include "build/codec.h"
#include "support/example_engines.h"

int main(int argc, char** argv) {
  if (argc == 2 || argc == 3) {
    for (const auto& example : fettle::invented::example_files()) {
      if (example.file == argv[1]) {
        const auto seed = argc == 3 ? std::strtoull(argv[2], nullptr, 10) : example.seed;
        std::cout << fettle::build::write_build(example.make(seed).build).dump(2) << '\n';
        return 0;
      }
    }
  }
  std::cerr << "usage: invent FILE [SEED], FILE one of";
  for (const auto& example : fettle::invented::example_files()) {
    std::cerr << ' ' << example.file;
  }
  std::cerr << '\n';
  return 2;
}
