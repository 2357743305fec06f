#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "build/validate.h"
#include "stations/limits.h"
#include "stations/short_block.h"

namespace fettle::stations::test {
namespace {

constexpr double journal_in = 2.4480;
constexpr double wall_in = 0.0950;
constexpr double housing_in = 2.6402;  // 2.4480 + 2 x 0.0950 + 0.0022

/// An inline four whose five mains are read in full and whose rods by journal and bore, all with tools so
/// fine that sums can be checked by hand.
build::Build crank_build() {
  build::Build build = hand_build();
  build.tools.emplace("mike", length_tool(build::ToolKind::micrometer, 1e-5, 1e-5, 1e-5));
  build.tools.emplace("bore gauge", length_tool(build::ToolKind::bore_gauge, 1e-5, 1e-5, 1e-5));
  for (int number = 1; number <= 5; ++number) {
    for (const double along : {0.2, 0.8}) {
      for (const double around : {0.0, 90.0}) {
        build.readings.push_back(
            with_diameter(of_main(ReadingKind::journal_diameter, number), journal_in, "mike", along, around));
      }
    }
    build.readings.push_back(
        with_diameter(of_main(ReadingKind::housing_bore, number), housing_in, "bore gauge", {}, 0.0));
    build.readings.push_back(with_diameter(of_main(ReadingKind::housing_bore, number), housing_in - 0.0002,
                                           "bore gauge", {}, 60.0));
    build.readings.push_back(with_wall(of_main(ReadingKind::shell_wall, number), wall_in, "mike"));
    build.readings.push_back(
        with_diameter(of_main(ReadingKind::bearing_bore, number), 2.4503, "bore gauge", {}, 180.0));
    build.readings.push_back(with_gap(of_main(ReadingKind::film_strip, number), 0.0020));
  }
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    build.readings.push_back(
        with_diameter(of_cylinder(ReadingKind::journal_diameter, cylinder), 2.0995, "mike", 0.2));
    build.readings.push_back(
        with_diameter(of_cylinder(ReadingKind::bearing_bore, cylinder), 2.1017, "bore gauge"));
    build.readings.push_back(with_gap(of_cylinder(ReadingKind::rod_side, cylinder), 0.012));
  }
  build::Reading play;
  play.kind = ReadingKind::end_play;
  build.readings.push_back(with_gap(play, 0.006));
  return build;
}

/// Readings of one kind of a spot, in their order.
std::vector<build::Reading*> readings(build::Build& build, ReadingKind kind, const Spot& spot) {
  std::vector<build::Reading*> found;
  for (build::Reading& reading : build.readings) {
    if (reading.kind == kind && spot_of(reading) == spot) {
      found.push_back(&reading);
    }
  }
  return found;
}

constexpr Spot main_spot(int number) {
  return {SpotKind::main, number};
}
constexpr Spot rod_spot(int cylinder) {
  return {SpotKind::cylinder, cylinder};
}

// Arithmetic of the trade: bore less journal; housing less two walls less journal.
TEST(BottomEnd, ClearancesFollowFromDiametersAndWalls) {
  const Report report = prove(crank_build());
  EXPECT_NEAR(thousandths(report, "bottom_end.main_clearance", main_bearing(3)), 2.3, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_cross_check", main_bearing(3)), 0.1, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_strip_check", main_bearing(3)), -0.3, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_housing_round", main_bearing(3)), 0.2, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_taper", main_bearing(3)), 0, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.rod_clearance", of(2)), 2.2, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.rod_side", of(4)), 12, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.end_play", {}), 6, 1e-6);
  const Finding& clearance = finding(report, "bottom_end.main_clearance", main_bearing(3));
  EXPECT_EQ(clearance.verdict, metrology::Verdict::holds);
  EXPECT_NE(clearance.limit->source.find("common practice"), std::string::npos);
  EXPECT_TRUE(mistake_ids(report).empty());
}

TEST(BottomEnd, WithoutABoreTheCrossCheckStandsInAndWithoutThatTheStrip) {
  build::Build build = crank_build();
  std::erase_if(build.readings, [](const auto& one) { return one.kind == ReadingKind::bearing_bore; });
  Report report = prove(build);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_clearance", main_bearing(1)), 2.2, 1e-6);
  EXPECT_NE(finding(report, "bottom_end.main_clearance", main_bearing(1)).basis.find("housing"),
            std::string::npos);
  EXPECT_EQ(finding(report, "bottom_end.rod_clearance", of(1)).verdict, metrology::Verdict::open);
  std::erase_if(build.readings, [](const auto& one) { return one.kind == ReadingKind::housing_bore; });
  report = prove(build);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_clearance", main_bearing(1)), 2.0, 1e-6);
  EXPECT_NE(finding(report, "bottom_end.main_clearance", main_bearing(1)).basis.find("strip"),
            std::string::npos);
}

TEST(BottomEnd, TaperAndRoundnessAreOfPlacesAndDirections) {
  build::Build build = crank_build();
  const auto two = readings(build, ReadingKind::journal_diameter, main_spot(2));
  ASSERT_EQ(two.size(), 4U);
  two[0]->diameter = inches4(2.4480);  // front, 0 degrees
  two[1]->diameter = inches4(2.4478);  // front, 90
  two[2]->diameter = inches4(2.4476);  // rear, 0
  two[3]->diameter = inches4(2.4471);  // rear, 90
  const Report report = prove(build);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_taper", main_bearing(2)), 0.55, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_out_of_round", main_bearing(2)), 0.5, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_journal", main_bearing(2)), 2447.625, 1e-6);
}

TEST(BottomEnd, HousingsReadAcrossThePartingLineDoNotCount) {
  build::Build build = crank_build();
  const auto bores = readings(build, ReadingKind::bearing_bore, main_spot(1));
  bores[0]->around = angle(85);
  const Report report = prove(build);
  // The bore in the vertical is missing: housing and walls stand in.
  EXPECT_NEAR(thousandths(report, "bottom_end.main_clearance", main_bearing(1)), 2.2, 1e-6);
}

// --- One tool set on another ----------------------------------------------------------------------------

/// A rod bearing, journal by micrometer and bore by gauge; the gauge's own error is small, the micrometer's
/// great.
build::Build tools_build(bool set_on_micrometer) {
  build::Build build = hand_build();
  build.tools.emplace("mike", length_tool(build::ToolKind::micrometer, 0.0001, 0.0004, 0.00005));
  build::Tool gauge = length_tool(build::ToolKind::bore_gauge, 0.0001, 0.0001, 0.00008);
  if (set_on_micrometer) {
    gauge.set_on = "mike";
  } else {
    // Another micrometer, as good, that did not measure the journal.
    build.tools.emplace("other mike", length_tool(build::ToolKind::micrometer, 0.0001, 0.0004, 0.00005));
    gauge.set_on = "other mike";
  }
  build.tools.emplace("bore gauge", gauge);
  build.readings.push_back(with_diameter(of_cylinder(ReadingKind::journal_diameter, 1), 2.0995, "mike"));
  build.readings.push_back(with_diameter(of_cylinder(ReadingKind::bearing_bore, 1), 2.1017, "bore gauge"));
  return build;
}

double share_of(const Finding& finding, std::string_view tool, std::string_view label) {
  double sum = 0;
  for (const Share& share : finding.shares) {
    sum += share.tool == tool && share.label.find(label) != std::string::npos ? share.share : 0;
  }
  return sum;
}

// JCGM 100:2008, 5.1.2 and 4.3.7. Own part of a reading: step q as q/(2 sqrt 3), noise s. The journal and the
// bore are one reading each, the setting one of both tools; the gauge's own error is rectangular within its
// permissible one. The micrometer's cancels in the difference where the gauge was set on it, and stands twice
// where two micrometers were used.
TEST(SetOn, TheMicrometersErrorCancelsWhereTheGaugeWasSetOnIt) {
  const double step = 0.0001 * inch / (2 * std::sqrt(3.0));
  const double mike = std::hypot(step, 0.00005 * inch);
  const double gauge = std::hypot(step, 0.00008 * inch);
  const double setting = std::hypot(mike, gauge);
  const double gauge_error = 0.0001 * inch / std::sqrt(3.0);
  const double mike_error = 0.0004 * inch / std::sqrt(3.0);
  const double without = mike * mike + gauge * gauge + setting * setting + gauge_error * gauge_error;

  const Report one = prove(tools_build(true));
  const Finding& same = finding(one, "bottom_end.rod_clearance", of(1));
  EXPECT_NEAR(same.u / std::sqrt(without), 1, 1e-9);
  EXPECT_EQ(share_of(same, "mike", "error"), 0);
  EXPECT_NEAR(share_of(same, "bore gauge", "setting on mike"), setting * setting / without, 1e-9);

  const Report other = prove(tools_build(false));
  const Finding& apart = finding(other, "bottom_end.rod_clearance", of(1));
  const double with = without + 2 * mike_error * mike_error;
  EXPECT_NEAR(apart.u / std::sqrt(with), 1, 1e-9);
  EXPECT_NEAR(share_of(apart, "mike", "error"), mike_error * mike_error / with, 1e-9);
  EXPECT_NEAR(share_of(apart, "other mike", "error"), mike_error * mike_error / with, 1e-9);
  EXPECT_EQ(*same.value, *apart.value);
}

// The journal's own diameter keeps the micrometer's error: there is nothing for it to cancel in.
TEST(SetOn, ADiameterKeepsTheErrorOfItsOneTool) {
  const Report report = prove(tools_build(true));
  const Finding& journal = finding(report, "bottom_end.rod_journal", of(1));
  EXPECT_GT(share_of(journal, "mike", "error"), 0.9);
}

TEST(SetOn, RingsAndUnknownToolsAreRefused) {
  build::Build build = tools_build(true);
  EXPECT_TRUE(build::validate(build).empty());
  build.tools.at("mike").set_on = "bore gauge";
  const auto ring = build::validate(build);
  ASSERT_EQ(ring.size(), 2U);
  EXPECT_EQ(ring.front().place, "tools.bore gauge.set_on");
  build.tools.at("mike").set_on = "mik";
  ASSERT_EQ(build::validate(build).size(), 1U);
  EXPECT_NE(build::validate(build).front().accepted.find("mike"), std::string::npos);
  build.tools.at("mike").set_on = "wheel";
  EXPECT_EQ(build::validate(build).size(), 1U);
}

// The practice table of docs/findings.md; common practice, no source.
TEST(ShortBlockLimits, EachKindOfEngineHasItsOwnPractice) {
  struct Column {
    build::Practice practice;
    double main_least, rod_most, end_play_most, side_least, piston_least, round, top_least, second_most;
  };
  for (const Column& column :
       {Column{build::Practice::street_pushrod, 1.8, 2.7, 8, 10, 1.5, 1.0, 16, 22},
        Column{build::Practice::performance_pushrod, 2.5, 3.0, 10, 14, 3.5, 0.5, 18, 24},
        Column{build::Practice::twin_cam, 0.8, 2.0, 10, 6, 1.0, 0.5, 14, 24},
        Column{build::Practice::vintage_solid, 1.0, 2.8, 8, 5, 1.5, 1.5, 12, 16}}) {
    build::Build build = hand_build();
    build.engine.practice = column.practice;
    build.engine.bore = inches(4);
    const auto limit = [&](const char* id) { return limit_for(build, id, {}).value(); };
    const auto mil = [](const std::optional<double>& metres) { return metres.value() / inch * 1000; };
    EXPECT_NEAR(mil(limit("bottom_end.main_clearance").min), column.main_least, 1e-9);
    EXPECT_NEAR(mil(limit("bottom_end.rod_clearance").max), column.rod_most, 1e-9);
    EXPECT_NEAR(mil(limit("bottom_end.end_play").max), column.end_play_most, 1e-9);
    EXPECT_NEAR(mil(limit("bottom_end.rod_side").min), column.side_least, 1e-9);
    EXPECT_NEAR(mil(limit("bore.piston_clearance").min), column.piston_least, 1e-9);
    EXPECT_NEAR(mil(limit("bore.taper").max), column.round, 1e-9);
    EXPECT_NEAR(mil(limit("bore.top_gap").min), column.top_least, 1e-9);
    EXPECT_NEAR(mil(limit("bore.second_gap").max), column.second_most, 1e-9);
    EXPECT_NE(limit("bore.oil_gap").source.find("common practice"), std::string::npos);
  }
}

TEST(ShortBlockLimits, ATypedLimitOfOneMainWins) {
  build::Build build = hand_build();
  build::Limit all;
  all.finding = "bottom_end.main_clearance";
  all.min = length_measure(0.0015);
  all.source = "maker's sheet";
  build::Limit third = all;
  third.main = 3;
  third.min = length_measure(0.0022);
  build.limits = {third, all};
  EXPECT_NEAR(*limit_for(build, all.finding, main_bearing(2))->min / inch, 0.0015, 1e-12);
  EXPECT_NEAR(*limit_for(build, all.finding, main_bearing(3))->min / inch, 0.0022, 1e-12);
  EXPECT_EQ(limit_for(build, all.finding, main_bearing(3))->source, "maker's sheet");
}

// --- Mistakes -------------------------------------------------------------------------------------------

TEST(BottomEndMistakes, ThimbleReadATurnOut) {
  build::Build build = crank_build();
  auto& reading = *readings(build, ReadingKind::journal_diameter, main_spot(4))[1];
  reading.diameter = inches4(journal_in + 0.025);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"bottom_end.slipped_reading"});
  const Mistake& slip = only(report, "bottom_end.slipped_reading");
  ASSERT_EQ(slip.readings.size(), 1U);
  EXPECT_EQ(&build.readings[static_cast<std::size_t>(slip.readings.front())], &reading);
  EXPECT_NE(slip.says.find("0.025 in"), std::string::npos);
}

TEST(BottomEndMistakes, MetricThimbleReadATurnOut) {
  build::Build build = crank_build();
  readings(build, ReadingKind::bearing_bore, rod_spot(2))[0]->diameter = inches4(2.1017 - 0.5 / 25.4);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"bottom_end.slipped_reading"});
  EXPECT_NE(only(report, "bottom_end.slipped_reading").says.find("0.5 mm"), std::string::npos);
}

TEST(BottomEndMistakes, CaliperMisreadByATenth) {
  build::Build build = crank_build();
  readings(build, ReadingKind::housing_bore, main_spot(1))[0]->diameter = inches4(housing_in - 0.100);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"bottom_end.slipped_reading"});
  EXPECT_NE(only(report, "bottom_end.slipped_reading").says.find("caliper"), std::string::npos);
}

TEST(BottomEndMistakes, AllReadATurnOutAreToldByTheSheet) {
  build::Build build = crank_build();
  build.bearings.emplace();
  build.bearings->rod.emplace();
  build.bearings->rod->journal = inches4(2.1000);
  EXPECT_TRUE(mistake_ids(prove(build)).empty());
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    readings(build, ReadingKind::journal_diameter, rod_spot(cylinder))[0]->diameter = inches4(2.0995 + 0.025);
  }
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"bottom_end.slipped_reading"});
  EXPECT_EQ(only(report, "bottom_end.slipped_reading").readings.size(), 4U);
}

TEST(BottomEndMistakes, WornJournalLargerThanNew) {
  build::Build build = crank_build();
  build.bearings.emplace();
  build.bearings->main.emplace();
  build.bearings->main->journal = inches4(journal_in);
  EXPECT_TRUE(mistake_ids(prove(build)).empty());
  build.bearings->main->journal = inches4(journal_in - 0.0003);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"bottom_end.journal_above_new"});
  EXPECT_EQ(report.mistakes.size(), 5U);
}

TEST(BottomEndMistakes, DirectAndCrossCheckDiffer) {
  build::Build build = crank_build();
  auto& bore = *readings(build, ReadingKind::bearing_bore, main_spot(2))[0];
  auto& strip = *readings(build, ReadingKind::film_strip, main_spot(2))[0];
  bore.diameter = inches4(2.4502 + 0.00035);
  strip.gap = inches4(0.0024);
  EXPECT_TRUE(mistake_ids(prove(build)).empty());
  bore.diameter = inches4(2.4502 + 0.0006);
  strip.gap = inches4(0.0026);
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"bottom_end.cross_check_differs"});
}

TEST(BottomEndMistakes, StripAndGaugeDiffer) {
  build::Build build = crank_build();
  auto& strip = *readings(build, ReadingKind::film_strip, main_spot(5))[0];
  strip.gap = inches4(0.0019);
  EXPECT_TRUE(mistake_ids(prove(build)).empty());
  strip.gap = inches4(0.0015);
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"bottom_end.strip_differs"});
}

TEST(BottomEndMistakes, OneJournalApartFromTheRest) {
  build::Build build = crank_build();
  auto& journal = *readings(build, ReadingKind::journal_diameter, rod_spot(3))[0];
  journal.diameter = inches4(2.0995 - 0.0005);
  EXPECT_TRUE(mistake_ids(prove(build)).empty());
  journal.diameter = inches4(2.0995 - 0.0012);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"bottom_end.journal_outlier"});
  EXPECT_EQ(only(report, "bottom_end.journal_outlier").cylinder, 3);
}

// --- Corrections ----------------------------------------------------------------------------------------

TEST(BottomEndShells, MixedHalvesBringTheClearancesTogether) {
  build::Build build = crank_build();
  std::erase_if(build.readings, [](const auto& one) { return one.kind == ReadingKind::film_strip; });
  // Clearances 2.3, 2.8, 3.3, 1.8 and 2.3 thousandths with standard shells.
  const double journals[] = {0, -0.0005, -0.0010, 0.0005, 0};
  for (int number = 1; number <= 5; ++number) {
    for (auto* reading : readings(build, ReadingKind::journal_diameter, main_spot(number))) {
      reading->diameter = inches4(journal_in + journals[number - 1]);
    }
  }
  build.bearings.emplace();
  build.bearings->main.emplace();
  build.bearings->main->shells = {{inches4(0), {}}, {inches4(-0.001), {}}, {inches4(0.001), {}}};
  const Report report = prove(build);
  const Correction* shells = correction(report, "bottom_end.main_shells");
  ASSERT_NE(shells, nullptr);
  EXPECT_TRUE(shells->recommended);
  for (int number = 2; number <= 4; ++number) {
    EXPECT_NEAR(after(*shells, "bottom_end.main_clearance", main_bearing(number)) / inch * 1000, 2.3, 1e-6);
    // The cross-check is of the same shells: it does not move.
    EXPECT_THROW(after(*shells, "bottom_end.main_cross_check", main_bearing(number)), std::runtime_error);
  }
  const auto& fitted = shells->operations.back();
  EXPECT_EQ(fitted.path, "/bearings/main/fitted");
  ASSERT_EQ(fitted.value.size(), 5U);
  EXPECT_EQ(fitted.value[2]["upper"], "-0.0010 in");
  EXPECT_EQ(fitted.value[2]["lower"], "-0.0010 in");
  EXPECT_NE(fitted.value[1]["upper"], fitted.value[1]["lower"]);
  // Bore and wall of every main say first which shells they were read with.
  EXPECT_EQ(shells->operations.size(), 1U + 5 * 2);
  EXPECT_EQ(shells->operations.front().value, "0.0000 in");
}

TEST(BottomEndShells, OtherShellsThanWhenReadMoveTheClearance) {
  build::Build build = crank_build();
  build.bearings.emplace();
  build.bearings->main.emplace();
  build.bearings->main->fitted = {{1, inches4(-0.001), inches4(0)}, {2, inches4(-0.001), inches4(-0.001)}};
  // Read with the shells fitted: nothing moves.
  EXPECT_NEAR(thousandths(prove(build), "bottom_end.main_clearance", main_bearing(1)), 2.3, 1e-6);
  for (auto& reading : build.readings) {
    const bool with_shells = reading.kind == ReadingKind::bearing_bore ||
                             reading.kind == ReadingKind::shell_wall ||
                             reading.kind == ReadingKind::film_strip;
    if (reading.main && with_shells) {
      reading.shells = inches4(0);
    }
  }
  // Read with standard ones: half a pair tightens by 0.0005 in, a pair by 0.001.
  const Report report = prove(build);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_clearance", main_bearing(1)), 1.8, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_clearance", main_bearing(2)), 1.3, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_clearance", main_bearing(3)), 2.3, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_cross_check", main_bearing(1)), 0.1, 1e-6);
  EXPECT_NEAR(thousandths(report, "bottom_end.main_strip_check", main_bearing(1)), -0.3, 1e-6);
}

// --- Film -----------------------------------------------------------------------------------------------

// Raimondi and Boyd, Trans. ASLE 1 (1958): l/d 1/2, S 0.319 at an eccentricity of 0.6; the load that gives
// that S leaves 0.4 of the radial clearance. Tolerance of the charts, 2.5 % of S, is under 2 % of the film.
TEST(BottomEndFilm, IsThatOfTheChartsAtTheStatedOil) {
  build::Build build = crank_build();
  const double diameter = 2.0995 * inch;
  const double clearance = 0.0022 * inch;
  const double speed = 6000 * 2 * std::numbers::pi / 60;
  const double viscosity = 0.009;
  const double turns = speed / (2 * std::numbers::pi);
  const double width = diameter / 2;
  const double load = std::pow(diameter / clearance, 2) * viscosity * turns * width * diameter / 0.319;
  build.bearings.emplace();
  build.bearings->rod.emplace();
  build.bearings->rod->width = build::Length::from_si(width);
  build.bearings->rod->load = build::Force::from_si(load);
  EXPECT_EQ(find(prove(build), "bottom_end.rod_film", of(1)), nullptr);
  build.bearings->oil =
      build::Oil{quantity::Viscosity::from_si(viscosity), quantity::RotationalSpeed::from_si(speed)};
  const Report report = prove(build);
  const Finding& film = finding(report, "bottom_end.rod_film", of(1));
  EXPECT_NEAR(*film.value / (0.4 * clearance / 2), 1, 0.02);
  EXPECT_GT(film.u, 0);
  EXPECT_FALSE(film.verdict.has_value());
}

TEST(BottomEnd, PermutingCylindersPermutesTheFindings) {
  build::Build build = crank_build();
  const double off[] = {0, 0.0002, -0.0001, 0.0003};
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    readings(build, ReadingKind::journal_diameter, rod_spot(cylinder))[0]->diameter =
        inches4(2.0995 + off[cylinder - 1]);
  }
  const Report before = prove(build);
  const int to[] = {3, 1, 4, 2};
  for (build::Reading& reading : build.readings) {
    if (reading.cylinder) {
      reading.cylinder = to[*reading.cylinder - 1];
    }
  }
  const Report report = prove(build);
  ASSERT_EQ(before.findings.size(), report.findings.size());
  for (const Finding& one : before.findings) {
    if (!one.id.starts_with("bottom_end.")) {
      continue;  // the cam is asked for on cylinder 1
    }
    Where where = one.where;
    if (where.cylinder) {
      where.cylinder = to[*where.cylinder - 1];
    }
    const Finding& other = finding(report, one.id, where);
    EXPECT_EQ(one.value, other.value) << one.id;
    EXPECT_EQ(one.verdict, other.verdict) << one.id;
    EXPECT_NEAR(one.u, other.u, 1e-15) << one.id;
  }
}

}  // namespace
}  // namespace fettle::stations::test
