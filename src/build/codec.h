#pragma once

#include <optional>
#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

#include "build/problem.h"
#include "build/types.h"

namespace fettle::build {

/// What came of reading a document: the build, or every problem found in it (docs/format.md).
struct ReadBuild {
  std::optional<Build> build;
  Problems problems;
};

/// Reads a build from text: strict JSON, then the shape of describe.h, then what must hold between the parts.
ReadBuild read_build(std::string_view text);

/// The same from JSON that has been read already.
ReadBuild read_build(const nlohmann::json& document);

/// Writes a build with every quantity as it was typed.
nlohmann::ordered_json write_build(const Build& build);

/// JSON Schema (2020-12) of the document, as published in docs/build.schema.json.
nlohmann::ordered_json build_schema();

}  // namespace fettle::build
