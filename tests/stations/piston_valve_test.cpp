#include <map>

#include <gtest/gtest.h>

#include "stations/top_end.h"

namespace fettle::stations::test {
namespace {

using build::ReadingKind;

constexpr double valve_angle = 15 * degree;
constexpr double ratio = 1.5;

/// An invented V8 with cylinder 1's lobes swept, valves at 15 degrees to the bore, and a gasket.
build::Build clearance_build(invented::Shop& shop) {
  build::Build build = shop.parts();
  build.valves.emplace();
  build.valves->intake.emplace();
  build.valves->intake->angle = angle(15);
  build.valves->exhaust = build.valves->intake;
  build.gasket.emplace();
  build.gasket->thickness = inches(0.040);
  build.gasket->choices = {inches(0.028), inches(0.040), inches(0.052)};
  shop_stop(build, shop);
  build.readings.push_back(shop.lobe_sweep({1, Valve::intake}));
  build.readings.push_back(shop.lobe_sweep({1, Valve::exhaust}));
  return build;
}

build::Reading drop_reading(const LobeKey& key, double drop) {
  build::Reading reading = at_valve(ReadingKind::valve_drop, key);
  reading.drop = build::Length::from_si(drop);
  reading.lift_tool = "dial";
  return reading;
}

/// What is true: the drop at an angle, and the least of it less the lift, by brute force every 0.05 degree.
struct Truth {
  double drop_at_tdc;
  const invented::Shop& shop;
  LobeKey key;

  double drop(double crank_angle) const {
    return drop_at_tdc + std::cos(valve_angle) * shop.crank().depth(crank_angle);
  }
  double clearance(double advance) const {
    double least = 1;
    for (double at = -60; at <= 60; at += 0.05) {
      const double lift = ratio * shop.lift(key, at * degree + advance);
      least = std::min(least, drop(at * degree) - std::max(0.0, lift));
    }
    return least;
  }
};

double value_of(const Report& report, std::string_view id, const Where& where) {
  return finding(report, id, where).value.value();
}

TEST(PistonValveStation, LeastClearanceIsThatOfBruteForce) {
  invented::Shop shop(3);
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    build::Build build = clearance_build(shop);
    const LobeKey key{1, valve};
    const Truth truth{0.200 * inch, shop, key};
    build.readings.push_back(drop_reading(key, truth.drop_at_tdc));
    const Report report = prove(build);
    const Finding& clearance = finding(report, "piston_valve.clearance", of(1, valve));
    EXPECT_NEAR(*clearance.value, truth.clearance(0), clearance.expanded + 1e-6);
    EXPECT_LT(clearance.expanded, 0.010 * inch);
    const double closest = degrees(report, "piston_valve.closest", of(1, valve));
    EXPECT_GT(valve == Valve::intake ? closest : -closest, 2);
    EXPECT_LT(std::abs(closest), 25);
  }
}

TEST(PistonValveStation, MapOfDropsAgreesWithOneAtTdc) {
  invented::Shop shop(4);
  build::Build build = clearance_build(shop);
  const LobeKey key{1, Valve::intake};
  const Truth truth{0.190 * inch, shop, key};
  build.readings.push_back(drop_reading(key, truth.drop_at_tdc));
  const Report one = prove(build);
  build::Build mapped = clearance_build(shop);
  mapped.readings = build.readings;
  for (const double at : {-20.0, -10.0, 10.0, 20.0}) {
    build::Reading reading = drop_reading(key, truth.drop(at * degree));
    reading.wheel = on_wheel(shop.truth().tdc_on_wheel + at * degree);
    reading.tool = "wheel";
    mapped.readings.push_back(std::move(reading));
  }
  const Report many = prove(mapped);
  const Finding& a = finding(one, "piston_valve.clearance", of(1, Valve::intake));
  const Finding& b = finding(many, "piston_valve.clearance", of(1, Valve::intake));
  EXPECT_NEAR(*a.value, *b.value, a.expanded);
}

TEST(PistonValveStation, CamMovementLeftIsWhereBruteForceMeetsTheLimit) {
  invented::Shop shop(5);
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    build::Build build = clearance_build(shop);
    const LobeKey key{1, valve};
    const Truth truth{0.230 * inch, shop, key};
    build.readings.push_back(drop_reading(key, truth.drop_at_tdc));
    const Report report = prove(build);
    const Finding& room = finding(report, "piston_valve.cam_room", of(1, valve));
    const double limit = *finding(report, "piston_valve.clearance", of(1, valve)).limit->min;
    // Brute force on a grid of cam positions, each a tenth of a degree from the next.
    const double way = valve == Valve::intake ? 1 : -1;
    double met = -30;
    while (met < 40 && truth.clearance(way * met * degree) > limit) {
      met += 0.1;
    }
    EXPECT_NEAR(*room.value / degree, met - 0.05, room.expanded / degree + 0.1);
    // And the clearance of a cam moved by so much is the limit.
    const auto moved = std::find_if(report.corrections.begin(), report.corrections.end(),
                                    [](const Correction& one) { return one.id == "cam.position"; });
    ASSERT_NE(moved, report.corrections.end());
    for (const Effect& effect : moved->effects) {
      if (effect.from.id == "piston_valve.cam_room" && effect.from.where == of(1, valve)) {
        const bool advanced = moved->says.starts_with("Advance");
        EXPECT_EQ(*effect.to.value < *effect.from.value, advanced == (valve == Valve::intake));
      }
    }
  }
}

TEST(PistonValveStation, GasketActsByItsCosine) {
  invented::Shop shop(6);
  build::Build build = clearance_build(shop);
  build.readings.push_back(drop_reading({1, Valve::intake}, 0.200 * inch));
  const Report report = prove(build);
  int gaskets = 0;
  for (const Correction& one : report.corrections) {
    if (one.id != "piston_valve.gasket") {
      continue;
    }
    ++gaskets;
    const double thicker = one.operations.back().value == "0.028 in" ? -0.012 : 0.012;
    for (const Effect& effect : one.effects) {
      if (effect.from.id == "piston_valve.clearance") {
        EXPECT_NEAR(*effect.to.value - *effect.from.value, thicker * inch * std::cos(valve_angle), 1e-7);
      }
    }
    EXPECT_EQ(one.operations.front().path.substr(0, 10), "/readings/");
    // Accepted, the readings keep the gasket they were taken with.
    build::Build accepted = build;
    accepted.readings.back().gasket = build.gasket->thickness;
    accepted.gasket->thickness = inches(0.040 + thicker);
    EXPECT_NEAR(value_of(prove(accepted), "piston_valve.clearance", of(1, Valve::intake)),
                value_of(report, "piston_valve.clearance", of(1, Valve::intake)) +
                    thicker * inch * std::cos(valve_angle),
                1e-7);
  }
  EXPECT_EQ(gaskets, 2);
}

TEST(PistonValveStation, ClayAloneGivesTheClearanceAndWhatTheCamDoesToIt) {
  invented::Shop shop(7);
  build::Build build = clearance_build(shop);
  build::Reading clay = gap_of(ReadingKind::clay, {1, Valve::intake}, 0.095);
  build.readings.push_back(clay);
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "piston_valve.clearance", of(1, Valve::intake)) / inch, 0.095, 1e-9);
  EXPECT_TRUE(finding(report, "piston_valve.cam_room", of(1, Valve::intake)).value.has_value());
}

TEST(PistonValveStation, AnotherCylinderTakesTheLobeThatWasRead) {
  invented::Shop shop(8);
  build::Build build = clearance_build(shop);
  build.readings.push_back(drop_reading({3, Valve::intake}, 0.200 * inch));
  const Report report = prove(build);
  const Finding& clearance = finding(report, "piston_valve.clearance", of(3, Valve::intake));
  EXPECT_TRUE(clearance.value.has_value());
  EXPECT_NE(clearance.basis.find("taken from cylinder 1"), std::string::npos);
}

TEST(PistonValveStation, AluminiumRodsAskForMore) {
  invented::Shop shop(9);
  build::Build build = clearance_build(shop);
  build.readings.push_back(drop_reading({1, Valve::intake}, 0.200 * inch));
  const double steel = *finding(prove(build), "piston_valve.clearance", of(1, Valve::intake)).limit->min;
  build.rods.emplace();
  build.rods->material = build::RodMaterial::aluminium;
  const double aluminium = *finding(prove(build), "piston_valve.clearance", of(1, Valve::intake)).limit->min;
  EXPECT_NEAR((aluminium - steel) / inch, 0.030, 1e-9);
}

/// F l/(E A) with F = m a at TDC (Heywood, *Internal Combustion Engine Fundamentals*, ch. 2: a = r w2 (1 +
/// r/l)).
TEST(PistonValveStation, RodStretchAtTheRedlineComesOff) {
  invented::Shop shop(10);
  build::Build build = clearance_build(shop);
  build.engine.pin_offset.reset();
  build.readings.push_back(drop_reading({1, Valve::intake}, 0.200 * inch));
  build.rods.emplace();
  build.rods->least_area = quantity::Area::from_si(2e-4);
  build.rods->reciprocating_mass = build::Mass::from_si(0.72);
  build.rods->redline = quantity::RotationalSpeed::from_si(600);
  const Report report = prove(build);
  const double r = build.engine.stroke.si() / 2;
  const double l = build.engine.rod_length.si();
  const double stretch = 0.72 * r * 600 * 600 * (1 + r / l) * l / (207e9 * 2e-4);
  EXPECT_NEAR(value_of(report, "piston_valve.clearance", of(1, Valve::intake)) -
                  value_of(report, "piston_valve.clearance_at_speed", of(1, Valve::intake)),
              stretch * std::cos(valve_angle), 1e-7);
}

TEST(PistonValveMistakes, CleanReadingsHaveNone) {
  for (int seed = 1; seed <= 5; ++seed) {
    invented::Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = clearance_build(shop);
    build.readings.push_back(drop_reading({1, Valve::intake}, 0.200 * inch));
    const Truth truth{0.200 * inch, shop, {1, Valve::intake}};
    build.readings.push_back(gap_of(ReadingKind::clay, {1, Valve::intake}, truth.clearance(0) / inch));
    for (const std::string& id : mistake_ids(prove(build))) {
      EXPECT_FALSE(id.starts_with("piston_valve.")) << id;
    }
  }
}

TEST(PistonValveMistakes, ClayAndDropThatDisagree) {
  invented::Shop shop(2);
  build::Build build = clearance_build(shop);
  build.readings.push_back(drop_reading({1, Valve::intake}, 0.200 * inch));
  const Truth truth{0.200 * inch, shop, {1, Valve::intake}};
  build.readings.push_back(gap_of(ReadingKind::clay, {1, Valve::intake}, truth.clearance(0) / inch + 0.040));
  EXPECT_TRUE(mistake_ids(prove(build)).contains("piston_valve.clay_disagrees"));
}

TEST(PistonValveMistakes, DropsTakenAtFullLiftOnly) {
  invented::Shop shop(2);
  build::Build build = clearance_build(shop);
  const LobeKey key{1, Valve::intake};
  const Truth truth{0.200 * inch, shop, key};
  build::Reading reading = drop_reading(key, truth.drop(108 * degree));
  reading.wheel = on_wheel(shop.truth().tdc_on_wheel + 108 * degree);
  reading.tool = "wheel";
  build.readings.push_back(reading);
  EXPECT_TRUE(mistake_ids(prove(build)).contains("piston_valve.read_at_full_lift"));
}

TEST(PistonValveMistakes, MapThatStopsShortOfTheClosestPlace) {
  invented::Shop shop(2);
  build::Build build = clearance_build(shop);
  const LobeKey key{1, Valve::intake};
  const Truth truth{0.200 * inch, shop, key};
  for (const double at : {-10.0, 0.0}) {
    build::Reading reading = drop_reading(key, truth.drop(at * degree));
    reading.wheel = on_wheel(shop.truth().tdc_on_wheel + at * degree);
    reading.tool = "wheel";
    build.readings.push_back(reading);
  }
  EXPECT_TRUE(mistake_ids(prove(build)).contains("piston_valve.least_beyond_map"));
}

TEST(PistonValveMistakes, ClayPressedOnHydraulicLifters) {
  invented::Shop shop(2);
  build::Build build = clearance_build(shop);
  build.readings.push_back(gap_of(ReadingKind::clay, {1, Valve::intake}, 0.095));
  EXPECT_FALSE(mistake_ids(prove(build)).contains("piston_valve.clay_on_hydraulic"));
  build.lifters->checking = false;
  EXPECT_TRUE(mistake_ids(prove(build)).contains("piston_valve.clay_on_hydraulic"));
}

TEST(PistonValveCoverage, ClearanceHoldsTheTruthAsOftenAsStated) {
  constexpr int draws = 500;
  std::map<std::string, int> inside;
  for (int seed = 1; seed <= draws; ++seed) {
    invented::Shop shop(static_cast<std::uint64_t>(seed) + 40000);
    std::mt19937_64 engine(static_cast<std::uint64_t>(seed));
    build::Build build = clearance_build(shop);
    build::Tool gauge;
    gauge.kind = build::ToolKind::dial_indicator;
    gauge.resolution = length_measure(0.001);
    gauge.permissible_error = length_measure(0.001);
    gauge.noise = length_measure(0.001);
    build.tools["drop gauge"] = gauge;
    DrawnTool drawn(build.tools.at("drop gauge"), engine);
    std::map<Valve, Truth> truths;
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      const Truth truth{0.240 * inch, shop, {1, valve}};
      truths.emplace(valve, truth);
      build::Reading reading = drop_reading({1, valve}, drawn.read(truth.drop_at_tdc));
      reading.lift_tool = "drop gauge";
      build.readings.push_back(std::move(reading));
    }
    const Report report = prove(build, {.advise = false});
    for (const auto& [valve, truth] : truths) {
      const std::string name = valve == Valve::intake ? " intake" : " exhaust";
      const Finding& clearance = finding(report, "piston_valve.clearance", of(1, valve));
      inside["clearance" + name] +=
          std::abs(*clearance.value - truth.clearance(0)) <= clearance.expanded ? 1 : 0;
      const Finding& room = finding(report, "piston_valve.cam_room", of(1, valve));
      // The interval holds the truth where the clearance is above the limit at its near end and below at its
      // far.
      const double way = valve == Valve::intake ? 1 : -1;
      const double limit = *clearance.limit->min;
      const bool held = truth.clearance(way * (*room.value - room.expanded)) >= limit &&
                        truth.clearance(way * (*room.value + room.expanded)) <= limit;
      inside["cam_room" + name] += held ? 1 : 0;
    }
  }
  for (const auto& [name, count] : inside) {
    const double share = static_cast<double>(count) / draws;
    EXPECT_GE(share, 0.92) << name;
    EXPECT_LE(share, 0.98) << name;
    fmt::print("  {:<44}{:6.1f} %\n", name, 100 * share);
  }
}

}  // namespace
}  // namespace fettle::stations::test
