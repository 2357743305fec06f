#include <gtest/gtest.h>

#include "stations/block_bench.h"

namespace fettle::stations::test {
namespace {

using build::WeighedItem;

/// Weights of one cylinder, g: the rod is 600, its ends 420 and 180; with bearing 45 and piston, pin, rings
/// and locks 540, 120, 40 and 4 that is 465 rotating and 884 reciprocating.
constexpr double rotating = 465;
constexpr double reciprocating = 884;

void weigh(build::Build& build, std::optional<int> cylinder, double more_piston = 0) {
  for (const auto& [item, mass] : {std::pair{WeighedItem::big_end, 420.0},
                                   {WeighedItem::small_end, 180.0},
                                   {WeighedItem::whole_rod, 600.0},
                                   {WeighedItem::rod_bearing, 45.0},
                                   {WeighedItem::piston, 540.0 + more_piston},
                                   {WeighedItem::pin, 120.0},
                                   {WeighedItem::rings, 40.0},
                                   {WeighedItem::locks, 4.0}}) {
    build.readings.push_back(weighed(item, cylinder, mass));
  }
}

build::Build inline_four() {
  build::Build build = block_build();
  build.balance.emplace();
  build.balance->speed = quantity::RotationalSpeed::typed(6000 * 2 * std::numbers::pi / 60, "6000 rpm");
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    weigh(build, cylinder);
  }
  return build;
}

build::Build vee_eight() {
  build::Build build = inline_four();
  build.engine.layout = "V8";
  build.engine.firing_order = {1, 8, 4, 3, 6, 5, 7, 2};
  build.engine.bank_angle = angle(90);
  build.engine.banks = {{1, 3, 5, 7}, {2, 4, 6, 8}};
  build.balance->bore_spacing = inches(4.4);
  build.balance->bank_stagger = inches(0);
  build.readings.clear();
  weigh(build, {});
  return build;
}

TEST(BalanceStation, MassesAreSummedByWhatTheyDo) {
  const Report report = prove(inline_four());
  EXPECT_NEAR(value_of(report, "balance.rotating_mass", of(1)) / gram, rotating, 1e-9);
  EXPECT_NEAR(value_of(report, "balance.reciprocating_mass", of(1)) / gram, reciprocating, 1e-9);
  EXPECT_NEAR(value_of(report, "balance.rod_closure", of(1)) / gram, 0, 1e-9);
  EXPECT_NEAR(value_of(report, "balance.weight_spread", {{}, {}, {}, "piston", {}}) / gram, 0, 1e-9);
  EXPECT_EQ(find(report, "balance.bobweight", {}), nullptr);  // an engine in line has none
}

TEST(BalanceStation, WhatIsNotWeighedIsSaid) {
  build::Build build = inline_four();
  std::erase_if(build.readings, [](const auto& one) {
    return one.item == WeighedItem::rings || one.item == WeighedItem::small_end;
  });
  const Finding& mass = finding(prove(build), "balance.reciprocating_mass", of(1));
  // The small end is what the whole rod weighs more than its big end.
  EXPECT_NEAR(*mass.value / gram, reciprocating - 40, 1e-9);
  EXPECT_EQ(mass.basis, "without rings");
}

// 2 (big end + bearing) + (piston + pin + locks + rings + small end) + oil (common practice, no source).
TEST(BalanceStation, BobweightOfAVEight) {
  build::Build build = vee_eight();
  const Finding& bobweight = finding(prove(build), "balance.bobweight");
  EXPECT_NEAR(*bobweight.value / gram, 2 * rotating + reciprocating + 5, 1e-9);
  build.balance->oil = grams(4);
  build.balance->crank_bobweight = grams(1800);
  EXPECT_NEAR(value_of(prove(build), "balance.bobweight_error") / gram,
              2 * rotating + reciprocating + 4 - 1800, 1e-9);
}

TEST(BalanceStation, ATwinsFactorCountsAsItIsDefined) {
  build::Build build = vee_eight();
  build.engine.layout = "V2";
  build.engine.firing_order = {1, 2};
  build.engine.firing_intervals = {angle(315), angle(405)};
  build.engine.bank_angle = angle(45);
  build.engine.banks = {{1}, {2}};
  Report report = prove(build);
  EXPECT_NE(finding(report, "balance.bobweight").needs.find("factor"), std::string::npos);
  build.balance->factor = 0.6;
  EXPECT_NEAR(value_of(prove(build), "balance.bobweight") / gram, 2 * (rotating + 0.6 * reciprocating) + 5,
              1e-9);
  build.balance->factor_of = build::FactorOf::all;
  EXPECT_NEAR(value_of(prove(build), "balance.bobweight") / gram, 2 * 0.6 * (rotating + reciprocating) + 5,
              1e-9);
}

// Inline four: primaries cancel, secondaries add: 4 m r w^2 (lambda + lambda^3/4 + 15 lambda^5/128) (Heywood;
// Taylor, *The Internal Combustion Engine in Theory and Practice*).
TEST(BalanceStation, AnInlineFourShakesTwiceATurn) {
  build::Build build = inline_four();
  build.balance->bore_spacing = inches(4.4);
  const Report report = prove(build);
  const double lambda = 1.74 / 5.7;
  const double harmonic = lambda + std::pow(lambda, 3) / 4 + 15 * std::pow(lambda, 5) / 128;
  const double speed = 6000 * 2 * std::numbers::pi / 60;
  const double force = 4 * reciprocating * gram * 1.74 * inch * speed * speed * harmonic;
  EXPECT_NEAR(value_of(report, "balance.primary_force"), 0, 1e-6 * force);
  // The series leaves out terms of lambda^7: some 2e-5 of it.
  EXPECT_NEAR(value_of(report, "balance.secondary_force") / force, 1, 1e-4);
  EXPECT_NEAR(value_of(report, "balance.primary_moment"), 0, 1e-6 * force);
  EXPECT_NEAR(value_of(report, "balance.secondary_moment"), 0, 1e-6 * force);
}

// A 90-degree V8 on a cross-plane crank with half of what reciprocates in its bobweights: no force and no
// moment of the first and second order (Taylor; two cylinders at right angles on one pin make a vector that
// turns with it).
TEST(BalanceStation, AVEightOfNinetyDegreesIsBalanced) {
  build::Build build = vee_eight();
  const Report report = prove(build);
  const double speed = 6000 * 2 * std::numbers::pi / 60;
  const double one = reciprocating * gram * 1.74 * inch * speed * speed;
  for (const char* id : {"balance.primary_force", "balance.secondary_force", "balance.primary_moment",
                         "balance.secondary_moment"}) {
    EXPECT_NEAR(value_of(report, id), 0, 1e-6 * one) << id;
  }
  // Banks named the other way round are the same engine.
  std::swap(build.engine.banks[0], build.engine.banks[1]);
  EXPECT_NEAR(value_of(prove(build), "balance.primary_moment"), 0, 1e-6 * one);
}

// Without the bobweights' half of what reciprocates the first order of each pin turns with it, and the moment
// of a cross-plane crank stays.
TEST(BalanceStation, ACrankBalancedTooLightShakesWithItsPins) {
  build::Build build = vee_eight();
  build.balance->crank_bobweight = grams(2 * rotating + 5);
  const Report report = prove(build);
  const double speed = 6000 * 2 * std::numbers::pi / 60;
  const double of_pin = reciprocating * gram * 1.74 * inch * speed * speed;
  // Throws of cylinders 1, 3, 5, 7 at 0, 90, -90, 180 degrees, at -1.5, -0.5, 0.5, 1.5 spacings:
  // -1.5 + -0.5 i + 0.5 (-i) + 1.5 (-1) = -3 - i, times the force of a pin.
  EXPECT_NEAR(value_of(report, "balance.primary_moment") / (std::sqrt(10.0) * 4.4 * inch * of_pin), 1, 1e-6);
  EXPECT_NEAR(value_of(report, "balance.primary_force"), 0, 1e-6 * of_pin);
}

TEST(BalanceMistakes, MatchedPartsHaveNone) {
  for (const Mistake& mistake : prove(inline_four()).mistakes) {
    ADD_FAILURE() << mistake.id << ": " << mistake.says;
  }
}

TEST(BalanceMistakes, EndsThatDoNotMakeUpTheRod) {
  build::Build build = inline_four();
  build.readings[0].mass = grams(424);
  build.readings[8].mass = grams(420.5);
  const Report report = prove(build);
  EXPECT_EQ(only(report, "balance.rod_ends").cylinder, 1);
}

TEST(BalanceMistakes, OnePistonHeavierThanTheOthers) {
  build::Build build = inline_four();
  build.readings[12].mass = grams(546);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"balance.odd_weight"});
  EXPECT_EQ(only(report, "balance.odd_weight").cylinder, 2);
  EXPECT_EQ(finding(report, "balance.weight_spread", {{}, {}, {}, "piston", {}}).verdict,
            metrology::Verdict::fails);
}

TEST(BalanceProperties, RenumberingCylindersRenumbersTheFindings) {
  build::Build build = inline_four();
  build.engine.banks = {{1, 2, 3, 4}};
  build.balance->bore_spacing = inches(4.4);
  build.readings[4].mass = grams(541);
  build.readings[12].mass = grams(539);
  for (auto& reading : build.readings) {
    reading.tester.reset();
  }
  const std::vector<int> to{4, 3, 2, 1};
  expect_renumbered(prove(build, {.advise = false}), prove(renumbered(build, to), {.advise = false}), to);
}

TEST(BalanceProperties, UnitsDoNotMatter) {
  build::Build other = inline_four();
  for (auto& reading : other.readings) {
    reading.mass =
        build::Mass::typed(reading.mass->si(), fmt::format("{} oz", reading.mass->si() / 0.028349523125));
  }
  const Report one = prove(inline_four());
  const Report two = prove(other);
  ASSERT_EQ(one.findings.size(), two.findings.size());
  for (std::size_t i = 0; i < one.findings.size(); ++i) {
    EXPECT_EQ(one.findings[i].value, two.findings[i].value) << one.findings[i].id;
  }
}

}  // namespace
}  // namespace fettle::stations::test
