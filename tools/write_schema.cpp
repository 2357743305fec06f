// Writes the JSON Schema of a document to standard output: build/release/tools/write_schema >
// docs/build.schema.json, build/release/tools/write_schema study > docs/study.schema.json
#include <iostream>
#include <string_view>

#include "build/codec.h"
#include "study/codec.h"

int main(int argc, char** argv) {
  const bool study = argc > 1 && std::string_view(argv[1]) == "study";
  std::cout << (study ? fettle::study::study_schema() : fettle::build::build_schema()).dump(2) << '\n';
}
