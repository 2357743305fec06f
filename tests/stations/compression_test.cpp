#include <gtest/gtest.h>

#include "stations/block_bench.h"

namespace fettle::stations::test {
namespace {

using build::ReadingKind;

constexpr double cubic_inch = 16.387064;                              // cc
constexpr double disc_of_4 = std::numbers::pi / 4 * 16 * cubic_inch;  // cc an inch
constexpr double swept = disc_of_4 * 3.48;

/// Clearance volume of volumes_build(), cc.
double clearance(double chamber, double gasket_in = 0.041, double deck_in = 0.020, double dish = 5) {
  return chamber + std::numbers::pi / 4 * 4.1 * 4.1 * gasket_in * cubic_inch + disc_of_4 * deck_in + dish;
}

/// Piston above BDC's end of its stroke, as a part of the stroke, `after` degrees past overlap TDC; Heywood,
/// *Internal Combustion Engine Fundamentals*, ch. 2.
double depth_in(double after) {
  const double angle = after * degree;
  const double across = 1.74 * std::sin(angle);
  return 1.74 + 5.7 - 1.74 * std::cos(angle) - std::sqrt(5.7 * 5.7 - across * across);
}

TEST(CompressionStation, VolumesRatiosAndQuenchFollowFromWhatWasPoured) {
  const Report report = prove(volumes_build());
  EXPECT_NEAR(value_of(report, "compression.displacement") / cc, swept, 1e-6);
  // Bore 4 in, stroke 3.48: 43.73097 cubic inches (the table of check values).
  EXPECT_NEAR(value_of(report, "compression.displacement") / cc / cubic_inch, 43.73097, 1e-5);
  EXPECT_NEAR(value_of(report, "compression.chamber", of(2)) / cc, 64.2, 1e-6);
  EXPECT_NEAR(value_of(report, "compression.clearance_volume", of(2)) / cc, clearance(64.2), 1e-6);
  EXPECT_NEAR(value_of(report, "compression.static_ratio", of(2)), 1 + swept / clearance(64.2), 1e-9);
  EXPECT_NEAR(value_of(report, "compression.quench", of(2)) / inch, 0.061, 1e-9);
  EXPECT_NEAR(value_of(report, "compression.chamber_spread") / cc, 0.3, 1e-6);
  EXPECT_NEAR(value_of(report, "compression.ratio_spread"), swept / clearance(63.9) - swept / clearance(64.2),
              1e-9);
}

TEST(CompressionStation, TheRingLandCounts) {
  build::Build build = volumes_build();
  build.crowns->land_diameter = inches(3.965);
  build.crowns->land_height = inches(0.25);
  const double crevice = std::numbers::pi / 4 * (16 - 3.965 * 3.965) * 0.25 * cubic_inch;
  EXPECT_NEAR(value_of(prove(build), "compression.clearance_volume", of(1)) / cc, clearance(64.0) + crevice,
              1e-6);
}

TEST(CompressionStation, ADishPouredOrFilledAtADepthIsTheSame) {
  build::Build build = volumes_build();
  build.crowns.reset();
  build.readings.push_back(poured(ReadingKind::dish_fill, 1, 5.0));
  build::Reading fill = poured(ReadingKind::piston_fill, 2, disc_of_4 * 0.5 + 5.0);
  fill.depth = inches4(0.5);
  fill.gauge = "dial";
  build.readings.push_back(fill);
  build::Reading domed = poured(ReadingKind::piston_fill, 3, disc_of_4 * 0.5 - 7.0);
  domed.depth = inches4(0.5);
  domed.gauge = "dial";
  build.readings.push_back(domed);
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "compression.crown", of(1)) / cc, 5, 1e-9);
  EXPECT_NEAR(value_of(report, "compression.crown", of(2)) / cc, 5, 1e-3);  // typed to 1e-4 cc
  EXPECT_NEAR(value_of(report, "compression.crown", of(3)) / cc, -7, 1e-3);
  EXPECT_NE(finding(report, "compression.static_ratio", of(4)).needs.find("crown"), std::string::npos);
}

TEST(CompressionStation, AGasketMeasuredCountsForItsOwnKindOnly) {
  build::Build build = volumes_build();
  build.gasket->choices = {inches(0.041), inches(0.028)};
  build::Reading crushed = sized(ReadingKind::gasket_crush, 0.043);
  crushed.gasket = inches(0.041);
  build.readings.push_back(crushed);
  build.readings.push_back(sized(ReadingKind::gasket_bore, 4.15));
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "compression.quench", of(1)) / inch, 0.063, 1e-9);
  const double volume = 69 + disc_of_4 * 0.020 + std::numbers::pi / 4 * 4.15 * 4.15 * 0.043 * cubic_inch;
  EXPECT_NEAR(value_of(report, "compression.clearance_volume", of(1)) / cc, volume, 1e-6);
  build.gasket->thickness = inches(0.028);
  EXPECT_NEAR(value_of(prove(build), "compression.quench", of(1)) / inch, 0.048, 1e-9);
}

TEST(CompressionStation, RatioFromIntakeClosingTakesTheEffectiveStroke) {
  build::Build build = volumes_build();
  read_intake(build);
  const Report report = prove(build);
  const double ratio = 1 + swept / clearance(64.0);
  const Finding& effective = finding(report, "compression.effective_ratio", of(1));
  EXPECT_NEAR(*effective.value, 1 + depth_in(180 + 62) / 3.48 * (ratio - 1), 1e-6);
  EXPECT_NE(effective.basis.find("0.006 in"), std::string::npos);
  EXPECT_NE(effective.basis.find("read on cylinder 1"), std::string::npos);
  // Another cylinder takes the lobe of the one that was read, and says so.
  EXPECT_NE(finding(report, "compression.effective_ratio", of(3)).basis.find("cylinder 1"),
            std::string::npos);
}

TEST(CompressionStation, AClosingReadOffTheSeatIsCarriedOnByTheCard) {
  build::Build build = volumes_build();
  build.cam.emplace();
  build.cam->card.emplace();
  build.cam->card->intake.emplace();
  build.cam->card->intake->centerline = angle(108);
  build.cam->card->intake->durations = {{inches(0.006), angle(268)}, {inches(0.050), angle(218)}};
  // The card closes 25 degrees later on the seat than at 0.050 in.
  read_intake(build, "37 ABDC", 0.050);
  const Report report = prove(build);
  const double ratio = 1 + swept / clearance(64.0);
  EXPECT_NEAR(value_of(report, "compression.effective_ratio", of(1)),
              1 + depth_in(180 + 62) / 3.48 * (ratio - 1), 1e-6);
  EXPECT_NE(finding(report, "compression.effective_ratio", of(1)).basis.find("carried on"),
            std::string::npos);
  EXPECT_FALSE(mistake_ids(report).contains("compression.closing_off_seat"));
  // With no lobe read the card alone serves, and the basis says that it was not read.
  std::erase_if(build.readings, [](const auto& one) { return one.kind == ReadingKind::lobe_point; });
  EXPECT_NE(finding(prove(build), "compression.effective_ratio", of(1)).basis.find("not read"),
            std::string::npos);
}

/// Without a leak the law is p V^n = const from the closing on.
TEST(CompressionStation, CrankingPressureIsPolytropicFromTheClosing) {
  build::Build build = volumes_build();
  read_intake(build);
  build.compression->barometer = build::Pressure::typed(95000, "950 hPa");
  build.compression->exponent = 1.28;
  const Report report = prove(build);
  const double ratio = value_of(report, "compression.effective_ratio", of(1));
  EXPECT_NEAR(value_of(report, "compression.cranking_pressure", of(1)), 95000 * (std::pow(ratio, 1.28) - 1),
              1);
  // Altitude by ISO 2533: 84 556 Pa at 1500 m (from the standard's table, from memory; within 0.05 %).
  build.compression->barometer.reset();
  build.compression->altitude = build::Length::typed(1500, "1500 m");
  EXPECT_NEAR(
      value_of(prove(build), "compression.cranking_pressure", of(1)) / (84556 * (std::pow(ratio, 1.28) - 1)),
      1, 5e-4);
  build.compression->leak = quantity::Area::typed(5e-7, "0.5 mm2");
  EXPECT_LT(value_of(prove(build), "compression.cranking_pressure", of(1)),
            0.95 * value_of(report, "compression.cranking_pressure", of(1)));
}

TEST(CompressionStation, TheGaugeStandsBesideWhatWasReckoned) {
  build::Build build = volumes_build();
  read_intake(build);
  const double reckoned = value_of(prove(build), "compression.cranking_pressure", of(1));
  for (const auto& [cylinder, shown] : {std::pair{1, 150.0}, {2, 120.0}}) {
    build::Reading reading = of_part(ReadingKind::compression_gauge, cylinder);
    reading.pressure = build::Pressure::typed(shown * psi, fmt::format("{} psi", shown));
    reading.tester = "gauge";
    build.readings.push_back(reading);
  }
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "compression.gauge_pressure", of(1)) / psi, 150, 1e-6);
  EXPECT_NEAR(value_of(report, "compression.gauge_error", of(1)), 150 * psi - reckoned, 1e-3);
  EXPECT_NEAR(value_of(report, "compression.gauge_part"), 0.8, 1e-9);
}

// Sensitivities at 10.1 to 1 as computed for the design, bore 4 in, stroke 3.48, rod 5.70 in [computed]:
// gasket +0.010 in -0.24; deck +0.005 in -0.12; chamber -1 cc +0.12; intake closing +1 degree: effective
// ratio -0.06.
TEST(CompressionStation, SensitivitiesAtTenPointOne) {
  const double chamber = swept / 9.1 - clearance(0);
  const auto ratio_of = [&](double more_gasket, double more_deck, double more_chamber, double later,
                            const char* id) {
    build::Build build = volumes_build();
    build.gasket->thickness = inches4(0.041 + more_gasket);
    for (auto& reading : build.readings) {
      if (reading.kind == ReadingKind::chamber_fill) {
        reading.volume = ccs(chamber + more_chamber);
      } else {
        reading.below = inches4(0.020 + more_deck);
      }
    }
    read_intake(build, fmt::format("{} ABDC", 62 + later));
    return value_of(prove(build, {.advise = false}), id, of(1));
  };
  const double ratio = ratio_of(0, 0, 0, 0, "compression.static_ratio");
  EXPECT_NEAR(ratio, 10.1, 1e-4);
  EXPECT_NEAR(ratio_of(0.010, 0, 0, 0, "compression.static_ratio") - ratio, -0.24, 0.005);
  EXPECT_NEAR(ratio_of(0, 0.005, 0, 0, "compression.static_ratio") - ratio, -0.12, 0.005);
  EXPECT_NEAR(ratio_of(0, 0, -1, 0, "compression.static_ratio") - ratio, 0.12, 0.005);
  const double effective = ratio_of(0, 0, 0, 0, "compression.effective_ratio");
  EXPECT_NEAR(ratio_of(0, 0, 0, 1, "compression.effective_ratio") - effective, -0.06, 0.005);
}

TEST(CompressionStation, MillingSinceThePouringIsTakenOff) {
  build::Build build = volumes_build();
  build.chamber.emplace();
  build.chamber->area = quantity::Area::typed(8e-3, "8000 mm2");
  build.chamber->milled = millimetres(0.25);
  // Poured as it stands: nothing is taken off.
  EXPECT_NEAR(value_of(prove(build), "compression.chamber", of(1)) / cc, 64, 1e-9);
  for (auto& reading : build.readings) {
    if (reading.kind == ReadingKind::chamber_fill) {
      reading.milled = millimetres(0);
    }
  }
  EXPECT_NEAR(value_of(prove(build), "compression.chamber", of(1)) / cc, 64 - 2, 1e-9);
}

build::Build wanting(double ratio) {
  build::Build build = volumes_build();
  read_intake(build);
  build.chamber.emplace();
  build.chamber->area = quantity::Area::typed(8e-3, "8000 mm2");
  build.compression->wanted_ratio = ratio;
  build.gasket->choices = {inches(0.028), inches(0.041)};
  build::Reading drop = at_valve(ReadingKind::valve_drop, {1, Valve::intake});
  drop.drop = inches(0.200);
  drop.lift_tool = "dial";
  build.readings.push_back(drop);
  return build;
}

TEST(CompressionChanges, MillingReachesTheWantedRatioAndMovesTheValves) {
  const build::Build build = wanting(9.8);
  const Report report = prove(build);
  const Correction& mill = correction(report, "compression.mill_head");
  double sum = 0;
  for (const Effect& effect : mill.effects) {
    sum += effect.to.id == "compression.static_ratio" ? *effect.to.value / 4 : 0;
  }
  // The amount is rounded to a thousandth of an inch in writing, and the change goes by what is written.
  EXPECT_NEAR(sum, 9.8, 0.01);
  const auto moved = std::find_if(mill.effects.begin(), mill.effects.end(),
                                  [](const Effect& effect) { return effect.from.id == "piston_valve.drop"; });
  ASSERT_NE(moved, mill.effects.end());
  EXPECT_LT(*moved->to.value, *moved->from.value);
  expect_kept(build, mill);
  // Readings taken over the head until now say so before it is milled: four chambers and a drop.
  EXPECT_EQ(mill.operations.size(), 6U);
}

TEST(CompressionChanges, DeepeningReachesALowerRatioAndMovesNoValve) {
  const build::Build build = wanting(9.0);
  const Report report = prove(build);
  const Correction& cut = correction(report, "compression.deepen_crowns");
  for (const Effect& effect : cut.effects) {
    EXPECT_TRUE(effect.from.id.starts_with("compression.")) << effect.from.id;
  }
  expect_kept(build, cut);
  EXPECT_THROW(correction(report, "compression.mill_head"), std::runtime_error);  // metal cannot be put back
}

TEST(CompressionChanges, GasketsAreOfferedOnceWithAllTheyMove) {
  build::Build build = wanting(9.8);
  const Report with_drop = prove(build);
  EXPECT_THROW(correction(with_drop, "compression.gasket"), std::runtime_error);
  const Correction& offered = correction(with_drop, "piston_valve.gasket");
  const auto moves = [&](std::string_view id) {
    return std::any_of(offered.effects.begin(), offered.effects.end(),
                       [&](const Effect& effect) { return effect.from.id == id; });
  };
  EXPECT_TRUE(moves("compression.quench") && moves("compression.effective_ratio") &&
              moves("piston_valve.clearance"));
  expect_kept(build, offered);
  build.readings.pop_back();
  EXPECT_NO_THROW(correction(prove(build), "compression.gasket"));
}

TEST(CompressionChanges, AnAdvancedCamRaisesTheRatioFromIntakeClosing) {
  build::Build build = volumes_build();
  read_intake(build);
  build.timing_set.emplace();
  build.timing_set->positions = {angle(0), angle(4)};
  build.timing_set->fitted = angle(0);
  const Report report = prove(build);
  const Correction& advance = correction(report, "cam.position");
  const auto ratio = std::find_if(advance.effects.begin(), advance.effects.end(), [](const Effect& effect) {
    return effect.from.id == "compression.effective_ratio";
  });
  ASSERT_NE(ratio, advance.effects.end());
  // About 0.06 a degree at 10.1 to 1 [computed for the design]; in proportion to the ratio less one.
  EXPECT_NEAR((*ratio->to.value - *ratio->from.value) / 4, 0.06 * 8.2 / 9.1, 0.005);
}

build::Reading bore_of(int cylinder, double diameter_in) {
  build::Reading reading = of_part(ReadingKind::bore_diameter, cylinder);
  reading.diameter = inches4(diameter_in);
  reading.gauge = "dial";
  return reading;
}

// pi/4 ((b + d)^2 - b^2) s more is swept, and as much of the deck's height stands above the piston.
TEST(MeasuredBores, ABoreATenthOfAMillimetreOverMovesVolumesAndRatioByTheClosedForm) {
  const double over = 0.1 / 25.4;
  build::Build build = volumes_build();
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    build.readings.push_back(bore_of(cylinder, cylinder == 2 ? 4.0 + over : 4.0));
    // typed to four decimals of an inch
  }
  const double bore = build.readings[build.readings.size() - 3].diameter->si() / inch;
  const double wider = std::numbers::pi / 4 * bore * bore * cubic_inch;
  const double room = clearance(64.2) + (wider - disc_of_4) * 0.020;
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "compression.clearance_volume", of(2)) / cc, room, 1e-6);
  EXPECT_NEAR(value_of(report, "compression.static_ratio", of(2)), 1 + wider * 3.48 / room, 1e-9);
  EXPECT_NEAR(value_of(report, "compression.static_ratio", of(1)), 1 + swept / clearance(64.0), 1e-9);
  EXPECT_NEAR(value_of(report, "compression.displacement") / cc, swept + (wider - disc_of_4) * 3.48 / 4,
              1e-6);
  EXPECT_NE(finding(report, "compression.static_ratio", of(2)).basis.find("bore as read"), std::string::npos);
}

// d(ratio)/d(bore) = 2/b (r - 1) (1 - V_deck/Vc), of one gauge shared by all bores.
TEST(MeasuredBores, TheDoubtOfTheGaugeReachesTheRatioOnce) {
  build::Build build = volumes_build();
  build::Tool gauge = exact(build::ToolKind::bore_gauge);
  gauge.permissible_error = measure(0.002, inch, "in", quantity::Dimension::length);
  build.tools["bore gauge"] = gauge;
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    for (int again = 0; again < 4; ++again) {
      build.readings.push_back(bore_of(cylinder, 4.0));
      build.readings.back().gauge = "bore gauge";
    }
  }
  const Report report = prove(build);
  const double ratio = 1 + swept / clearance(64.0);
  const double of_deck = disc_of_4 * 0.020 / clearance(64.0);
  const double slope = 2 / 4.0 * (ratio - 1) * (1 - of_deck);
  EXPECT_NEAR(finding(report, "compression.static_ratio", of(1)).u, slope * 0.002 / std::sqrt(3.0), 1e-6);
  // What all bores share moves all ratios together, and hardly their spread.
  EXPECT_LT(finding(report, "compression.ratio_spread").u, 0.01 * slope * 0.002);
}

// Chambers stay, pistons may go anywhere: the largest dish to the smallest chamber, and so on.
TEST(CompressionChanges, PistonsGoToChambersByVolume) {
  build::Build build = volumes_build();
  build.crowns.reset();
  const std::array dishes{5.0, 5.3, 5.0, 5.4};  // chambers 64.0, 64.2, 63.9, 64.1
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    build.readings.push_back(
        poured(ReadingKind::dish_fill, cylinder, dishes.at(static_cast<std::size_t>(cylinder - 1))));
  }
  const Report report = prove(build);
  const Correction& fitted = correction(report, "compression.pistons");
  // 63.9 + 5.4, 64.0 + 5.3, 64.1 + 5.0, 64.2 + 5.0.
  const build::Build then = accepted(build, fitted);
  EXPECT_EQ(then.bores->pistons.at(2), 4);
  EXPECT_EQ(then.bores->pistons.at(0), 2);
  const double best = swept / clearance(64.1, 0.041, 0.020, 5.0) - swept / clearance(64.0, 0.041, 0.020, 5.3);
  EXPECT_NEAR(value_of(prove(then), "compression.ratio_spread"), best, 1e-9);
  expect_kept(build, fitted);
  // Every other order is no better.
  std::array<std::size_t, 4> order{0, 1, 2, 3};
  const std::array chambers{64.0, 64.2, 63.9, 64.1};
  do {
    double least = 1e9;
    double greatest = 0;
    for (std::size_t i = 0; i < 4; ++i) {
      const double ratio = 1 + swept / clearance(chambers.at(i), 0.041, 0.020, dishes.at(order.at(i)));
      least = std::min(least, ratio);
      greatest = std::max(greatest, ratio);
    }
    EXPECT_GE(greatest - least, best - 1e-9);
  } while (std::next_permutation(order.begin(), order.end()));
}

TEST(CompressionMistakes, CleanVolumesHaveNone) {
  build::Build build = volumes_build();
  read_intake(build);
  build.readings[0].again = {measure(64.3, cc, "cc", quantity::Dimension::volume)};
  for (const Mistake& mistake : prove(build).mistakes) {
    ADD_FAILURE() << mistake.id << ": " << mistake.says;
  }
}

TEST(CompressionMistakes, FillsThatScatter) {
  build::Build build = volumes_build();
  build.readings[0].again = {measure(64.8, cc, "cc", quantity::Dimension::volume)};
  EXPECT_EQ(only(prove(build), "compression.fills_scatter").cylinder, 1);
}

TEST(CompressionMistakes, OneChamberWithASunkValve) {
  build::Build build = volumes_build();
  build.readings[4].volume = ccs(65.6);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"compression.odd_chamber"});
  EXPECT_EQ(only(report, "compression.odd_chamber").cylinder, 3);
}

TEST(CompressionMistakes, AGasketSmallerThanTheBore) {
  build::Build build = volumes_build();
  build.gasket->bore = inches(3.98);
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"compression.gasket_under_bore"});
}

TEST(CompressionMistakes, AClosingTakenFarOffTheSeat) {
  build::Build build = volumes_build();
  read_intake(build, "37 ABDC", 0.050);
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"compression.closing_off_seat"});
}

TEST(CompressionMistakes, ADomeCountedTwice) {
  build::Build build = volumes_build();
  build.crowns->dish = ccs(-7);
  build::Reading fill = poured(ReadingKind::piston_fill, 2, disc_of_4 * 0.5 - 14);
  fill.depth = inches4(0.5);
  fill.gauge = "dial";
  build.readings.push_back(fill);
  EXPECT_EQ(only(prove(build), "compression.dome_twice").cylinder, 2);
  build.readings.back().volume = ccs(disc_of_4 * 0.5 - 7);
  EXPECT_TRUE(prove(build).mistakes.empty());
}

TEST(CompressionProperties, UnitsDoNotMatter) {
  build::Build other = volumes_build();
  for (auto& reading : other.readings) {
    if (reading.volume) {
      reading.volume =
          quantity::Volume::typed(reading.volume->si(), fmt::format("{} L", reading.volume->si() * 1e3));
    }
  }
  const Report one = prove(volumes_build());
  const Report two = prove(other);
  ASSERT_EQ(one.findings.size(), two.findings.size());
  for (std::size_t i = 0; i < one.findings.size(); ++i) {
    EXPECT_EQ(one.findings[i].value, two.findings[i].value) << one.findings[i].id;
  }
}

TEST(CompressionProperties, RenumberingCylindersRenumbersTheFindings) {
  const std::vector<int> to{3, 1, 4, 2};
  build::Build build = volumes_build();
  build.tools.erase("burette");  // usual instruments, so that there is doubt to compare
  for (auto& reading : build.readings) {
    reading.tester.reset();
    reading.gauge.reset();
  }
  expect_renumbered(prove(build, {.advise = false}), prove(renumbered(build, to), {.advise = false}), to);
}

TEST(CompressionStation, VolumesThatLeaveNoRoomGiveNoRatioAndSaySo) {
  build::Build build = volumes_build();
  build.crowns->dish = ccs(-120);
  const Report report = prove(build);
  EXPECT_FALSE(finding(report, "compression.static_ratio", of(1)).value.has_value());
  EXPECT_NE(finding(report, "compression.static_ratio", of(1)).needs.find("room"), std::string::npos);
}

}  // namespace
}  // namespace fettle::stations::test
