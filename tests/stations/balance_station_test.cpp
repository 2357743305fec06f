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

/// Pistons and rods weighed one by one: piston and ends by their marks.
struct Loose {
  std::vector<double> pistons, small_ends, big_ends;  // more than those of weigh(), g
};
void weigh_loose(build::Build& build, const Loose& loose) {
  build.readings.clear();
  for (std::size_t i = 0; i < loose.pistons.size(); ++i) {
    const int mark = static_cast<int>(i) + 1;
    build::Reading piston = weighed(WeighedItem::piston, {}, 540 + loose.pistons[i]);
    piston.piston = mark;
    build::Reading small = weighed(WeighedItem::small_end, {}, 180 + loose.small_ends[i]);
    build::Reading big = weighed(WeighedItem::big_end, {}, 420 + loose.big_ends[i]);
    small.rod = big.rod = mark;
    build.readings.insert(build.readings.end(), {piston, small, big});
  }
  for (const auto& [item, mass] :
       {std::pair{WeighedItem::pin, 120.0}, {WeighedItem::rings, 40.0}, {WeighedItem::locks, 4.0}}) {
    build.readings.push_back(weighed(item, {}, mass));
  }
}
const Loose eight{
    {0, 3, 1, 2, 4, 1.5, 2.5, 3.5}, {1, 0, 0.5, 2, 1.5, 2.5, 3, 0.8}, {0, 2, 4, 1, 3, 2.5, 1.5, 0.5}};

double spread_of(const std::vector<double>& values) {
  const auto [least, greatest] = std::minmax_element(values.begin(), values.end());
  return *greatest - *least;
}

const Correction* correction_of(const Report& report, std::string_view id) {
  const auto found = std::find_if(report.corrections.begin(), report.corrections.end(),
                                  [&](const Correction& one) { return one.id == id; });
  return found == report.corrections.end() ? nullptr : &*found;
}

double effect_of(const Correction& one, std::string_view id) {
  for (const Effect& effect : one.effects) {
    if (effect.from.id == id) {
      return effect.to.value.value();
    }
  }
  throw std::runtime_error(fmt::format("{} does not move", id));
}

// The heaviest piston on the lightest small end, and so on: no other pairing lies closer together, as going
// through all of them shows.
TEST(BalanceFitting, PistonsGoToRodsAsTheBestOfAllPairingsHasIt) {
  build::Build build = inline_four();
  const Loose four{{0, 3, 1, 2.2}, {1, 0, 0.5, 2}, {0, 0, 0, 0}};
  weigh_loose(build, four);
  std::vector<std::size_t> order{0, 1, 2, 3};
  double best = 1e9;
  do {
    std::vector<double> sums;
    for (std::size_t i = 0; i < order.size(); ++i) {
      sums.push_back(four.pistons[order[i]] + four.small_ends[i]);
    }
    best = std::min(best, spread_of(sums));
  } while (std::next_permutation(order.begin(), order.end()));
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "balance.reciprocating_spread") / gram, 3.2, 1e-9);  // 1, 3, 1.5, 4.2
  const Correction& fitted = correction(report, "balance.pistons");
  EXPECT_NEAR(effect_of(fitted, "balance.reciprocating_spread") / gram, best, 1e-9);
  expect_kept(build, fitted);
}

// The V8: sets of the closest reciprocating weight (heaviest piston on lightest small end leaves 3 to 4 g
// over the common weight, and nothing can be closer), then of all 40320 ways to put the eight sets on four
// pins the one that lies closest together.
TEST(BalanceFitting, SetsGoToPinsAsTheBestOfAllOrdersHasIt) {
  build::Build build = vee_eight();
  weigh_loose(build, eight);
  const Report report = prove(build);
  const Correction& fitted = correction(report, "balance.sets");
  EXPECT_NEAR(effect_of(fitted, "balance.reciprocating_spread") / gram, 1, 1e-9);
  const build::Build then = accepted(build, fitted);
  std::vector<double> sets;
  for (std::size_t i = 0; i < 8; ++i) {
    const auto rod = static_cast<std::size_t>(then.rods->fitted.at(i) - 1);
    const auto piston = static_cast<std::size_t>(then.bores->pistons.at(i) - 1);
    sets.push_back(eight.big_ends[rod] + 0.5 * (eight.small_ends[rod] + eight.pistons[piston]));
  }
  const auto pins = [](const std::vector<double>& by_cylinder) {
    std::vector<double> sums;
    for (std::size_t pin = 0; pin < 4; ++pin) {
      sums.push_back(by_cylinder[2 * pin] + by_cylinder[2 * pin + 1]);
    }
    return spread_of(sums);
  };
  EXPECT_NEAR(effect_of(fitted, "balance.pin_spread") / gram, pins(sets), 1e-9);
  std::vector<double> order = sets;
  std::sort(order.begin(), order.end());
  double best = 1e9;
  do {
    best = std::min(best, pins(order));
  } while (std::next_permutation(order.begin(), order.end()));
  EXPECT_NEAR(pins(sets), best, 1e-9);
  EXPECT_LT(best, value_of(report, "balance.pin_spread") / gram);
  expect_kept(build, fitted);
}

// Clearances of the rods go with the rods: their housings stand on other journals then.
TEST(BalanceFitting, ARodTakesItsHousingAlong) {
  build::Build build = vee_eight();
  weigh_loose(build, eight);
  const auto read = [&](build::ReadingKind kind, int cylinder, double diameter) {
    build::Reading reading = of_part(kind, cylinder);
    reading.diameter = inches4(diameter);
    reading.gauge = "dial";
    build.readings.push_back(reading);
  };
  for (int cylinder = 1; cylinder <= 8; ++cylinder) {
    read(build::ReadingKind::journal_diameter, cylinder, 2.1 - 0.0001 * cylinder);
    read(build::ReadingKind::bearing_bore, cylinder, 2.1020 + 0.0001 * cylinder);
  }
  const Report report = prove(build);
  const Correction& fitted = correction(report, "balance.sets");
  const build::Build then = accepted(build, fitted);
  const Report after = prove(then, {.advise = false});
  for (int cylinder = 1; cylinder <= 8; ++cylinder) {
    const int rod = then.rods->fitted.at(static_cast<std::size_t>(cylinder - 1));
    EXPECT_NEAR(value_of(after, "bottom_end.rod_clearance", of(cylinder)) / inch,
                0.0020 + 0.0001 * rod + 0.0001 * cylinder, 1e-9);
  }
  expect_kept(build, fitted);
}

TEST(BalanceFitting, APistonThatWouldBeTooTightStaysOut) {
  build::Build build = inline_four();
  weigh_loose(build, {{0, 3, 0, 3}, {0, 3, 0, 3}, {0, 0, 0, 0}});
  // By weight alone 1 and 2, and 3 and 4, would change places; but bores 1 and 2 are for their own pistons.
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    const double size = cylinder == 1 ? 3.990 : 4.0;
    build::Reading bore = of_part(build::ReadingKind::bore_diameter, cylinder);
    bore.diameter = inches4(size);
    bore.gauge = "dial";
    build::Reading piston = of_part(build::ReadingKind::piston_diameter);
    piston.piston = cylinder;
    piston.diameter = inches4(size - 0.0022);
    piston.gauge = "dial";
    build.readings.insert(build.readings.end(), {bore, piston});
  }
  const Report report = prove(build);
  const Correction* fitted = correction_of(report, "balance.pistons");
  if (fitted != nullptr) {
    EXPECT_EQ(accepted(build, *fitted).bores->pistons.front(), 1);
  }
  for (const Correction& one : report.corrections) {
    for (const Effect& effect : one.effects) {
      if (one.id.starts_with("balance.") && effect.from.id == "bore.piston_clearance") {
        EXPECT_NE(effect.to.verdict, metrology::Verdict::fails) << one.id;
      }
    }
  }
}

// What can only be lowered comes to the lightest; a part that has too little to spare holds all the others
// up.
TEST(BalanceFitting, MetalComesOffDownToTheLightest) {
  build::Build build = inline_four();
  weigh_loose(build, {{0, 2, 1, 0}, {0, 0, 1, 0}, {0, 1, 0, 2}});
  const Report report = prove(build);
  const Correction& off = correction(report, "balance.lighten");
  EXPECT_NEAR(effect_of(off, "balance.reciprocating_spread") / gram, 0, 1e-9);
  expect_kept(build, off);
  const build::Build then = accepted(build, off);
  const auto taken = [&](WeighedItem item, int number) {
    double sum = 0;
    for (const auto& one : then.balance->taken_off) {
      sum += one.item == item && one.number == number ? one.amount.si() / gram : 0;
    }
    return sum;
  };
  EXPECT_NEAR(taken(WeighedItem::piston, 2), 2, 1e-9);
  EXPECT_NEAR(taken(WeighedItem::piston, 3), 2, 1e-9);
  EXPECT_NEAR(taken(WeighedItem::big_end, 2), 1, 1e-9);
  EXPECT_NEAR(taken(WeighedItem::big_end, 4), 2, 1e-9);
  EXPECT_EQ(then.balance->taken_off.size(), 4U);
  EXPECT_EQ(correction_of(prove(then), "balance.lighten"), nullptr);  // and nothing is left to do
}

TEST(BalanceFitting, NoMoreComesOffThanAPartHasToSpare) {
  build::Build build = inline_four();
  weigh_loose(build, {{0, 8, 2, 0}, {0, 0, 0, 0}, {0, 0, 0, 0}});
  build.balance->spare = {{WeighedItem::piston, grams(4)}, {WeighedItem::small_end, grams(1)}};
  const Report report = prove(build);
  const Correction& off = correction(report, "balance.lighten");
  // 8 less 4 and 1 is 3: what is heavier than that comes down to it, the rest stays.
  EXPECT_NEAR(effect_of(off, "balance.reciprocating_spread") / gram, 3, 1e-9);
  const build::Build then = accepted(build, off);
  ASSERT_EQ(then.balance->taken_off.size(), 2U);
  EXPECT_NEAR(then.balance->taken_off[0].amount.si() / gram + then.balance->taken_off[1].amount.si() / gram,
              5, 1e-9);
  expect_kept(build, off);
}

TEST(BalanceFitting, RenumberingTheCylindersRenumbersThePistons) {
  build::Build build = inline_four();
  weigh_loose(build, {{0, 3, 1, 2.2}, {1, 0, 0.5, 2}, {0, 0, 0, 0}});
  build.rods.emplace();
  build.bores.emplace();
  build.rods->fitted = {1, 2, 3, 4};
  build.bores->pistons = {1, 2, 3, 4};
  const std::vector<int> to{3, 1, 4, 2};
  build::Build other = renumbered(build, to);
  for (std::size_t i = 0; i < to.size(); ++i) {
    // The same pistons and rods stand in the cylinders, whose numbers alone are new.
    other.rods->fitted.at(static_cast<std::size_t>(to[i] - 1)) = build.rods->fitted[i];
    other.bores->pistons.at(static_cast<std::size_t>(to[i] - 1)) = build.bores->pistons[i];
  }
  const auto one = accepted(build, correction(prove(build), "balance.pistons")).bores->pistons;
  const auto two = accepted(other, correction(prove(other), "balance.pistons")).bores->pistons;
  for (std::size_t i = 0; i < to.size(); ++i) {
    EXPECT_EQ(one[i], two.at(static_cast<std::size_t>(to[i] - 1)));
  }
}

TEST(BalanceFitting, PartsByMarkAreCheckedAsTheyAreRead) {
  const auto refused = [](const char* field, auto change) {
    build::Build build = inline_four();
    weigh_loose(build, {{0, 0, 0, 0}, {0, 0, 0, 0}, {0, 0, 0, 0}});
    build.balance.emplace();
    change(build);
    const auto problems = build::read_document(build::write_build(build)).problems;
    EXPECT_TRUE(std::any_of(problems.begin(), problems.end(), [&](const auto& one) {
      return one.message().find(field) != std::string::npos;
    })) << field;
  };
  refused("rod", [](auto& build) { build.readings[0].rod = 1; });
  refused("piston", [](auto& build) { build.readings[1].piston = 1; });
  refused("fitted", [](auto& build) {
    build.rods.emplace();
    build.rods->fitted = {1, 2, 2, 4};
  });
  refused("taken_off", [](auto& build) { build.balance->taken_off = {{WeighedItem::pin, 1, grams(1)}}; });
  refused("spare", [](auto& build) { build.balance->spare = {{WeighedItem::rings, grams(1)}}; });
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
