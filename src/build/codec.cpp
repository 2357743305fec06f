#include "build/codec.h"

#include "build/reader.h"
#include "build/strict_json.h"
#include "build/validate.h"

namespace fettle::build {

ReadBuild read_build(std::string_view text) {
  StrictJson read = read_strict_json(text);
  if (!read.problems.empty()) {
    return {std::nullopt, std::move(read.problems)};
  }
  return read_build(read.value);
}

ReadBuild read_build(const nlohmann::json& document) {
  ReadBuild result;
  Build build;
  ValueReader values(result.problems);
  values.read(document, build, Place(),
              Wanted{"a build", R"({ "fettle": 1, "name": "My engine", "engine": { ... } })"});
  if (result.problems.empty()) {
    result.problems = validate(build);
  }
  if (result.problems.empty()) {
    result.build = std::move(build);
  }
  return result;
}

}  // namespace fettle::build
