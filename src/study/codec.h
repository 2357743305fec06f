#pragma once

#include <optional>
#include <string_view>

#include <nlohmann/json.hpp>

#include "build/problem.h"
#include "study/study.h"

namespace fettle::study {

struct ReadStudy {
  std::optional<Study> study;
  std::optional<build::Build> build;  ///< where it stood in the document
  build::Problems problems;
};

/// Reads a study from text: strict JSON, then the shape of describe.h, then what must hold within it. Every
/// problem is given.
ReadStudy read_study(std::string_view text);

/// JSON Schema (2020-12) of the document, as published in docs/study.schema.json.
nlohmann::ordered_json study_schema();

}  // namespace fettle::study
