#include "stations/prove.h"

#include <gtest/gtest.h>

#include "bench.h"

/// The report as a whole: nothing missing breaks it, its doubt is sound, its advice is to the point.
namespace fettle::stations::test {
namespace {

using invented::Shop;
using metrology::Verdict;

constexpr LobeKey intake_1{1, Valve::intake};
constexpr LobeKey exhaust_1{1, Valve::exhaust};

void expect_finite(const Finding& finding) {
  EXPECT_TRUE(std::isfinite(finding.u)) << finding.id;
  EXPECT_TRUE(std::isfinite(finding.expanded)) << finding.id;
  EXPECT_GE(finding.expanded, finding.u) << finding.id;
  EXPECT_FALSE(std::isnan(finding.dof)) << finding.id;
  EXPECT_TRUE(!finding.value || std::isfinite(*finding.value)) << finding.id;
  EXPECT_EQ(finding.value.has_value(), finding.needs.empty()) << finding.id;
  double sum = 0;
  for (const Share& share : finding.shares) {
    EXPECT_GT(share.share, 0) << finding.id;
    sum += share.share;
  }
  EXPECT_LE(sum, 1 + 1e-9) << finding.id;
  EXPECT_TRUE(finding.u == 0 || sum > 0.98) << finding.id << ": shares make " << sum;
}

void expect_sound(const build::Build& build) {
  const Report report = prove(build);
  EXPECT_FALSE(report.findings.empty());
  for (const Finding& finding : report.findings) {
    expect_finite(finding);
  }
}

TEST(Prove, EveryReportIsFinite) {
  Shop shop(1);
  expect_sound(shop.parts());
  expect_sound(shop.full_build());
  expect_sound(point_build(shop, {1, 4}));
  for (const build::Reading& reading :
       {shop.stop(Turning::forward, 40), shop.drop(Side::after, 0.05), shop.tdc_sweep(),
        shop.lobe_sweep(intake_1), shop.lobe_point(intake_1, Side::opening, 0.05),
        shop.lobe_top(exhaust_1)}) {
    build::Build build = shop.parts();
    build.readings = {reading};
    expect_sound(build);
  }
}

TEST(Prove, NothingReadIsOpenThroughout) {
  const Report report = prove(hand_build());
  for (const Finding& finding : report.findings) {
    EXPECT_EQ(finding.verdict, Verdict::open);
    EXPECT_FALSE(finding.needs.empty());
  }
  EXPECT_TRUE(report.mistakes.empty());
  EXPECT_TRUE(report.corrections.empty());
  ASSERT_TRUE(report.next_reading.has_value());
  EXPECT_EQ(report.next_reading->finding, "tdc.wheel");
}

TEST(Prove, WithoutACardOrATimingSetLobesAreStillReduced) {
  Shop shop(2);
  build::Build build = shop.full_build();
  const Report carded = prove(build);
  build.cam.reset();
  build.timing_set.reset();
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "cam.intake_centerline", of(1)),
              degrees(carded, "cam.intake_centerline", of(1)), 1e-6);
  EXPECT_FALSE(finding(report, "cam.intake_centerline", of(1)).verdict.has_value());
  EXPECT_EQ(finding(report, "cam.phase_error").verdict, Verdict::open);
  EXPECT_NE(finding(report, "cam.phase_error").needs.find("centreline"), std::string::npos);
  EXPECT_EQ(mistake_ids(report), Ids{});
  expect_sound(build);
}

bool assumes(const Report& report, std::string_view words) {
  return std::any_of(report.assumptions.begin(), report.assumptions.end(),
                     [&](const std::string& one) { return one.find(words) != std::string::npos; });
}

TEST(Prove, FiguresThatStandInForUnnamedToolsAreListed) {
  Shop shop(2);
  build::Build build = point_build(shop, {1});
  EXPECT_TRUE(prove(build).assumptions.empty());
  for (build::Reading& reading : build.readings) {
    reading.tool.reset();
    reading.lift_tool.reset();
  }
  const Report report = prove(build);
  EXPECT_TRUE(assumes(report, "Wheel readings that name no tool"));
  EXPECT_TRUE(assumes(report, "Indicator readings that name no tool"));
  EXPECT_GT(finding(report, "cam.intake_centerline", of(1)).u, 0.1 * degree);
  expect_sound(build);
}

TEST(Prove, UsualLobeThatStandsInForTheCardIsListed) {
  Shop shop(2);
  build::Build build = point_build(shop, {1});
  build.cam.reset();
  EXPECT_TRUE(assumes(prove(build), "slope of a usual lobe"));
}

TEST(Prove, SweepTooPoorToFitIsSaidNotUsed) {
  Shop shop(3);
  build::Build build = shop.full_build();
  sweep_of(build, exhaust_1).points.resize(3);
  const int place = readings_of(build, exhaust_1).front();
  const Report report = prove(build);
  EXPECT_TRUE(assumes(report, fmt::format("The sweep readings[{}] is not used", place)));
  EXPECT_EQ(finding(report, "cam.exhaust_centerline", of(1)).verdict, Verdict::open);
  EXPECT_TRUE(finding(report, "cam.exhaust_centerline", of(2)).value.has_value());
  expect_sound(build);
}

TEST(Prove, FlatSweepIsSaidNotUsed) {
  Shop shop(3);
  build::Build build = shop.full_build();
  for (auto& one : sweep_of(build, exhaust_1).points) {
    one.lift = inches(0);
  }
  EXPECT_TRUE(assumes(prove(build), "is not used"));
  expect_sound(build);
}

TEST(Prove, TdcSweepTooPoorToFitIsSaidNotUsed) {
  Shop shop(3);
  build::Build build = shop.parts();
  build.readings = {shop.tdc_sweep()};
  build.readings.front().points.resize(1);
  const Report report = prove(build);
  EXPECT_TRUE(assumes(report, "The sweep readings[0] is not used"));
  EXPECT_EQ(finding(report, "tdc.wheel").verdict, Verdict::open);
}

TEST(Prove, TrialsAgreeWithFirstOrder) {
  // JCGM 101 beside JCGM 100: these findings are nearly linear in their readings.
  Shop shop(4);
  build::Build build = shop.parts();
  shop_stop(build, shop);
  build.readings.push_back(shop.lobe_sweep(intake_1));
  build.readings.push_back(shop.lobe_sweep(exhaust_1));
  const Report report = prove(build, {.trials = 10000, .advise = false});
  for (const auto& [id, where] : {std::pair{"tdc.wheel", Where{}},
                                  {"cam.intake_centerline", of(1)},
                                  {"cam.exhaust_centerline", of(1)},
                                  {"cam.lobe_separation", of(1)},
                                  {"cam.duration", of(1, Valve::intake, 0.050)}}) {
    const Finding& one = finding(report, id, where);
    ASSERT_TRUE(one.trials.has_value()) << id;
    EXPECT_NEAR(one.trials->u / one.u, 1, 0.05) << id;
    EXPECT_NEAR(one.trials->mean, *one.value, 0.05 * one.u) << id;
    EXPECT_NEAR((one.trials->high - one.trials->low) / (2 * one.expanded), 1, 0.08) << id;
  }
}

TEST(Prove, SameBuildAndSeedGiveTheSameTrials) {
  Shop shop(4);
  build::Build build = shop.parts();
  shop_stop(build, shop);
  const auto u = [&](std::uint64_t seed) {
    return finding(prove(build, {.trials = 1000, .seed = seed}), "tdc.wheel").trials->u;
  };
  EXPECT_EQ(u(1), u(1));
  EXPECT_NE(u(1), u(2));
}

TEST(Prove, RepeatingAReadingShrinksItsDoubt) {
  build::Build build = hand_build();
  build.tools["wheel"].noise = angle_measure(0.2);
  find_tdc(build);
  const double once = finding(prove(build), "tdc.wheel").u;
  const double off = 0.2 * std::sqrt(0.75) * degree;  // four at ± this have a standard deviation of 0.2
  for (build::Reading& reading : build.readings) {
    const double mean = reading.wheel->radians;
    reading.repeats = {on_wheel(mean - off), on_wheel(mean + off), on_wheel(mean - off)};
    reading.wheel = on_wheel(mean + off);
  }
  // Noise alone, scattering as stated: a mean of four is worth half of one.
  EXPECT_NEAR(finding(prove(build), "tdc.wheel").u / once, 0.5, 0.01);
}

TEST(Prove, NextReadingIsTheOneThatMostOfTheDoubtComesFrom) {
  // One flank read on an indicator far worse than the rest, the centre just about at its limit.
  build::Build build = hand_build();
  build.cam.emplace().card.emplace();
  build.cam->card->intake = build::LobeCard{angle(108), {}, {}, {}};
  build.cam->card->exhaust = build::LobeCard{angle(114), {}, {}, {}};
  find_tdc(build);
  read_lobe(build, intake_1, 0.050, "1 ATDC", "39 ABDC");  // ICL 110: at the limit of ± 2
  read_lobe(build, exhaust_1, 0.050, "45 BBDC", "3 BTDC");
  build.tools["rough"] = build.tools["dial"];
  build.tools["rough"].resolution = length_measure(0.004);
  at(build, 3).lift_tool = "rough";
  const Report report = prove(build);
  const Finding& centre = finding(report, "cam.intake_centerline", of(1));
  ASSERT_EQ(centre.verdict, Verdict::too_close);
  ASSERT_FALSE(centre.shares.empty());
  EXPECT_EQ(centre.shares.front().reading, 3);
  ASSERT_TRUE(report.next_reading.has_value());
  EXPECT_EQ(report.next_reading->reading, 3);
  EXPECT_LT(report.next_reading->expanded_to, report.next_reading->expanded_from);
  EXPECT_NE(report.next_reading->says.find("closing flank of the intake lobe of cylinder 1"),
            std::string::npos);
}

TEST(Prove, MissingReadingComesBeforeARepeatedOne) {
  build::Build build = hand_build();
  find_tdc(build);
  read_lobe(build, intake_1, 0.050, "1 BTDC", "37 ABDC");
  const Report report = prove(build);
  ASSERT_TRUE(report.next_reading.has_value());
  EXPECT_FALSE(report.next_reading->reading.has_value());
  EXPECT_EQ(report.next_reading->finding, "cam.exhaust_centerline");
}

TEST(Prove, AdviceIsLeftOutWhereItIsNotAskedFor) {
  Shop shop(1);
  const Report report = prove(point_build(shop, {1}, false), {.advise = false});
  EXPECT_TRUE(report.mistakes.empty());
  EXPECT_TRUE(report.corrections.empty());
  EXPECT_FALSE(report.next_reading.has_value());
}

}  // namespace
}  // namespace fettle::stations::test
