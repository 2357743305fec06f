#include "stations/rocker.h"

#include <cmath>
#include <set>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "stations/rocker_bench.h"

namespace fettle::stations::test {
namespace {

using build::Valve;
using nlohmann::json;

const Where first{1, Valve::intake, {}};
const Where intake{{}, Valve::intake, {}};

const Finding* finding_of(const Report& report, std::string_view id, const Where& where = first) {
  return find(report, id, where);
}

double value(const Report& report, std::string_view id, const Where& where = first) {
  const Finding* found = finding_of(report, id, where);
  if (found == nullptr || !found->value) {
    throw std::runtime_error(fmt::format("no value of {}", id));
  }
  return *found->value;
}

std::set<std::string> rocker_mistakes_of(const json& document) {
  const build::Build build = read(document);
  std::set<std::string> ids;
  for (const Mistake& one : prove(build, {}).mistakes) {
    if (one.id.starts_with("rocker.")) {
      ids.insert(one.id);
    }
  }
  return ids;
}

json marked(double offset, double width, bool metric = false) {
  json document = rocker_document(metric);
  document["readings"].push_back(mark_reading(offset, width, 1, metric));
  return document;
}

// Bisection in rocker_bench.h: nothing of the program's closed forms.
TEST(Rockers, SweepIsThatOfTheLoopClosedByBisection) {
  const build::Build build = read(rocker_document());
  const auto hand = HandRocker{}.travel(0, 0.300);
  EXPECT_NEAR(value(prove(build, {}), "rocker.sweep_width", intake) / in, hand.width(), 1e-7);
  EXPECT_GT(hand.width(), 0.03);
}

TEST(Rockers, PushrodBringsTheMarkToTheMiddleAsBisectionSays) {
  const HandRocker hand;
  for (const double offset : {0.004, 0.015, 0.022}) {
    const build::Build build = read(marked(offset, 0.05));
    const Report report = prove(build, {});
    EXPECT_NEAR(value(report, "rocker.pushrod_length") / in, hand.pushrod(hand.raised_for_mark(offset, 0.3)),
                1e-6);
    EXPECT_NEAR(value(report, "rocker.mark_offset") / in, offset, 1e-9);
    EXPECT_NEAR(value(report, "rocker.mark_width") / in, 0.05, 1e-9);
  }
}

TEST(Rockers, InchesAndMillimetresSayTheSame) {
  const build::Build inches = read(marked(0.015, 0.05));
  const build::Build metric = read(marked(0.015, 0.05, true));
  const Report a = prove(inches, {});
  const Report b = prove(metric, {});
  for (const auto* id : {"rocker.pushrod_length", "rocker.mark_offset", "rocker.mark_width"}) {
    EXPECT_NEAR(value(a, id), value(b, id), 1e-9) << id;
    EXPECT_NEAR(finding_of(a, id)->u, finding_of(b, id)->u, 1e-9) << id;
  }
}

TEST(Rockers, AMirroredCylinderSaysTheSame) {
  json document = marked(0.015, 0.05);
  document["readings"].push_back(mark_reading(0.015, 0.05, 4));
  const build::Build build = read(document);
  const Report report = prove(build, {});
  const Where fourth{4, Valve::intake, {}};
  for (const auto* id : {"rocker.pushrod_length", "rocker.mark_offset", "rocker.mark_width"}) {
    EXPECT_DOUBLE_EQ(value(report, id), value(report, id, fourth)) << id;
  }
}

TEST(Rockers, AMarkThatNoPushrodCentresSaysSo) {
  const build::Build build = read(marked(-0.030, 0.05));
  const Report report = prove(build, {});
  const Finding* pushrod = finding_of(report, "rocker.pushrod_length");
  ASSERT_NE(pushrod, nullptr);
  EXPECT_FALSE(pushrod->value.has_value());
  EXPECT_THAT(pushrod->needs, ::testing::HasSubstr("no pushrod"));
}

// 24 and 20 threads to the inch under a 1.5 rocker give 0.0694 and 0.0833 in a turn: arithmetic of the
// thread.
TEST(Rockers, PreloadIsTurnsTimesThePitchAndTheRockersShare) {
  json document = rocker_document();
  auto turns = at_valve("preload_turns");
  turns["turns"] = 0.5;
  document["readings"].push_back(turns);
  build::Build build = read(document);
  EXPECT_NEAR(value(prove(build, {}), "rocker.preload") / in, 0.5 * (1 + 1 / 1.5) / 24, 1e-9);
  document["lifters"]["thread_pitch"] = "0.05 in";
  build = read(document);
  EXPECT_NEAR(value(prove(build, {}), "rocker.preload") / in, 0.5 * 0.08333333, 1e-8);
  document["lifters"]["adjuster"] = "pushrod_screw";
  build = read(document);
  EXPECT_NEAR(value(prove(build, {}), "rocker.preload") / in, 0.5 * 0.05, 1e-9);
}

TEST(Rockers, DepthOfThePlungerIsItsPreload) {
  json document = rocker_document();
  auto depth = at_valve("plunger_depth");
  depth["depth"] = "0.035 in";
  document["readings"].push_back(depth);
  const build::Build build = read(document);
  const Report report = prove(build, {});
  EXPECT_NEAR(value(report, "rocker.preload") / in, 0.035, 1e-9);
  EXPECT_EQ(finding_of(report, "rocker.preload")->basis, "depth of the plunger");
}

TEST(Rockers, RatioIsLiftOverLiftWithTheLashAdded) {
  json document = rocker_document();
  document["lash"] = {{"intake", "0.006 in"}};
  document["readings"] = {top_reading("lifter", 0.300), top_reading("valve", 0.441)};
  const build::Build build = read(document);
  EXPECT_NEAR(value(prove(build, {}), "rocker.ratio"), (0.441 + 0.006) / 0.300, 1e-9);
}

json with_spring(json document) {
  document["pushrods"]["outside_diameter"] = "0.3125 in";
  document["pushrods"]["wall"] = "0.080 in";
  document["pushrods"]["length"] = "8.1125 in";
  document["rockers"].erase("geometry");
  auto height = at_valve("installed_height");
  height["height"] = "1.700 in";
  document["readings"].push_back(height);
  for (const auto& [tall, load] : {std::pair{"1.700 in", "120 lbf"}, std::pair{"1.250 in", "300 lbf"}}) {
    auto reading = at_valve("spring_load");
    reading["height"] = tall;
    reading["load"] = load;
    document["readings"].push_back(reading);
  }
  return document;
}

// Shigley, sections 4-12 and 4-13, recomputed for 5/16 by 0.080 in, 7.8 in between the ball centres, 100
// kpsi: 2149 lbf. The spring's 300 lbf at full lift stand as 450 lbf at the pushrod.
TEST(Rockers, BucklingIsTheColumnOverTheOpenLoadAtThePushrod) {
  const build::Build build = read(with_spring(rocker_document()));
  EXPECT_NEAR(value(prove(build, {}), "rocker.pushrod_buckling", intake), 2149.0 / 450, 5e-3);
}

TEST(Rockers, NothingIsAskedWhereRockersAreNoConcern) {
  json document = rocker_document();
  document.erase("pushrods");
  document.erase("rockers");
  const build::Build build = read(document);
  for (const Finding& finding : prove(build, {}).findings) {
    EXPECT_FALSE(finding.id.starts_with("rocker.")) << finding.id;
  }
}

TEST(Rockers, WhatIsMissingIsSaid) {
  const build::Build build = read(rocker_document());
  const Report report = prove(build, {});
  ASSERT_NE(finding_of(report, "rocker.mark_offset"), nullptr);
  EXPECT_THAT(finding_of(report, "rocker.mark_offset")->needs, ::testing::HasSubstr("mark"));
  ASSERT_NE(finding_of(report, "rocker.preload"), nullptr);
  EXPECT_THAT(finding_of(report, "rocker.preload")->needs, ::testing::HasSubstr("turns"));
}

// --- Mistakes: a clean set, then one thing spoiled --------------------------------------------------------

TEST(RockerMistakes, ACleanSetHasNone) {
  json document = marked(0.010, 0.060);
  auto turns = at_valve("preload_turns");
  turns["turns"] = 0.5;
  document["readings"].push_back(turns);
  document["readings"].push_back(top_reading("lifter", 0.300));
  document["readings"].push_back(top_reading("valve", 0.4485));
  EXPECT_THAT(rocker_mistakes_of(document), ::testing::IsEmpty());
}

TEST(RockerMistakes, AWideMarkInTheMiddle) {
  EXPECT_THAT(rocker_mistakes_of(marked(0.010, 0.120)), ::testing::ElementsAre("rocker.mark_wide"));
  EXPECT_THAT(rocker_mistakes_of(marked(0.010, 0.082)), ::testing::IsEmpty());
}

TEST(RockerMistakes, AMarkThatRunsToAnEdge) {
  EXPECT_THAT(rocker_mistakes_of(marked(0.140, 0.060)), ::testing::ElementsAre("rocker.mark_at_edge"));
  EXPECT_THAT(rocker_mistakes_of(marked(-0.140, 0.060)), ::testing::ElementsAre("rocker.mark_at_edge"));
  EXPECT_THAT(rocker_mistakes_of(marked(0.070, 0.060)), ::testing::IsEmpty());
  json small = marked(0.070, 0.060);
  small["valves"] = {{"intake", {{"stem_diameter", "6 mm"}}}};
  EXPECT_THAT(rocker_mistakes_of(small), ::testing::ElementsAre("rocker.mark_at_edge"));
}

TEST(RockerMistakes, ARatioShortOfItsSheet) {
  json document = rocker_document();
  document["readings"] = {top_reading("lifter", 0.300), top_reading("valve", 0.438)};
  EXPECT_THAT(rocker_mistakes_of(document), ::testing::ElementsAre("rocker.ratio_short"));
  document["lash"] = {{"intake", "0.012 in"}};
  EXPECT_THAT(rocker_mistakes_of(document), ::testing::IsEmpty());
}

TEST(RockerMistakes, APlungerOnItsBottom) {
  json document = rocker_document();
  auto depth = at_valve("plunger_depth");
  depth["depth"] = "0.190 in";
  document["readings"].push_back(depth);
  EXPECT_THAT(rocker_mistakes_of(document), ::testing::ElementsAre("rocker.preload_beyond_travel"));
  document["readings"][0]["depth"] = "0.045 in";
  EXPECT_THAT(rocker_mistakes_of(document), ::testing::IsEmpty());
}

TEST(RockerMistakes, OneTurnOfAThreadThatGivesTooMuch) {
  json document = rocker_document();
  auto turns = at_valve("preload_turns");
  turns["turns"] = 1.0;
  document["readings"].push_back(turns);
  EXPECT_THAT(rocker_mistakes_of(document), ::testing::ElementsAre("rocker.turn_beyond_band"));
  document["readings"][0]["turns"] = 0.6;
  EXPECT_THAT(rocker_mistakes_of(document), ::testing::IsEmpty());
  document["readings"][0]["turns"] = 1.0;
  document["lifters"]["adjuster"] = "pushrod_screw";  // 0.0417 in: inside the band
  EXPECT_THAT(rocker_mistakes_of(document), ::testing::IsEmpty());
}

// --- Changes ----------------------------------------------------------------------------------------------

const Correction* pushrod_of(const Report& report, std::string_view says) {
  for (const Correction& one : report.corrections) {
    if (one.id == "rocker.pushrod" && one.says.find(says) != std::string::npos) {
      return &one;
    }
  }
  return nullptr;
}

double effect_on(const Correction& correction, std::string_view id) {
  for (const Effect& effect : correction.effects) {
    if (effect.from.id == id) {
      return effect.to.value.value();
    }
  }
  throw std::runtime_error(fmt::format("{} is not moved", id));
}

TEST(RockerChanges, AnotherPushrodMovesTheMarkAsBisectionSaysAndAsTheAcceptedDocumentDoes) {
  json document = marked(0.015, 0.05);
  const build::Build build = read(document);
  const Report report = prove(build, {});
  const Correction* longer = pushrod_of(report, "0.050 in (1.27 mm) longer");
  ASSERT_NE(longer, nullptr);
  const HandRocker hand;
  const auto before = hand.travel(0, 0.300);
  const auto after = hand.travel(hand.raised_for(7.85), 0.300);
  EXPECT_NEAR(effect_on(*longer, "rocker.mark_offset") / in, 0.015 + after.centre() - before.centre(), 1e-7);
  EXPECT_NEAR(effect_on(*longer, "rocker.mark_width") / in, 0.05 + after.width() - before.width(), 1e-7);

  for (const Operation& operation : longer->operations) {
    document[json::json_pointer(operation.path)] = json(operation.value);
  }
  EXPECT_EQ(document["readings"][0]["pushrod"], typed(7.8));
  EXPECT_EQ(document["rockers"]["geometry"]["intake"]["pushrod"], typed(7.8));
  const build::Build accepted = read(document);
  const Report then = prove(accepted, {});
  for (const auto* id : {"rocker.mark_offset", "rocker.mark_width"}) {
    EXPECT_NEAR(value(then, id), effect_on(*longer, id), 1e-12) << id;
  }
  EXPECT_NEAR(value(then, "rocker.pushrod_length"), value(report, "rocker.pushrod_length"), 1e-9);
}

TEST(RockerChanges, WithNothingToAdjustALongerPushrodGoesIntoThePreload) {
  json document = rocker_document();
  document["lifters"]["adjuster"] = "none";
  document["rockers"]["geometry"]["intake"]["lifter_lean"] = "8 deg";  // in line: the length is all of it
  auto depth = at_valve("plunger_depth");
  depth["depth"] = "0.035 in";
  document["readings"].push_back(depth);
  const build::Build build = read(document);
  const Report report = prove(build, {});
  const Correction* longer = pushrod_of(report, "0.050 in (1.27 mm) longer");
  ASSERT_NE(longer, nullptr);
  EXPECT_NEAR(effect_on(*longer, "rocker.preload") / in, 0.085, 1e-8);
}

TEST(RockerChanges, TheFittedLengthIsNotOffered) {
  const build::Build build = read(marked(0.015, 0.05));
  std::size_t offered = 0;
  for (const Correction& one : prove(build, {}).corrections) {
    offered += one.id == "rocker.pushrod" ? 1 : 0;
  }
  EXPECT_EQ(offered, 2U);
}

// --- Picture ----------------------------------------------------------------------------------------------

TEST(RockerPicture, EveryLiftThatIsDrawnClosesTheLoop) {
  const build::Build build = read(marked(0.015, 0.05));
  const Sources sources(build);
  const auto picture = rocker_picture(sources, prove(sources, {}));
  ASSERT_EQ(picture["mechanisms"].size(), 1U);
  const auto& drawn = picture["mechanisms"][0]["lifts"];
  ASSERT_EQ(drawn.size(), 25U);
  const auto apart = [](const nlohmann::ordered_json& a, const nlohmann::ordered_json& b) {
    return std::hypot(a[0].get<double>() - b[0].get<double>(), a[1].get<double>() - b[1].get<double>()) / in;
  };
  const HandRocker hand;
  for (const auto& one : drawn) {
    EXPECT_NEAR(apart(one["pivot"], one["tip_centre"]), hand.tip_arm, 1e-9);
    EXPECT_NEAR(apart(one["pivot"], one["cup"]), hand.cup_arm, 1e-9);
    EXPECT_NEAR(apart(one["cup"], one["tappet"]), hand.ball_to_ball, 1e-9);
    EXPECT_NEAR(apart(one["tip_centre"], one["contact"]), hand.tip_radius, 1e-9);
    EXPECT_DOUBLE_EQ(one["contact"][1].get<double>(), one["valve_tip"][1].get<double>());
  }
  EXPECT_NEAR(drawn[24]["lift"].get<double>() / in, hand.travel(0, 0.3).lift, 1e-9);
  EXPECT_EQ(picture["marks"].size(), 1U);
}

// --- The document -----------------------------------------------------------------------------------------

struct Bad {
  const char* key;
  const char* given;
  const char* place;
};

TEST(RockerDocument, WhatCannotBeIsRefusedWithItsPlace) {
  const Bad cases[] = {{"pivot_to_valve", "0 in", "rockers.geometry.intake.pivot_to_valve"},
                       {"arm_angle", "30 deg", "rockers.geometry.intake.arm_angle"},
                       {"tip_arm", "0.5 m", "rockers.geometry.intake.tip_arm"},
                       {"pivot_height", "-1.5 in", "rockers.geometry.intake.tip_arm"},
                       {"pushrod_lean", "80 deg", "rockers.geometry.intake.pushrod_lean"},
                       {"tip_radius", "-1 mm", "rockers.geometry.intake.tip_radius"}};
  for (const Bad& bad : cases) {
    json document = rocker_document();
    document["rockers"]["geometry"]["intake"][bad.key] = bad.given;
    const auto result = build::read_document(document);
    ASSERT_FALSE(result.problems.empty()) << bad.key;
    EXPECT_EQ(result.problems.front().place, bad.place);
    EXPECT_FALSE(result.problems.front().accepted.empty());
    EXPECT_FALSE(result.problems.front().example.empty());
  }
  json document = rocker_document();
  document["pushrods"].erase("length");
  const auto result = build::read_document(document);
  ASSERT_FALSE(result.problems.empty());
  EXPECT_EQ(result.problems.front().place, "rockers.geometry.intake");
}

}  // namespace
}  // namespace fettle::stations::test
