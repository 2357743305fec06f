// Writes the JSON Schema of the build document to standard output: build/release/tools/write_schema >
// docs/build.schema.json
#include <iostream>

#include "build/codec.h"

int main() {
  std::cout << fettle::build::build_schema().dump(2) << '\n';
}
