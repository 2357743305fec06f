#include "stations/cam_timing.h"

#include <gtest/gtest.h>

#include "bench.h"

/// Station Cam timing: hand-worked sums of the trade. Events are signed crank degrees from the cylinder's
/// overlap TDC: IO = -(BTDC), IC = 180 + (ABDC), EO = -180 - (BBDC), EC = +(ATDC).
namespace fettle::stations::test {
namespace {

constexpr LobeKey intake_1{1, Valve::intake};
constexpr LobeKey exhaust_1{1, Valve::exhaust};
constexpr double exactly = 1e-6;

/// TDC found on a wheel that stands right.
build::Build ready() {
  build::Build build = hand_build();
  find_tdc(build);
  return build;
}

/// Intake 1 BTDC to 37 ABDC, exhaust 45 BBDC to 3 BTDC, at 0.050 in.
build::Build both_lobes() {
  build::Build build = ready();
  read_lobe(build, intake_1, 0.050, "1 BTDC", "37 ABDC");
  read_lobe(build, exhaust_1, 0.050, "45 BBDC", "3 BTDC");
  return build;
}

build::Reading top(const LobeKey& key, std::optional<double> lift_in, std::optional<double> wheel_deg) {
  build::Reading reading;
  reading.kind = build::ReadingKind::lobe_top;
  reading.cylinder = key.cylinder;
  reading.valve = key.valve;
  if (lift_in) {
    reading.lift = inches(*lift_in);
  }
  if (wheel_deg) {
    reading.wheel = on_wheel(*wheel_deg * degree);
  }
  reading.tool = "wheel";
  reading.lift_tool = "dial";
  return reading;
}

TEST(CamTiming, IntakeEventsGiveDurationAndCentreline) {
  const Report report = prove(both_lobes());
  // IO = -1, IC = 217: duration 218, ICL (217 - 1) / 2 = 108.
  EXPECT_NEAR(degrees(report, "cam.opening", of(1, Valve::intake, 0.050)), -1, exactly);
  EXPECT_NEAR(degrees(report, "cam.closing", of(1, Valve::intake, 0.050)), 217, exactly);
  EXPECT_NEAR(degrees(report, "cam.duration", of(1, Valve::intake, 0.050)), 218, exactly);
  EXPECT_NEAR(degrees(report, "cam.intake_centerline", of(1)), 108, exactly);
  EXPECT_EQ(finding(report, "cam.intake_centerline", of(1)).basis, "midpoint at 0.050 in");
}

TEST(CamTiming, ExhaustEventsGiveDurationAndCentreline) {
  const Report report = prove(both_lobes());
  // EO = -225, EC = -3: duration 222, ECL (225 + 3) / 2 = 114.
  EXPECT_NEAR(degrees(report, "cam.opening", of(1, Valve::exhaust, 0.050)), -225, exactly);
  EXPECT_NEAR(degrees(report, "cam.closing", of(1, Valve::exhaust, 0.050)), -3, exactly);
  EXPECT_NEAR(degrees(report, "cam.duration", of(1, Valve::exhaust, 0.050)), 222, exactly);
  EXPECT_NEAR(degrees(report, "cam.exhaust_centerline", of(1)), 114, exactly);
}

TEST(CamTiming, BothLobesGiveSeparationAdvanceAndOverlap) {
  const Report report = prove(both_lobes());
  EXPECT_NEAR(degrees(report, "cam.lobe_separation", of(1)), 111, exactly);  // (108 + 114) / 2
  EXPECT_NEAR(degrees(report, "cam.advance", of(1)), 3, exactly);            // (114 - 108) / 2
  // EC - IO = -3 + 1: both valves are never above 0.050 in together.
  EXPECT_NEAR(degrees(report, "cam.overlap", of(1, {}, 0.050)), -2, exactly);
}

TEST(CamTiming, RetardedCamHasANegativeAdvance) {
  build::Build build = ready();
  read_lobe(build, intake_1, 0.050, "4 ATDC", "42 ABDC");   // ICL 113
  read_lobe(build, exhaust_1, 0.050, "40 BBDC", "2 ATDC");  // ECL 109
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "cam.advance", of(1)), -2, exactly);
  EXPECT_NEAR(degrees(report, "cam.lobe_separation", of(1)), 111, exactly);
}

TEST(CamTiming, OpeningAfterTdcIsSimplyPositive) {
  build::Build build = ready();
  read_lobe(build, intake_1, 0.050, "4 ATDC", "40 ABDC");
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "cam.opening", of(1, Valve::intake, 0.050)), 4, exactly);
  EXPECT_NEAR(degrees(report, "cam.duration", of(1, Valve::intake, 0.050)), 216, exactly);
  EXPECT_NEAR(degrees(report, "cam.intake_centerline", of(1)), 112, exactly);
}

TEST(CamTiming, OverlapAtTheSeatIsPositive) {
  build::Build build = ready();
  read_lobe(build, intake_1, 0.006, "26 BTDC", "62 ABDC");
  read_lobe(build, exhaust_1, 0.006, "70 BBDC", "22 ATDC");
  EXPECT_NEAR(degrees(prove(build), "cam.overlap", of(1, {}, 0.006)), 48, exactly);
}

TEST(CamTiming, EqualDropsFromTheTopGiveTheCentreline) {
  build::Build build = ready();
  read_lobe(build, intake_1, 0.050, "71.5 deg", "144.5 deg", true);
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "cam.intake_centerline", of(1)), 108, exactly);
  EXPECT_EQ(finding(report, "cam.intake_centerline", of(1)).basis, "midpoint 0.050 in below the top");
}

TEST(CamTiming, CentreIsTakenAtFiftyThousandthsElseBelowTheTopElseElsewhereElseAtTheTop) {
  build::Build build = ready();
  build.readings.push_back(top(intake_1, {}, 110.0));
  const auto centre = [&] {
    const Report report = prove(build);
    return std::pair(std::round(degrees(report, "cam.intake_centerline", of(1)) * 1e4) / 1e4,
                     finding(report, "cam.intake_centerline", of(1)).basis);
  };
  EXPECT_EQ(centre(), std::pair(110.0, std::string("place of the greatest lift")));
  read_lobe(build, intake_1, 0.200, "50 deg", "168 deg");
  EXPECT_EQ(centre(), std::pair(109.0, std::string("midpoint at 0.200 in")));
  read_lobe(build, intake_1, 0.050, "72 deg", "145 deg", true);
  EXPECT_EQ(centre(), std::pair(108.5, std::string("midpoint 0.050 in below the top")));
  read_lobe(build, intake_1, 0.050, "1 BTDC", "37 ABDC");
  EXPECT_EQ(centre(), std::pair(108.0, std::string("midpoint at 0.050 in")));
}

TEST(CamTiming, MidpointLessTopIsTheAsymmetry) {
  build::Build build = both_lobes();
  build.readings.push_back(top(intake_1, 0.3, 106.5));
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "cam.asymmetry", of(1, Valve::intake)), 1.5, exactly);
  EXPECT_NEAR(*finding(report, "cam.lobe_lift", of(1, Valve::intake)).value, 0.3 * inch, 1e-9);
}

TEST(CamTiming, LiftAtTheValveIsBroughtToTheLobeByRatioAndLash) {
  // 0.057 in at the valve with 0.018 in of lash behind a ratio of 1.5 is (0.057 + 0.018) / 1.5 = 0.050 in.
  build::Build build = ready();
  build.rockers = build::Rockers{1.5, {}, {}};
  build.lash = build::Lash{inches(0.018), {}};
  read_lobe(build, intake_1, 0.057, "1 BTDC", "37 ABDC");
  build.readings.push_back(top(intake_1, 0.432, {}));
  for (std::size_t i = 2; i < build.readings.size(); ++i) {
    build.readings[i].measured_at = build::MeasuredAt::valve;
  }
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "cam.duration", of(1, Valve::intake, 0.050)), 218, exactly);
  EXPECT_EQ(finding(report, "cam.intake_centerline", of(1)).basis, "midpoint at 0.050 in");
  EXPECT_NEAR(*finding(report, "cam.lobe_lift", of(1, Valve::intake)).value, 0.300 * inch, 1e-9);
}

TEST(CamTiming, LiftAtTheLobeIsBroughtToAValveCardByRatioAndLash) {
  // 0.050 in at the lobe opens the valve by 1.6 x 0.050 - 0.010 = 0.070 in.
  build::Build build = ready();
  build.rockers = build::Rockers{1.6, {}, {}};
  build.lash = build::Lash{inches(0.010), {}};
  build.cam.emplace().card.emplace().basis = build::LiftBasis::valve;
  build.cam->card->intake = build::LobeCard{angle(108), {}, {{inches(0.070), angle(216)}}, {}};
  read_lobe(build, intake_1, 0.050, "1 BTDC", "37 ABDC");
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "cam.duration", of(1, Valve::intake, 0.070)), 218, exactly);
  EXPECT_NEAR(degrees(report, "cam.duration_error", of(1, Valve::intake, 0.070)), 2, exactly);
}

TEST(CamTiming, SweepAtTheValveGivesTheSameEventsAsAtTheLobe) {
  invented::Shop shop(3);
  build::Build build = shop.full_build();
  build.rockers = build::Rockers{1.5, 1.5, {}};
  build.lash = build::Lash{inches(0.012), {}};
  const Report at_lobe = prove(build);
  for (auto& one : sweep_of(build, intake_1).points) {
    // The valve does not follow before the lash is taken up.
    const double valve = std::max(1.5 * one.lift.si() - 0.012 * inch, 0.0);
    one.lift = build::Length::typed(valve, fmt::format("{:.6f} in", valve / inch));
  }
  sweep_of(build, intake_1).measured_at = build::MeasuredAt::valve;
  const Report at_valve = prove(build);
  for (const double lift : {0.050, 0.100, 0.200}) {
    EXPECT_NEAR(degrees(at_valve, "cam.duration", of(1, Valve::intake, lift)),
                degrees(at_lobe, "cam.duration", of(1, Valve::intake, lift)), 0.25)
        << lift;
  }
}

TEST(CamTiming, OddFiringTwinIsPhasedByItsIntervals) {
  // Intervals 315 and 405: cylinder 2 comes 315 deg after 1, so that on the wheel its own zero stands at 315.
  build::Build build = ready();
  build.engine.layout = "V2";
  build.engine.firing_order = {1, 2};
  build.engine.firing_intervals = {angle(315), angle(405)};
  read_lobe(build, {2, Valve::intake}, 0.050, "314 deg", "172 deg");  // 315 - 1, 315 + 217 - 360
  read_lobe(build, {2, Valve::exhaust}, 0.050, "90 deg", "312 deg");  // 315 - 225, 315 - 3
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "cam.opening", of(2, Valve::intake, 0.050)), -1, exactly);
  EXPECT_NEAR(degrees(report, "cam.intake_centerline", of(2)), 108, exactly);
  EXPECT_NEAR(degrees(report, "cam.exhaust_centerline", of(2)), 114, exactly);
}

TEST(CamTiming, InlineSixIsPhasedBySixthsOfTheCycle) {
  build::Build build = ready();
  build.engine.layout = "inline 6";
  build.engine.firing_order = {1, 5, 3, 6, 2, 4};
  const int order[] = {1, 5, 3, 6, 2, 4};
  for (int place = 0; place < 6; ++place) {
    read_lobe(build, {order[place], Valve::intake}, 0.050, fmt::format("{} deg", (120 * place + 359) % 360),
              fmt::format("{} deg", (120 * place + 217) % 360));
  }
  const Report report = prove(build);
  for (int cylinder = 1; cylinder <= 6; ++cylinder) {
    EXPECT_NEAR(degrees(report, "cam.intake_centerline", of(cylinder)), 108, exactly) << cylinder;
  }
  EXPECT_NEAR(degrees(report, "cam.lobe_phase_scatter", {{}, Valve::intake, {}}), 0, exactly);
}

TEST(CamTiming, PhaseErrorIsTheMeanOverTheCylindersAndScatterTheSpread) {
  build::Build build = both_lobes();
  build.cam.emplace().wanted_centerline = angle(106);
  read_lobe(build, {4, Valve::intake}, 0.050, "0 deg", "40 ABDC");  // ICL 110, with cylinder 1
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "cam.phase_error"), 3, exactly);  // (108 + 110) / 2 - 106
  EXPECT_NEAR(degrees(report, "cam.lobe_phase_scatter", {{}, Valve::intake, {}}), 2, exactly);
  EXPECT_EQ(find(report, "cam.lobe_phase_scatter", {{}, Valve::exhaust, {}}), nullptr) << "only one exhaust";
}

TEST(CamTiming, WheelThatWasFoundOffTdcIsAllowedFor) {
  build::Build build = both_lobes();
  for (build::Reading& reading : build.readings) {
    turn_wheel(reading, 77.25 * degree);
  }
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "tdc.wheel"), 77.25, exactly);
  EXPECT_NEAR(degrees(report, "cam.intake_centerline", of(1)), 108, exactly);
  EXPECT_NEAR(degrees(report, "cam.exhaust_centerline", of(1)), 114, exactly);
}

TEST(CamTiming, ReadingJustPastTheLiftIsBroughtBackAlongTheFlank) {
  // What the indicator's error is worth in degrees must show as doubt of a single point.
  build::Build build = both_lobes();
  const double fine = finding(prove(build), "cam.intake_centerline", of(1)).u;
  build.tools["dial"].resolution = length_measure(0.001);
  const double coarse = finding(prove(build), "cam.intake_centerline", of(1)).u;
  // A flank of 0.37 deg a thousandth at 0.050 in (STATIONS 10, computed for a generic lobe): u of half a
  // thousandth, rectangular, is 0.29 thousandths, and two flanks are averaged.
  EXPECT_NEAR(std::sqrt(coarse * coarse - fine * fine) / degree, 0.37 * 0.289 / std::sqrt(2), 0.02);
}

TEST(CamTiming, SlackReadDirectlyIsTheMeanOfItsReadings) {
  build::Build build = ready();
  build::Reading slack;
  slack.kind = build::ReadingKind::chain_slack;
  slack.slack = angle(4);
  slack.tool = "wheel";
  build.readings.push_back(slack);
  EXPECT_NEAR(degrees(prove(build), "cam.chain_slack"), 4, exactly);
  build.readings.back().repeats = {mark("5 deg"), mark("6 deg")};
  EXPECT_NEAR(degrees(prove(build), "cam.chain_slack"), 5, exactly);
}

TEST(CamTiming, SlackIsFoundFromASweepTakenBothWays) {
  for (const double slack : {1.0, 4.0}) {
    invented::ShopOptions options;
    options.slack_deg = slack;
    invented::Shop shop(7, options);
    const Report report = prove(shop.full_build());
    EXPECT_NEAR(degrees(report, "cam.chain_slack"), slack, 0.25);
  }
}

TEST(CamTiming, LobeWithoutTdcIsOpenAndSaysWhy) {
  build::Build build = hand_build();
  read_lobe(build, intake_1, 0.050, "1 BTDC", "37 ABDC");
  const Report report = prove(build);
  EXPECT_EQ(finding(report, "cam.intake_centerline", of(1)).verdict, metrology::Verdict::open);
  EXPECT_EQ(finding(report, "cam.intake_centerline", of(1)).needs,
            "true TDC on the wheel that the lobe was read on");
}

}  // namespace
}  // namespace fettle::stations::test
