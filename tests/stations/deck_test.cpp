#include <gtest/gtest.h>

#include "stations/block_bench.h"

namespace fettle::stations::test {
namespace {

using build::PistonPlace;

/// Block 9.025 in, compression height 1.565 in: the pistons stand 9.025 - (1.740 + 5.700 + 1.565) = 0.020 in
/// below.
build::Build deck_build(const std::vector<double>& below_in = {0.020, 0.021, 0.019, 0.020}) {
  build::Build build = block_build();
  build.deck.emplace();
  build.deck->height = inches(9.025);
  build.crowns.emplace();
  build.crowns->compression_height = inches(1.565);
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    build.readings.push_back(deck_at_tdc(cylinder, below_in.at(static_cast<std::size_t>(cylinder - 1))));
  }
  return build;
}

Where bank(int number) {
  return {{}, {}, {}, "bank", number};
}

TEST(DeckStation, ClearanceIsHeldAgainstThatOfTheParts) {
  const Report report = prove(deck_build());
  EXPECT_NEAR(value_of(report, "deck.computed") / inch, 0.020, 1e-9);
  EXPECT_NEAR(value_of(report, "deck.clearance", of(2)) / inch, 0.021, 1e-9);
  EXPECT_NEAR(value_of(report, "deck.error", of(2)) / inch, 0.001, 1e-9);
  EXPECT_NEAR(value_of(report, "deck.spread") / inch, 0.002, 1e-9);
}

/// With an offset pin the piston is highest at sqrt((r + l)^2 - d^2), plane geometry.
TEST(DeckStation, AnOffsetPinLowersThePistonOfTheParts) {
  build::Build build = deck_build();
  build.engine.pin_offset = inches(0.060);
  const double height = std::sqrt(7.44 * 7.44 - 0.06 * 0.06);
  EXPECT_NEAR(value_of(prove(build), "deck.computed") / inch, 9.025 - height - 1.565, 1e-9);
}

TEST(DeckStation, FrontAndRearOverThePinAreAveragedAndEdgesAreNot) {
  build::Build build = deck_build();
  build.readings[0] = deck_at_tdc(1, 0.018, PistonPlace::front);
  build.readings.push_back(deck_at_tdc(1, 0.024, PistonPlace::rear));
  build.readings.push_back(deck_at_tdc(1, 0.012, PistonPlace::inboard));
  build.readings.push_back(deck_at_tdc(1, 0.026, PistonPlace::outboard));
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "deck.clearance", of(1)) / inch, 0.021, 1e-9);
  const Finding& across = finding(report, "deck.tilt_across", bank(1));
  EXPECT_NEAR(*across.value / inch, 0.014, 1e-9);
  // Each edge rocks by up to 0.008 in: u = 0.008/sqrt(3) twice.
  EXPECT_NEAR(across.u / inch, 0.008 * std::sqrt(2.0 / 3), 1e-5);
}

/// Least squares through 0.010, 0.013, 0.016, 0.019 is the line itself: 0.009 from first to last.
TEST(DeckStation, TiltAlongIsTheFallOfTheLineThroughTheBank) {
  const Report report = prove(deck_build({0.010, 0.013, 0.016, 0.019}));
  EXPECT_NEAR(value_of(report, "deck.tilt_along", bank(1)) / inch, 0.009, 1e-9);
}

TEST(DeckStation, BanksOfAVAreJudgedEachForItself) {
  build::Build build = block_build();
  build.engine.layout = "V4";
  build.engine.firing_order = {1, 3, 2, 4};
  for (const auto& [cylinder, below] : {std::pair{1, 0.010}, {2, 0.030}, {3, 0.016}, {4, 0.028}}) {
    build.readings.push_back(deck_at_tdc(cylinder, below));
  }
  EXPECT_EQ(find(prove(build), "deck.tilt_along", bank(1)), nullptr);  // which bank is whose is not said
  build.engine.banks = {{1, 3}, {2, 4}};
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "deck.tilt_along", bank(1)) / inch, 0.006, 1e-9);
  EXPECT_NEAR(value_of(report, "deck.tilt_along", bank(2)) / inch, -0.002, 1e-9);
}

TEST(DeckStation, WhatWasCutSinceIsTakenOff) {
  build::Build build = deck_build();
  build.deck->cut = inches(0.005);
  Report report = prove(build);
  // Read with the deck as it is: the clearance stands, and the parts give less.
  EXPECT_NEAR(value_of(report, "deck.clearance", of(1)) / inch, 0.020, 1e-9);
  EXPECT_NEAR(value_of(report, "deck.computed") / inch, 0.015, 1e-9);
  for (auto& reading : build.readings) {
    reading.cut = inches(0);
  }
  report = prove(build);
  EXPECT_NEAR(value_of(report, "deck.clearance", of(1)) / inch, 0.015, 1e-9);
  EXPECT_NEAR(value_of(report, "deck.error", of(1)) / inch, 0.0, 1e-9);
}

TEST(DeckChanges, CuttingBringsTheQuenchIntoItsLimitsAndKeepsItsWord) {
  build::Build build = volumes_build();
  read_intake(build);
  const Report report = prove(build);
  // Quench is 0.061 in where common practice has 0.038 to 0.050 in.
  const Correction& cut = correction(report, "deck.cut");
  int moved = 0;
  for (const Effect& effect : cut.effects) {
    if (effect.from.id == "compression.quench") {
      EXPECT_NEAR(*effect.to.value / inch, 0.044, 1e-6);
      EXPECT_EQ(effect.to.verdict, metrology::Verdict::holds);
      ++moved;
    }
    if (effect.from.id == "compression.static_ratio") {
      EXPECT_GT(*effect.to.value, *effect.from.value);
    }
  }
  EXPECT_EQ(moved, 4);
  EXPECT_EQ(cut.operations.size(), 5U);  // four readings of the deck say that nothing was off yet
  expect_kept(build, cut);
}

TEST(DeckMistakes, CleanDecksHaveNone) {
  for (const Mistake& mistake : prove(deck_build()).mistakes) {
    ADD_FAILURE() << mistake.id << ": " << mistake.says;
  }
}

TEST(DeckMistakes, PartsThatAreNotWhatTheirSheetsSay) {
  build::Build build = deck_build();
  build.crowns->compression_height = inches(1.545);
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"deck.parts_disagree"});
}

TEST(DeckMistakes, OneWrongPiston) {
  const Report report = prove(deck_build({0.020, 0.021, 0.035, 0.020}));
  EXPECT_EQ(mistake_ids(report), Ids{"deck.odd_piston"});
  EXPECT_EQ(only(report, "deck.odd_piston").cylinder, 3);
}

TEST(DeckMistakes, ADeckOutOfSquare) {
  const Report report = prove(deck_build({0.015, 0.018, 0.021, 0.024}));
  EXPECT_EQ(mistake_ids(report), Ids{"deck.bank_tilt"});
}

TEST(DeckProperties, RenumberingCylindersRenumbersTheFindings) {
  build::Build build = deck_build();
  build.engine.banks = {{1, 2, 3, 4}};
  for (auto& reading : build.readings) {
    reading.gauge.reset();
  }
  const std::vector<int> to{3, 1, 4, 2};
  expect_renumbered(prove(build, {.advise = false}), prove(renumbered(build, to), {.advise = false}), to);
}

TEST(DeckProperties, UnitsDoNotMatter) {
  build::Build metric = deck_build();
  for (auto& reading : metric.readings) {
    reading.below =
        build::Length::typed(reading.below->si(), fmt::format("{} mm", reading.below->si() * 1e3));
  }
  const Report one = prove(deck_build());
  const Report other = prove(metric);
  ASSERT_EQ(one.findings.size(), other.findings.size());
  for (std::size_t i = 0; i < one.findings.size(); ++i) {
    EXPECT_EQ(one.findings[i].value, other.findings[i].value) << one.findings[i].id;
  }
}

}  // namespace
}  // namespace fettle::stations::test
