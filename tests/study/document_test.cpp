#include <algorithm>
#include <fstream>

#include <gtest/gtest.h>

#include "build/number_at.h"
#include "study/codec.h"
#include "study_support.h"

namespace fettle::study {
namespace {

using nlohmann::json;

json small_study() {
  return json::parse(R"({ "study": 1, "name": "small", "build": "engine.json", "draw": "random", "count": 100,
    "vary": [ { "path": "/gasket/thickness", "tolerance": "0.001 in" } ] })");
}

/// Whether some problem stands at a place and says a word.
bool said(const build::Problems& problems, const std::string& place, const std::string& word) {
  return std::any_of(problems.begin(), problems.end(), [&](const build::Problem& problem) {
    return problem.place == place && problem.message().find(word) != std::string::npos;
  });
}

TEST(StudyDocument, SmallOneIsRead) {
  const ReadStudy read = read_study(small_study().dump());
  ASSERT_TRUE(read.study.has_value());
  EXPECT_EQ(read.study->draw, Drawing::random);
  EXPECT_EQ(read.study->vary.front().path, "/gasket/thickness");
  EXPECT_FALSE(read.build.has_value());
}

TEST(StudyDocument, UnknownKeyIsToldWithTheNearest) {
  json document = small_study();
  document["vary"][0]["tolerence"] = "0.001 in";
  EXPECT_TRUE(said(read_study(document.dump()).problems, "vary[0]", "tolerance (the nearest key)"));
}

TEST(StudyDocument, EveryProblemIsToldAtOnce) {
  json document = small_study();
  document["count"] = 0;
  document["vary"][0]["sd"] = "0.001 in";
  document["vary"].push_back({{"path", "/lash/intake"}});
  document["findings"] = json::array({{{"finding", "compression.static_rato"}}});
  const auto problems = read_study(document.dump()).problems;
  EXPECT_TRUE(said(problems, "count", "draws, 1 to"));
  EXPECT_TRUE(said(problems, "vary[0]", "several ways"));
  EXPECT_TRUE(said(problems, "vary[1]", "no way"));
  EXPECT_TRUE(said(problems, "findings[0].finding", "compression.static_ratio (the nearest)"));
}

TEST(StudyDocument, AGridHasListsAndNoCount) {
  json document = small_study();
  document["draw"] = "grid";
  const auto problems = read_study(document.dump()).problems;
  EXPECT_TRUE(said(problems, "count", "nothing on a grid"));
  EXPECT_TRUE(said(problems, "vary[0]", "a tolerance on a grid"));
}

TEST(StudyDocument, ProblemsOfABuildInsideStandUnderIt) {
  json document = small_study();
  document["build"] = {{"fettle", 1}, {"name", "x"}};
  EXPECT_TRUE(said(read_study(document.dump()).problems, "build.engine", "given nothing"));
}

TEST(StudyDocument, NoJsonIsToldAsSuch) {
  EXPECT_FALSE(read_study("{ \"study\": 1, ").problems.empty());
  EXPECT_FALSE(read_study("[]").problems.empty());
}

TEST(StudyDocument, PublishedSchemaIsTheOneTheProgramReadsBy) {
  std::ifstream file(FETTLE_DOCS "/study.schema.json");
  ASSERT_TRUE(file) << "docs/study.schema.json is missing; write it with: write_schema study";
  EXPECT_EQ(nlohmann::ordered_json::parse(file), study_schema());
}

TEST(StudyDocument, ExamplesAreRead) {
  int found = 0;
  for (const auto& entry : std::filesystem::directory_iterator(FETTLE_EXAMPLES "/studies")) {
    const ReadStudy read = read_study(text_of(entry.path()));
    for (const auto& problem : read.problems) {
      ADD_FAILURE() << entry.path() << ": " << problem.message();
    }
    ++found;
  }
  EXPECT_GE(found, 2);
}

build::Problems plan_problems(const json& vary) {
  json document = small_study();
  document["vary"] = vary;
  ReadStudy read = read_study(document.dump());
  EXPECT_TRUE(read.study.has_value());
  return make_plan(*read.study, example_build("invented-odd-twin.json")).problems;
}

TEST(StudyPlan, PathsThatLeadToNoNumberAreTold) {
  const auto problems = plan_problems(json::parse(R"([
    { "path": "/gaskt/thickness", "tolerance": "0.001 in" },
    { "path": "/gasket", "tolerance": "0.001 in" },
    { "path": "/gasket/bore", "tolerance": "0.001 in" },
    { "path": "/engine/layout", "tolerance": "0.001 in" },
    { "path": "/fasteners/head bolts/diameter", "tolerance": "0.001 in" },
    { "path": "gasket", "tolerance": "0.001 in" } ])"));
  EXPECT_TRUE(said(problems, "vary[0].path", "gasket (the nearest key)"));
  EXPECT_TRUE(said(problems, "vary[1].path", "a part as a whole"));
  EXPECT_TRUE(said(problems, "vary[2].path", "a key that the build leaves out"));
  EXPECT_TRUE(said(problems, "vary[3].path", "a word or a whole number"));
  EXPECT_TRUE(said(problems, "vary[4].path", "rod bolts"));
  EXPECT_TRUE(said(problems, "vary[5].path", "begins with /"));
}

TEST(StudyPlan, FiguresMustFitTheirNumber) {
  const auto problems = plan_problems(json::parse(R"([
    { "path": "/gasket/thickness", "tolerance": "2 deg" },
    { "path": "/engine/bore", "from": "3.63 in", "to": "3.62 in" },
    { "path": "/rockers/intake_ratio", "list": ["1.5", "1.6 in"] },
    { "path": "/engine/stroke", "tolerance": "5 in" },
    { "path": "/springs/intake/rate", "tolerance": "0 lbf/in" } ])"));
  EXPECT_TRUE(said(problems, "vary[0].tolerance", "length"));
  EXPECT_TRUE(said(problems, "vary[1]", "from below to"));
  EXPECT_TRUE(said(problems, "vary[2].list", "a plain number"));
  EXPECT_TRUE(said(problems, "vary[3]", "/engine/stroke at"));
  EXPECT_TRUE(said(problems, "vary[4].tolerance", "more than nothing"));
}

TEST(StudyPlan, FindingsWithoutReadingsAreTold) {
  json document = small_study();
  document["findings"] = json::array({{{"finding", "lash.gap"}}});
  ReadStudy read = read_study(document.dump());
  if (read.study) {
    EXPECT_TRUE(
        said(make_plan(*read.study, example_build("invented-v8.json")).problems, "findings[0]", "readings"));
  }
  document["findings"] = json::array({{{"finding", "compression"}, {"cylinder", 7}}});
  document["vary"] = json::array({{{"path", "/engine/bore"}, {"tolerance", "0.001 in"}}});
  read = read_study(document.dump());
  ASSERT_TRUE(read.study.has_value());
  EXPECT_TRUE(said(make_plan(*read.study, example_build("invented-odd-twin.json")).problems, "findings[0]",
                   "readings"));
}

TEST(NumberAt, FindsAndSetsWhatTheDocumentHasThere) {
  build::Build build = example_build("invented-odd-twin.json");
  const auto gasket = build::number_at(build, "/gasket/thickness");
  ASSERT_TRUE(gasket.number.has_value());
  EXPECT_DOUBLE_EQ(gasket.number->si, 0.031 * 0.0254);
  gasket.number->set(0.0011);
  EXPECT_DOUBLE_EQ(build.gasket->thickness.si(), 0.0011);
  EXPECT_THROW(gasket.number->set(std::nan("")), std::invalid_argument);

  const auto ratio = build::number_at(build, "/rockers/intake_ratio");
  ASSERT_TRUE(ratio.number.has_value());
  EXPECT_TRUE(ratio.number->bare);
  EXPECT_EQ(ratio.number->si, 1.5);
  const auto bolt = build::number_at(build, "/fasteners/rod bolts/diameter");
  ASSERT_TRUE(bolt.number.has_value());
  EXPECT_DOUBLE_EQ(bolt.number->si, 0.3125 * 0.0254);
  const auto flow = build::number_at(build, "/cam/card/intake/durations/1/duration");
  ASSERT_TRUE(flow.number.has_value());
  EXPECT_EQ(flow.number->dimension, quantity::Dimension::angle);
}

}  // namespace
}  // namespace fettle::study
