#include "stations/limits.h"

#include <gtest/gtest.h>

#include "bench.h"

/// Limits in force: what was typed wins over common practice. The practice columns are STATIONS, "Default
/// limits" (common practice, no source).
namespace fettle::stations::test {
namespace {

using build::Practice;
using metrology::Verdict;

constexpr LobeKey intake_1{1, Valve::intake};

build::Build with_card(std::optional<Practice> practice = {}) {
  build::Build build = hand_build();
  build.engine.practice = practice;
  build.cam.emplace().card.emplace();
  build.cam->card->intake = build::LobeCard{angle(108), {}, {}, {}};
  build.cam->card->exhaust = build::LobeCard{angle(114), {}, {}, {}};
  return build;
}

build::Limit limit(const std::string& id, double min_deg, double max_deg) {
  build::Limit one;
  one.finding = id;
  one.min = angle_measure(min_deg);
  one.max = angle_measure(max_deg);
  return one;
}

double half_width(const std::optional<LimitInForce>& limit) {
  return (*limit.value().max - *limit.value().min) / 2 / degree;
}

TEST(Limits, EachKindOfEngineHasItsOwnPractice) {
  struct Column {
    std::optional<Practice> practice;
    double centreline, scatter;
    std::optional<double> slack;
  };
  for (const Column& column :
       {Column{Practice::street_pushrod, 2, 2, 5}, Column{Practice::performance_pushrod, 1, 1, 3},
        Column{Practice::twin_cam, 1, 1, {}}, Column{Practice::vintage_solid, 2.5, 2.5, 5},
        Column{{}, 2, 2, 5}}) {
    const build::Build build = with_card(column.practice);
    const auto icl = limit_for(build, "cam.intake_centerline", of(1));
    EXPECT_NEAR(half_width(icl), column.centreline, 1e-9);
    EXPECT_NEAR(*icl->min / degree, 108 - column.centreline, 1e-9);
    EXPECT_NE(icl->source.find("common practice"), std::string::npos);
    EXPECT_NEAR(half_width(limit_for(build, "cam.exhaust_centerline", of(1))), column.centreline, 1e-9);
    EXPECT_NEAR(half_width(limit_for(build, "cam.phase_error", {})), column.centreline, 1e-9);
    const auto scatter = limit_for(build, "cam.lobe_phase_scatter", {{}, Valve::intake, {}});
    EXPECT_NEAR(*scatter.value().max / degree, column.scatter, 1e-9);
    EXPECT_FALSE(scatter->min.has_value());
    const auto slack = limit_for(build, "cam.chain_slack", {});
    EXPECT_EQ(slack.has_value(), column.slack.has_value());
    if (slack) {
      EXPECT_NEAR(*slack->max / degree, *column.slack, 1e-9);
    }
  }
}

TEST(Limits, PassesOfTdcAgreeWithinAQuarterDegree) {
  EXPECT_NEAR(half_width(limit_for(hand_build(), "tdc.shift", {})), 0.25, 1e-9);
}

TEST(Limits, WithoutCardOrWishNoCentrelineIsHeldAgainstAnything) {
  EXPECT_FALSE(limit_for(hand_build(), "cam.intake_centerline", of(1)).has_value());
  EXPECT_FALSE(limit_for(hand_build(), "cam.phase_error", {}).has_value());
  EXPECT_FALSE(limit_for(with_card(), "cam.duration", of(1, Valve::intake, 0.050)).has_value());
}

TEST(Limits, WhatTheBuilderWantsOfTheIntakeMovesTheExhaustTheOtherWay) {
  build::Build build = with_card();
  build.cam->wanted_centerline = angle(104);
  EXPECT_NEAR(*limit_for(build, "cam.intake_centerline", of(1))->min / degree, 102, 1e-9);
  EXPECT_NEAR(*limit_for(build, "cam.exhaust_centerline", of(1))->min / degree, 116, 1e-9);
  build.engine.practice = Practice::twin_cam;  // the exhaust has a cam of its own
  EXPECT_NEAR(*limit_for(build, "cam.exhaust_centerline", of(1))->min / degree, 113, 1e-9);
}

TEST(Limits, TypedLimitWinsOverCommonPractice) {
  build::Build build = with_card();
  build.limits.push_back(limit("cam.intake_centerline", 105, 107));
  auto in_force = limit_for(build, "cam.intake_centerline", of(1));
  EXPECT_NEAR(*in_force->min / degree, 105, 1e-9);
  EXPECT_NEAR(*in_force->max / degree, 107, 1e-9);
  EXPECT_EQ(in_force->source, "typed by the builder");
  build.limits.back().source = "cam card";
  EXPECT_EQ(limit_for(build, "cam.intake_centerline", of(1))->source, "cam card");
}

TEST(Limits, MoreParticularLimitWinsInWhateverOrder) {
  build::Build build = with_card();
  build::Limit general = limit("cam.duration", 200, 230);
  build::Limit intake = limit("cam.duration", 210, 214);
  intake.valve = Valve::intake;
  build::Limit at_fifty = intake;
  at_fifty.at = millimetres(1.27);  // 0.050 in, typed in another unit
  at_fifty.min = angle_measure(211);
  build.limits = {at_fifty, general, intake};
  for (int turn = 0; turn < 3; ++turn) {
    std::rotate(build.limits.begin(), build.limits.begin() + 1, build.limits.end());
    EXPECT_NEAR(*limit_for(build, "cam.duration", of(1, Valve::intake, 0.050))->min / degree, 211, 1e-9);
    EXPECT_NEAR(*limit_for(build, "cam.duration", of(1, Valve::intake, 0.200))->min / degree, 210, 1e-9);
    EXPECT_NEAR(*limit_for(build, "cam.duration", of(1, Valve::exhaust, 0.050))->min / degree, 200, 1e-9);
  }
}

TEST(Limits, LimitOfOneCylinderLeavesTheOthersAlone) {
  build::Build build = with_card();
  build.limits.push_back(limit("cam.intake_centerline", 100, 101));
  build.limits.back().cylinder = 3;
  EXPECT_NEAR(*limit_for(build, "cam.intake_centerline", of(3))->max / degree, 101, 1e-9);
  EXPECT_NEAR(*limit_for(build, "cam.intake_centerline", of(1))->max / degree, 110, 1e-9);
}

TEST(Limits, OneSidedLimitIsOpenOnTheOtherSide) {
  build::Build build = with_card();
  build.limits.push_back(limit("cam.overlap", 0, 0));
  build.limits.back().min.reset();
  const auto in_force = limit_for(build, "cam.overlap", of(1, {}, 0.050));
  EXPECT_FALSE(in_force.value().min.has_value());
  EXPECT_TRUE(in_force->max.has_value());
}

TEST(Limits, CardCentrelineComesFromPrintElseEventsElseSeparation) {
  build::Build build = with_card();
  auto& card = *build.cam->card;
  EXPECT_NEAR(*card_centreline(build, Valve::intake) / degree, 108, 1e-9);
  card.intake->centerline.reset();
  EXPECT_FALSE(card_centreline(build, Valve::intake).has_value());
  card.lobe_separation = angle(110);
  EXPECT_NEAR(*card_centreline(build, Valve::intake) / degree, 106, 1e-9);  // 2 x 110 - 114
  card.intake->events.push_back({inches(0.050), "1 BTDC", "37 ABDC"});
  EXPECT_NEAR(*card_centreline(build, Valve::intake) / degree, 108, 1e-9);  // (-1 + 217) / 2
  card.exhaust->centerline.reset();
  card.exhaust->events.push_back({inches(0.050), "45 BBDC", "3 BTDC"});
  EXPECT_NEAR(*card_centreline(build, Valve::exhaust) / degree, 114, 1e-9);
  EXPECT_NEAR(*card_duration(build, Valve::exhaust, 0.050 * inch) / degree, 222, 1e-9);
}

TEST(Limits, VerdictFollowsTheLimitAndTheDoubt) {
  const auto verdict = [](double icl) {
    build::Build build = with_card(Practice::street_pushrod);
    find_tdc(build);
    build.tools["wheel"].resolution = angle_measure(0.5);
    read_lobe(build, intake_1, 0.050, fmt::format("{} deg", icl - 109 + 360),
              fmt::format("{} deg", icl + 109));
    return finding(prove(build), "cam.intake_centerline", of(1));
  };
  const Finding inside = verdict(108.5);
  const double doubt = inside.expanded / degree;
  ASSERT_GT(doubt, 0.1);
  ASSERT_LT(doubt, 0.9);
  EXPECT_EQ(inside.verdict, Verdict::holds);
  EXPECT_EQ(verdict(110 - doubt / 2).verdict, Verdict::too_close);
  EXPECT_EQ(verdict(110 + doubt / 2).verdict, Verdict::too_close);
  EXPECT_EQ(verdict(110 + 2 * doubt).verdict, Verdict::fails);
  EXPECT_EQ(verdict(106 - 2 * doubt).verdict, Verdict::fails);
}

TEST(Limits, MissingFindingIsOpenAndFindingWithoutLimitHasNoVerdict) {
  build::Build build = with_card();
  find_tdc(build);
  read_lobe(build, intake_1, 0.050, "1 BTDC", "37 ABDC");
  const Report report = prove(build);
  EXPECT_EQ(finding(report, "cam.exhaust_centerline", of(1)).verdict, Verdict::open);
  EXPECT_TRUE(finding(report, "cam.exhaust_centerline", of(1)).limit.has_value());
  EXPECT_FALSE(finding(report, "cam.duration", of(1, Valve::intake, 0.050)).verdict.has_value());
}

}  // namespace
}  // namespace fettle::stations::test
