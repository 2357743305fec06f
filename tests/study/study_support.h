#pragma once

#include <filesystem>
#include <fstream>
#include <memory>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

#include "build/codec.h"
#include "study/codec.h"
#include "study/plan.h"

namespace fettle::study {

inline std::string text_of(const std::filesystem::path& file) {
  std::ifstream stream(file);
  std::stringstream text;
  text << stream.rdbuf();
  return text.str();
}

inline build::Build example_build(const std::string& name) {
  auto read = build::read_build(text_of(std::filesystem::path(FETTLE_EXAMPLES) / name));
  EXPECT_TRUE(read.build.has_value()) << name;
  return std::move(*read.build);
}

inline std::unique_ptr<Plan> plan_of(const nlohmann::json& document, const build::Build& build) {
  ReadStudy read = read_study(document.dump());
  for (const auto& problem : read.problems) {
    ADD_FAILURE() << problem.message();
  }
  if (!read.study) {
    return nullptr;
  }
  PlanOutcome outcome = make_plan(*read.study, build);
  for (const auto& problem : outcome.problems) {
    ADD_FAILURE() << problem.message();
  }
  return std::move(outcome.plan);
}

/// A folder that goes with the test.
class OwnFolder {
 public:
  OwnFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "fettle_study_XXXXXX").string();
    path_ = ::mkdtemp(name.data());
  }
  ~OwnFolder() { std::filesystem::remove_all(path_); }
  OwnFolder(const OwnFolder&) = delete;
  OwnFolder& operator=(const OwnFolder&) = delete;
  std::filesystem::path operator/(const std::string& name) const { return path_ / name; }

 private:
  std::filesystem::path path_;
};

}  // namespace fettle::study
