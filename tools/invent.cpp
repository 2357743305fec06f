// Writes an example build of the invented shop to standard output: build/release/tools/invent SEED >
// examples/NAME.json
#include <cstdlib>
#include <iostream>

#include "build/codec.h"
#include "support/invented_shop.h"

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: invent SEED\n";
    return 2;
  }
  fettle::invented::Shop shop(std::strtoull(argv[1], nullptr, 10));
  std::cout << fettle::build::write_build(shop.full_build()).dump(2) << '\n';
}
