#include "stations/first_start.h"

#include <gtest/gtest.h>

#include "stations/block_bench.h"

namespace fettle::stations::test {
namespace {

std::vector<std::string> ids(const std::vector<StartStep>& steps) {
  std::vector<std::string> all;
  for (const StartStep& step : steps) {
    all.push_back(step.id);
    EXPECT_FALSE(step.says.empty() || step.why.empty()) << step.id;
  }
  return all;
}

bool has(const std::vector<std::string>& all, std::string_view id) {
  return std::find(all.begin(), all.end(), id) != all.end();
}

std::ptrdiff_t place(const std::vector<std::string>& all, std::string_view id) {
  return std::find(all.begin(), all.end(), id) - all.begin();
}

build::Build with_follower(build::Follower follower) {
  build::Build build = hand_build();
  build.cam.emplace();
  build.cam->follower = follower;
  return build;
}

// Common practice, no source: what is left out for a flat tappet ruins it.
TEST(FirstStart, FlatTappetsAreBrokenInAndRollersAreNot) {
  const auto flat = ids(first_start(with_follower(build::Follower::flat), {}));
  const auto roller = ids(first_start(with_follower(build::Follower::roller), {}));
  for (const char* id :
       {"match_lifters", "lifters_spin", "light_springs", "lobe_paste", "break_in", "running_springs"}) {
    EXPECT_TRUE(has(flat, id)) << id;
    EXPECT_FALSE(has(roller, id)) << id;
  }
  EXPECT_TRUE(has(roller, "first_run"));
  EXPECT_FALSE(has(flat, "first_run"));
}

TEST(FirstStart, OilComesBeforeSparkAndSparkBeforeRunning) {
  const auto all = ids(first_start(with_follower(build::Follower::flat), {}));
  EXPECT_LT(place(all, "turn_by_hand"), place(all, "prime"));
  EXPECT_LT(place(all, "prime"), place(all, "spark"));
  EXPECT_LT(place(all, "spark"), place(all, "break_in"));
  EXPECT_LT(place(all, "break_in"), place(all, "lash_again"));
  EXPECT_LT(place(all, "lash_again"), place(all, "filter"));
  EXPECT_LT(place(all, "filter"), place(all, "gauge"));
  EXPECT_EQ(all.back(), "makers_sheet");
}

TEST(FirstStart, WhatFailsAndWhatIsOpenComesFirst) {
  Report report;
  const auto add = [&](const char* id, metrology::Verdict verdict) {
    Finding finding;
    finding.id = id;
    finding.verdict = verdict;
    report.findings.push_back(finding);
  };
  add("piston_valve.clearance", metrology::Verdict::fails);
  add("piston_valve.clearance", metrology::Verdict::fails);
  add("spring.seat_load", metrology::Verdict::open);
  add("cam.phase_error", metrology::Verdict::too_close);
  add("lash.gap", metrology::Verdict::holds);
  const auto steps = first_start(hand_build(), report);
  ASSERT_GE(steps.size(), 2U);
  EXPECT_EQ(steps[0].id, "mend");
  EXPECT_EQ(steps[0].open, std::vector<std::string>{"piston_valve.clearance"});
  EXPECT_EQ(steps[1].id, "settle");
  EXPECT_EQ(steps[1].open, (std::vector<std::string>{"spring.seat_load", "cam.phase_error"}));
  EXPECT_TRUE(steps[0].caution);
  EXPECT_FALSE(has(ids(first_start(hand_build(), {})), "mend"));
}

TEST(FirstStart, HydraulicsBleedDownAndSolidsAreSetAgain) {
  build::Build build = with_follower(build::Follower::roller);
  build.lifters.emplace();
  build.lifters->kind = build::LifterKind::hydraulic;
  const auto hydraulic = ids(first_start(build, {}));
  EXPECT_TRUE(has(hydraulic, "bleed_down"));
  EXPECT_FALSE(has(hydraulic, "lash_again"));
  build.lifters->kind = build::LifterKind::solid;
  const auto solid = ids(first_start(build, {}));
  EXPECT_FALSE(has(solid, "bleed_down"));
  EXPECT_TRUE(has(solid, "lash_again"));
}

TEST(FirstStart, IsPartOfTheReport) {
  const Report report = prove(hand_build());
  EXPECT_FALSE(report.first_start.empty());
  EXPECT_TRUE(prove(hand_build(), {.advise = false}).first_start.empty());
}

}  // namespace
}  // namespace fettle::stations::test
