#include "build/codec.h"

#include <numbers>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "small_build.h"

namespace fettle::build {
namespace {

using nlohmann::json;
using testing::AllOf;
using testing::Contains;
using testing::Field;
using testing::HasSubstr;

constexpr double degree = std::numbers::pi / 180;

/// What is said of the small document after `spoil` has been at it.
template <class Spoil>
Problems spoiled(Spoil spoil) {
  json document = small_document();
  spoil(document);
  return read_document(document).problems;
}

TEST(Codec, SoundDocumentGivesSiValues) {
  const ReadBuild read = read_document(small_document());
  ASSERT_TRUE(read.build) << (read.problems.empty() ? "" : read.problems[0].message());
  const Build& build = *read.build;
  EXPECT_NEAR(build.engine.stroke.si(), 3.386 * 0.0254, 1e-12);
  EXPECT_NEAR(build.readings[1].wheel->radians, 41 * degree, 1e-12);
  EXPECT_NEAR(build.tools.at("dial").permissible_error->si, 0.0000254, 1e-12);
  EXPECT_EQ(build.readings[2].side, Side::opening);
}

TEST(Codec, RoundTripKeepsUnitsAsTyped) {
  const json document = small_document();
  const ReadBuild read = read_document(document);
  ASSERT_TRUE(read.build);
  EXPECT_EQ(json(write_build(*read.build)), document);
}

TEST(Codec, VolumesFastenersAndWeightsKeepTheirUnits) {
  json document = small_document();
  document["engine"]["banks"] = {{1, 3, 5, 7}, {2, 4, 6, 8}};
  document["chamber"] = {{"volume", "64 cc"}, {"area", "8200 mm2"}, {"milled", "0.010 in"}};
  document["crowns"] = {{"compression_height", "1.540 in"}, {"dish", "-7.5 cc"}};
  document["deck"] = {{"height", "9.025 in"}, {"cut", "0.005 in"}};
  document["compression"] = {
      {"wanted_ratio", 9.6}, {"barometer", "1003 hPa"}, {"air", "20 C"}, {"leak", "0.2 mm2"}};
  document["fasteners"]["rod bolts"] = {{"use", "rod"},
                                        {"diameter", "7/16 in"},
                                        {"pitch", "0.0500 in"},
                                        {"proof_strength", "170 ksi"},
                                        {"yield_strength", "190 ksi"},
                                        {"count", 16}};
  document["balance"] = {{"factor", 0.5}, {"factor_of", "reciprocating"}, {"oil", "5 g"}};
  document["tools"]["glass"] = {{"kind", "burette"}, {"resolution", "0.1 cc"}};
  for (const json& reading :
       {json{{"kind", "chamber_fill"},
             {"cylinder", 1},
             {"volume", "64.2 cc"},
             {"again", {"64.4 cc"}},
             {"tester", "glass"}},
        json{{"kind", "deck_clearance"}, {"cylinder", 2}, {"place", "front"}, {"below", "-0.003 in"}},
        json{{"kind", "bolt_length"},
             {"fastener", "rod bolts"},
             {"number", 3},
             {"stage", "tight"},
             {"size", "1.6560 in"},
             {"torque", "62 ft lb"}},
        json{{"kind", "part_weight"}, {"item", "piston"}, {"mass", "540 g"}}}) {
    document["readings"].push_back(reading);
  }
  const ReadBuild read = read_document(document);
  ASSERT_TRUE(read.build) << read.problems.front().message();
  EXPECT_EQ(json(write_build(*read.build)), document);
  EXPECT_NEAR(read.build->readings[3].volume->si(), 64.2e-6, 1e-15);
  EXPECT_NEAR(read.build->fasteners.at("rod bolts").diameter.si(), 0.0254 * 7 / 16, 1e-12);
  EXPECT_EQ(read.build->readings[6].item, WeighedItem::piston);
}

TEST(Codec, BareNumberWhereAQuantityBelongsShowsARightExample) {
  const auto problems = spoiled([](json& d) { d["engine"]["bore"] = 100; });
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(problems[0].place, "engine.bore");
  EXPECT_THAT(problems[0].given, HasSubstr("bare number 100"));
  EXPECT_THAT(problems[0].accepted, HasSubstr("length"));
  EXPECT_EQ(problems[0].example, "\"100.0 mm\"");
}

TEST(Codec, UnknownKeySuggestsTheNearestKnownOne) {
  const auto problems = spoiled([](json& d) { d["engine"]["rod_lenght"] = "5 in"; });
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_THAT(problems[0].given, HasSubstr("rod_lenght"));
  EXPECT_THAT(problems[0].accepted, HasSubstr("rod_length"));
}

TEST(Codec, AllProblemsAreReportedAtOnce) {
  const auto problems = spoiled([](json& d) {
    d["engine"]["bore"] = "100";
    d["engine"].erase("stroke");
    d["readings"][0]["turning"] = "forwards";
    d["readings"][1]["wheel"] = 41;
    d["tools"]["dial"]["kind"] = json::array();
    d["fetle"] = 1;
  });
  EXPECT_EQ(problems.size(), 6U);
  EXPECT_THAT(problems, Contains(AllOf(Field(&Problem::place, "readings[0].turning"),
                                       Field(&Problem::accepted, HasSubstr("did you mean forward?")))));
  EXPECT_THAT(problems,
              Contains(AllOf(Field(&Problem::place, "engine.stroke"), Field(&Problem::given, "nothing"))));
}

TEST(Codec, WrongTypesEverywhereAreProblemsNotCrashes) {
  const std::vector<json> wrong{
      nullptr, true, -1, 1e300, "", "text", json::array(), json::object(), json::array({1, 2})};
  const json flat = small_document().flatten();
  for (const auto& [pointer, value] : flat.items()) {
    for (const json& other : wrong) {
      json document = small_document();
      document[json::json_pointer(pointer)] = other;
      const ReadBuild read = read_document(document);
      EXPECT_NE(read.build.has_value(), !read.problems.empty()) << pointer << " = " << other;
    }
  }
}

TEST(Codec, DocumentThatIsNoObjectIsRefused) {
  for (const char* text : {"[]", "1", "\"x\"", "null"}) {
    EXPECT_EQ(read_build(std::string_view(text)).problems.size(), 1U) << text;
  }
}

TEST(Codec, SweepPointsAreReadInOrder) {
  json document = small_document();
  json points = json::array();
  for (int i = 0; i < 20; ++i) {
    points.push_back({std::to_string(i * 5) + " deg", "0.0010 in"});
  }
  document["readings"].push_back(
      {{"kind", "lobe_sweep"}, {"valve", "exhaust"}, {"cylinder", 2}, {"points", points}});
  const ReadBuild read = read_document(document);
  ASSERT_TRUE(read.build) << read.problems[0].message();
  EXPECT_EQ(read.build->readings.back().points.size(), 20U);
  EXPECT_NEAR(read.build->readings.back().points[3].wheel.radians, 15 * degree, 1e-12);
  document["readings"].back()["points"][4] = {"20 deg"};
  const auto problems = read_document(document).problems;
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(problems[0].place, "readings[3].points[4]");
}

}  // namespace
}  // namespace fettle::build
