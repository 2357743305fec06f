#include <gtest/gtest.h>

#include "bench.h"

/// Mistakes of the grind, and of how lobes were read: clean readings of an invented engine, spoiled in one
/// way each. Signatures are common practice, no source.
namespace fettle::stations::test {
namespace {

using invented::Shop;

constexpr LobeKey intake_1{1, Valve::intake};
constexpr LobeKey exhaust_1{1, Valve::exhaust};

/// The index of the greatest lift of a sweep.
std::size_t nose_of(const build::Reading& sweep) {
  const auto nose = std::max_element(sweep.points.begin(), sweep.points.end(),
                                     [](const auto& a, const auto& b) { return a.lift < b.lift; });
  return static_cast<std::size_t>(nose - sweep.points.begin());
}

void set_lift(build::SweepPoint& point, double lift_in) {
  const double shown = std::round(lift_in / 0.0005) * 0.0005;
  point.lift = build::Length::typed(shown * inch, fmt::format("{:.4f} in", shown));
}

void scale_lifts(build::Reading& sweep, double factor) {
  for (auto& point : sweep.points) {
    set_lift(point, factor * point.lift.si() / inch);
  }
}

void scale_all(build::Build& build, Valve valve, double factor) {
  for (build::Reading& reading : build.readings) {
    if (reading.valve == valve && reading.kind == build::ReadingKind::lobe_sweep) {
      scale_lifts(reading, factor);
    }
  }
}

/// The sweep as it would have been taken with the cam running ahead by its slack past the nose.
void run_ahead(build::Reading& sweep, const Shop& shop, double ahead_deg) {
  const LobeKey key{*sweep.cylinder, *sweep.valve};
  for (std::size_t i = nose_of(sweep) + 1; i < sweep.points.size(); ++i) {
    const double own_tdc = shop.phases().firing_tdc(key.cylinder);
    const double crank = sweep.points[i].wheel.radians - shop.truth().tdc_on_wheel;
    const double from_top = mechanism::wrap_centred(crank - own_tdc - shop.top(key), mechanism::full_turn);
    set_lift(sweep.points[i], shop.lift(key, own_tdc + shop.top(key) + from_top + ahead_deg * degree) / inch);
  }
}

void card_duration(build::Build& build, Valve valve, double by_deg) {
  auto& card = valve == Valve::intake ? *build.cam->card->intake : *build.cam->card->exhaust;
  for (auto& one : card.durations) {
    one.duration = angle(one.duration.si() / degree + by_deg);
  }
}

TEST(CamHandling, CardOfAnotherGrindIsToldByTheDuration) {
  for (int seed = 1; seed <= 5; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = shop.full_build();
    card_duration(build, Valve::intake, -6);
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"cam.grind"});
    EXPECT_EQ(only(report, "cam.grind").readings.size(), 8U);
    EXPECT_NE(only(report, "cam.grind").says.find("longer"), std::string::npos);
    card_duration(build, Valve::intake, 4.5);  // 1.5 deg: within what grinding leaves
    EXPECT_EQ(mistake_ids(prove(build)), Ids{});
  }
}

TEST(CamHandling, CardOfAnotherGrindIsToldFromPointsToo) {
  for (int seed = 1; seed <= clean_seeds; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = point_build(shop, {1, 6});
    card_duration(build, Valve::exhaust, 6);
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"cam.grind"});
    EXPECT_NE(only(report, "cam.grind").says.find("shorter"), std::string::npos);
  }
}

TEST(CamHandling, WrongLobeSeparationIsTold) {
  for (int seed = 1; seed <= 5; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed), cam_late(0));
    build::Build build = shop.full_build();
    build.cam->card->intake->centerline = angle(105);
    build.cam->card->exhaust->centerline = angle(111);
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"cam.separation"});
    EXPECT_NE(only(report, "cam.separation").says.find("deg farther"), std::string::npos);
  }
}

TEST(CamHandling, LobesThatAreAllAsymmetricAreTold) {
  for (const double asymmetry : {-2.5, 2.5}) {
    invented::ShopOptions options = cam_late(0);
    options.asymmetry_deg = asymmetry;
    Shop shop(4, options);
    const Report report = prove(shop.full_build());
    EXPECT_EQ(mistake_ids(report), Ids{"cam.asymmetric_lobe"});
    EXPECT_NE(report.mistakes.front().says.find(asymmetry > 0 ? "after" : "before"), std::string::npos);
  }
}

TEST(CamHandling, CamDrivenAheadByRunningSpringsIsTold) {
  for (int seed = 1; seed <= 5; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = shop.full_build();
    std::vector<int> swept;
    for (int cylinder = 1; cylinder <= 8; ++cylinder) {
      run_ahead(sweep_of(build, {cylinder, Valve::exhaust}), shop, 3);
      swept.push_back(readings_of(build, {cylinder, Valve::exhaust}).front());
    }
    build.springs_fitted = build::SpringsFitted::running;
    const Report report = prove(build);
    ASSERT_EQ(mistake_ids(report), Ids{"cam.overrun"});
    EXPECT_EQ(only(report, "cam.overrun").readings, swept);
    // With checking springs the same readings cannot come of overrunning.
    build.springs_fitted = build::SpringsFitted::checking;
    EXPECT_FALSE(mistake_ids(prove(build)).contains("cam.overrun"));
  }
}

TEST(CamHandling, RunningSpringsAloneAreNoMistake) {
  Shop shop(3);
  build::Build build = shop.full_build();
  build.springs_fitted = build::SpringsFitted::running;
  EXPECT_EQ(mistake_ids(prove(build)), Ids{});
}

TEST(CamHandling, LiftTakenAtTheValveIsToldByTheRockersRatio) {
  Shop shop(2);
  build::Build build = shop.full_build();
  scale_all(build, Valve::intake, 1.5);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"cam.valve_for_lobe"});
  EXPECT_FALSE(only(report, "cam.valve_for_lobe").cylinder.has_value()) << "all alike";
  EXPECT_EQ(only(report, "cam.valve_for_lobe").readings.size(), 8U);
  // Said so, the readings are right.
  for (build::Reading& reading : build.readings) {
    if (reading.valve == Valve::intake) {
      reading.measured_at = build::MeasuredAt::valve;
    }
  }
  EXPECT_EQ(mistake_ids(prove(build)), Ids{});
}

TEST(CamHandling, LiftTakenAtTheLobeAgainstAValveCardIsTold) {
  Shop shop(2);
  build::Build build = shop.full_build();
  build.cam->card->basis = build::LiftBasis::valve;
  for (build::Reading& reading : build.readings) {
    reading.measured_at = build::MeasuredAt::valve;
  }
  for (auto* card : {&build.cam->card->intake, &build.cam->card->exhaust}) {
    (*card)->lift = inches((*card)->lift->si() / inch * 1.5);
  }
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"cam.valve_for_lobe"});
}

TEST(CamHandling, IndicatorOutOfLineIsToldByItsLift) {
  for (int seed = 1; seed <= clean_seeds / 3; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = shop.full_build();
    scale_lifts(sweep_of(build, {3, Valve::intake}), 1 / std::cos(10 * degree));
    const Report report = prove(build);
    ASSERT_EQ(mistake_ids(report), Ids{"cam.indicator_tilt"});
    const Mistake& mistake = only(report, "cam.indicator_tilt");
    EXPECT_EQ(mistake.cylinder, 3);
    EXPECT_EQ(mistake.readings, readings_of(build, {3, Valve::intake}));
  }
}

TEST(CamHandling, WornLobeIsToldByItsLift) {
  Shop shop(1);
  build::Build build = shop.full_build();
  scale_lifts(sweep_of(build, {7, Valve::exhaust}), 0.92);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"cam.lift_off"});
  EXPECT_EQ(only(report, "cam.lift_off").cylinder, 7);
}

TEST(CamHandling, FlankReadTurningBackwardIsTold) {
  Shop shop(1);
  build::Build build = point_build(shop, {1, 6});
  const int place = readings_of(build, exhaust_1)[1];
  at(build, place).turning = Turning::backward;
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"cam.slack_side"});
  EXPECT_EQ(only(report, "cam.slack_side").readings, std::vector<int>{place});
  EXPECT_EQ(only(report, "cam.slack_side").cylinder, 1);
}

TEST(CamHandling, ClosingReadAfterBackingUpIsTold) {
  for (int seed = 1; seed <= clean_seeds; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = point_build(shop, {1, 6});
    for (const int place : readings_of(build, intake_1)) {
      if (at(build, place).side == Side::closing) {
        turn_wheel(at(build, place), -3 * degree);
      }
    }
    const Report report = prove(build);
    ASSERT_EQ(mistake_ids(report), Ids{"cam.closing_on_slack"}) << seed;
    EXPECT_EQ(only(report, "cam.closing_on_slack").cylinder, 1);
    EXPECT_EQ(only(report, "cam.closing_on_slack").readings, readings_of(build, intake_1));
  }
}

TEST(CamHandling, HydraulicLifterThatBledDownIsTold) {
  for (int seed = 1; seed <= clean_seeds / 3; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = shop.full_build();
    build::Reading& sweep = sweep_of(build, {2, Valve::exhaust});
    // Sinks evenly under load, by 0.006 in over the lobe, and stays there.
    double sunk = 0;
    for (auto& one : sweep.points) {
      sunk += one.lift.si() > 0.01 * inch ? 0.006 / 40 : 0;
      set_lift(one, one.lift.si() / inch - sunk);
    }
    build.lifters->checking = false;
    const Report report = prove(build);
    ASSERT_EQ(mistake_ids(report), Ids{"cam.bleed_down"});
    EXPECT_EQ(only(report, "cam.bleed_down").cylinder, 2);
    EXPECT_EQ(only(report, "cam.bleed_down").readings, readings_of(build, {2, Valve::exhaust}));
    build.lifters->kind = build::LifterKind::solid;
    EXPECT_EQ(mistake_ids(prove(build)), Ids{"cam.zero_moved"}) << "a solid lifter cannot bleed down";
  }
}

TEST(CamHandling, IndicatorThatMovedIsToldByItsZero) {
  for (const double moved : {-0.002, 0.002}) {
    Shop shop(9);
    build::Build build = shop.full_build();
    build::Reading& sweep = sweep_of(build, {4, Valve::intake});
    for (std::size_t i = nose_of(sweep); i < sweep.points.size(); ++i) {
      set_lift(sweep.points[i], sweep.points[i].lift.si() / inch + moved);
    }
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"cam.zero_moved"});
    EXPECT_EQ(only(report, "cam.zero_moved").cylinder, 4);
  }
}

/// A sweep with a second turn of the cycle behind it, through the opening flank again; after `slip_from`
/// points the wheel shows `slip` too much.
build::Reading long_sweep(Shop& shop, double slip_deg) {
  build::Reading sweep = shop.lobe_sweep(exhaust_1);
  const auto once = sweep.points;
  const build::Reading again = shop.lobe_sweep(exhaust_1);
  // Between the two looks at the lobe the follower rests on the base circle for a turn.
  for (int i = 0; i < 72; ++i) {
    build::SweepPoint rest = once[static_cast<std::size_t>(i)];
    set_lift(rest, 0);
    sweep.points.push_back(rest);
  }
  for (int i = 0; i < 50; ++i) {
    build::SweepPoint late = again.points[static_cast<std::size_t>(i)];
    late.wheel = on_wheel(late.wheel.radians + slip_deg * degree);
    sweep.points.push_back(late);
  }
  return sweep;
}

TEST(CamHandling, WheelThatMovedDuringALongSweepIsTold) {
  for (int seed = 1; seed <= clean_seeds / 3; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = shop.full_build();
    const int place = readings_of(build, exhaust_1).front();
    at(build, place) = long_sweep(shop, 0);
    EXPECT_EQ(mistake_ids(prove(build)), Ids{}) << "a clean long sweep, seed " << seed;
    at(build, place) = long_sweep(shop, 2);
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"cam.wheel_moved"}) << seed;
    EXPECT_EQ(only(report, "cam.wheel_moved").readings, std::vector<int>{place});
    EXPECT_EQ(only(report, "cam.wheel_moved").cylinder, 1);
  }
}

/// Read at one position of the timing set, and again when it was meant to be 4 degrees further advanced, the
/// cam really having gone `moved_deg` earlier.
build::Build after_correction(std::uint64_t seed, double moved_deg, double marks_deg = 4) {
  Shop before(seed, cam_late(3.6));
  build::Build build = before.parts();
  shop_stop(build, before, 1);
  for (const LobeKey& key : {intake_1, exhaust_1}) {
    build.readings.push_back(before.lobe_sweep(key));
    build.readings.back().position = angle(0);
  }
  Shop after(seed, cam_late(3.6 - moved_deg));
  for (const LobeKey& key : {intake_1, exhaust_1}) {
    build.readings.push_back(after.lobe_sweep(key));
  }
  shop_stop(build, after, 2);
  build.timing_set->fitted = angle(marks_deg);
  return build;
}

TEST(CamHandling, CorrectionThatWentRightAccusesNobody) {
  for (int seed = 1; seed <= clean_seeds; ++seed) {
    EXPECT_EQ(mistake_ids(prove(after_correction(static_cast<std::uint64_t>(seed), 4))), Ids{});
    build::Build cam_marks = after_correction(static_cast<std::uint64_t>(seed), 8);
    cam_marks.timing_set->marked_in = build::MarkedIn::cam;
    EXPECT_EQ(mistake_ids(prove(cam_marks)), Ids{});
  }
}

TEST(CamHandling, CorrectionMadeTheWrongWayIsTold) {
  for (int seed = 1; seed <= clean_seeds / 3; ++seed) {
    const Report report = prove(after_correction(static_cast<std::uint64_t>(seed), -4));
    EXPECT_EQ(mistake_ids(report), Ids{"cam.moved_wrong_way"});
    EXPECT_EQ(only(report, "cam.moved_wrong_way").readings, (std::vector<int>{4, 5}));
  }
}

TEST(CamHandling, MarksInOtherDegreesAreToldByTwiceOrHalfTheMove) {
  for (int seed = 1; seed <= clean_seeds / 3; ++seed) {
    EXPECT_EQ(mistake_ids(prove(after_correction(static_cast<std::uint64_t>(seed), 8))),
              Ids{"cam.marks_in_other_degrees"});
    build::Build crank_marks = after_correction(static_cast<std::uint64_t>(seed), 4);
    crank_marks.timing_set->marked_in = build::MarkedIn::cam;
    EXPECT_EQ(mistake_ids(prove(crank_marks)), Ids{"cam.marks_in_other_degrees"});
  }
}

}  // namespace
}  // namespace fettle::stations::test
