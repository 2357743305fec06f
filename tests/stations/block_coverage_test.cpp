#include <gtest/gtest.h>

#include "stations/block_bench.h"

/// Whether the truth lies within the stated interval as often as stated, for the findings of volumes, decks,
/// fasteners and weights. The tools err as their figures say; no one error without a normal spread dominates
/// (docs/uncertainty.md).
namespace fettle::stations::test {
namespace {

using build::BoltStage;
using build::PistonPlace;
using build::ReadingKind;
using build::ToolKind;
using build::WeighedItem;
using quantity::Dimension;

constexpr int draws = 500;

build::Tool tool(ToolKind kind, build::Measure resolution, build::Measure permissible, build::Measure noise) {
  build::Tool one;
  one.kind = kind;
  one.resolution = std::move(resolution);
  one.permissible_error = std::move(permissible);
  one.noise = std::move(noise);
  return one;
}

build::Tool gauge_tool(double resolution_in, double permissible_in, double noise_in) {
  return tool(ToolKind::micrometer, length_measure(resolution_in), length_measure(permissible_in),
              length_measure(noise_in));
}

constexpr double bore = 4.0 * inch;
constexpr double disc = std::numbers::pi / 4 * bore * bore;

/// An engine of two known cylinders, read with tools drawn from one seed.
class DrawnVolumes {
 public:
  explicit DrawnVolumes(int seed) : engine_(static_cast<std::uint64_t>(seed)) {
    build.tools["burette"] =
        tool(ToolKind::burette, measure(0.1, cc, "cc", Dimension::volume),
             measure(0.15, cc, "cc", Dimension::volume), measure(0.25, cc, "cc", Dimension::volume));
    build.tools["dial"] = gauge_tool(0.0005, 0.0005, 0.0007);
    build.tools["gauge"] =
        tool(ToolKind::pressure_gauge, measure(2, psi, "psi", Dimension::pressure),
             measure(1.5, psi, "psi", Dimension::pressure), measure(2, psi, "psi", Dimension::pressure));
    build::Tool wheel = exact(ToolKind::degree_wheel);
    wheel.resolution = angle_measure(0.25);
    wheel.noise = angle_measure(0.2);
    build.tools["wheel"] = wheel;
    build.tools["lobe dial"] = exact(ToolKind::dial_indicator);
    build.gasket = build::Gasket{inches(0.041), {}, {}};
    DrawnTool burette(build.tools.at("burette"), engine_);
    DrawnTool dial(build.tools.at("dial"), engine_);
    for (int cylinder = 1; cylinder <= 2; ++cylinder) {
      add_cylinder(cylinder, burette, dial);
    }
    add_size(ReadingKind::gasket_crush, dial.read(0.041 * inch));
    add_size(ReadingKind::gasket_bore, dial.read(4.1 * inch));
    add_closing();
    add_gauges();
  }

  build::Build build = block_build();
  std::vector<double> clearances, shown;  ///< true, m³ and Pa
  double depth = 0;                       ///< of the piston where the intake closes, m

 private:
  build::Reading& add_volume(ReadingKind kind, int cylinder, double truth, DrawnTool& burette) {
    build::Reading reading = of_part(kind, cylinder);
    reading.volume = quantity::Volume::from_si(burette.read(truth));
    reading.again = {{Dimension::volume, burette.read(truth), ""},
                     {Dimension::volume, burette.read(truth), ""}};
    reading.tester = "burette";
    return build.readings.emplace_back(reading);
  }
  void add_size(ReadingKind kind, double size) {
    build::Reading reading = of_part(kind);
    reading.size = build::Length::from_si(size);
    reading.gauge = "dial";
    build.readings.push_back(reading);
  }
  /// Chambers of 66 and 68 cc, decks of 0.021 and 0.024 in, and a dish of 5 cc, poured by itself or at a
  /// depth.
  void add_cylinder(int cylinder, DrawnTool& burette, DrawnTool& dial) {
    const double chamber = (64 + 2.0 * cylinder) * cc;
    const double deck = (0.018 + 0.003 * cylinder) * inch;
    add_volume(ReadingKind::chamber_fill, cylinder, chamber, burette);
    if (cylinder == 1) {
      add_volume(ReadingKind::dish_fill, cylinder, 5 * cc, burette);
    } else {
      const double below = 0.25 * inch;
      build::Reading& fill = add_volume(ReadingKind::piston_fill, cylinder, disc * below + 5 * cc, burette);
      fill.depth = build::Length::from_si(dial.read(below));
      fill.gauge = "dial";
    }
    build::Reading reading = of_part(ReadingKind::deck_clearance, cylinder);
    reading.below = build::Length::from_si(dial.read(deck));
    reading.gauge = "dial";
    build.readings.push_back(reading);
    clearances.push_back(chamber + 5 * cc + disc * deck +
                         std::numbers::pi / 4 * std::pow(4.1 * inch, 2) * 0.041 * inch);
  }
  /// 62 degrees after BDC; depth of the piston after Heywood, ch. 2.
  void add_closing() {
    DrawnTool wheel(build.tools.at("wheel"), engine_);
    read_intake(build);
    for (auto& reading : build.readings) {
      if (reading.wheel) {
        reading.wheel = on_wheel(wheel.read(reading.wheel->number(1)));
        reading.lift_tool = reading.lift ? std::optional<std::string>("lobe dial") : std::nullopt;
      }
    }
    const double closed = 242 * degree;
    const double across = 1.74 * std::sin(closed);
    depth = (1.74 + 5.7 - 1.74 * std::cos(closed) - std::sqrt(5.7 * 5.7 - across * across)) * inch;
  }
  void add_gauges() {
    DrawnTool pressure(build.tools.at("gauge"), engine_, invented::drawn_noise_scale(EngineDraws(engine_)));
    for (int cylinder = 1; cylinder <= 2; ++cylinder) {
      shown.push_back((cylinder == 1 ? 190 : 178) * psi);
      build::Reading reading = of_part(ReadingKind::compression_gauge, cylinder);
      reading.pressure = build::Pressure::from_si(pressure.read(shown.back()));
      reading.tester = "gauge";
      build.readings.push_back(reading);
    }
  }

  std::mt19937_64 engine_;
};

TEST(BlockCoverage, VolumesAndRatiosHoldTheTruthAsOftenAsStated) {
  Coverage coverage;
  for (int seed = 1; seed <= draws; ++seed) {
    const DrawnVolumes drawn(seed);
    const Report report = prove(drawn.build, {.advise = false});
    const auto& clearances = drawn.clearances;
    const double swept = disc * 3.48 * inch;
    coverage.count(report, "compression.chamber", of(1), 66 * cc);
    coverage.count(report, "compression.crown", of(2), 5 * cc);
    coverage.count(report, "compression.clearance_volume", of(1), clearances[0]);
    coverage.count(report, "compression.static_ratio", of(2), 1 + swept / clearances[1]);
    coverage.count(report, "compression.quench", of(1), (0.021 + 0.041) * inch);
    coverage.count(report, "compression.effective_ratio", of(1), 1 + disc * drawn.depth / clearances[0]);
    coverage.count(report, "compression.gauge_pressure", of(2), drawn.shown[1]);
    coverage.count(report, "compression.chamber_spread", {}, 2 * cc);
    coverage.count(report, "compression.ratio_spread", {}, swept / clearances[0] - swept / clearances[1]);
    coverage.count(report, "compression.gauge_part", {}, drawn.shown[1] / drawn.shown[0]);
  }
  coverage.expect(draws);
}

/// Bores read in three places with one gauge; truths of each cylinder's own.
TEST(BlockCoverage, RatiosOfMeasuredBoresHoldTheTruthAsOftenAsStated) {
  Coverage coverage;
  const std::array bores{4.002 * inch, 3.997 * inch, 4.004 * inch, 4.0 * inch};
  const auto swept = [&](std::size_t i) {
    return std::numbers::pi / 4 * bores.at(i) * bores.at(i) * 3.48 * inch;
  };
  for (int seed = 1; seed <= draws; ++seed) {
    std::mt19937_64 engine(static_cast<std::uint64_t>(seed));
    build::Build build = volumes_build();
    build.tools["bore gauge"] = gauge_tool(0.0001, 0.0010, 0.0015);
    DrawnTool gauge(build.tools.at("bore gauge"), engine);
    for (std::size_t i = 0; i < bores.size(); ++i) {
      for (int place = 0; place < 3; ++place) {
        build::Reading reading = of_part(ReadingKind::bore_diameter, static_cast<int>(i) + 1);
        reading.diameter = build::Length::from_si(gauge.read(bores.at(i)));
        reading.gauge = "bore gauge";
        build.readings.push_back(reading);
      }
    }
    const Report report = prove(build, {.advise = false});
    const std::array chambers{64.0, 64.2, 63.9, 64.1};
    const auto room = [&](std::size_t i) {
      return (chambers.at(i) + 5) * cc + std::numbers::pi / 4 * bores.at(i) * bores.at(i) * 0.020 * inch +
             std::numbers::pi / 4 * std::pow(4.1 * inch, 2) * 0.041 * inch;
    };
    coverage.count(report, "compression.static_ratio", of(1), 1 + swept(0) / room(0));
    coverage.count(report, "compression.clearance_volume", of(2), room(1));
    coverage.count(report, "compression.displacement", {}, (swept(0) + swept(1) + swept(2) + swept(3)) / 4);
    coverage.count(report, "compression.ratio_spread", {}, swept(2) / room(2) - swept(1) / room(1));
  }
  coverage.expect(draws);
}

/// The exponent alone, without a normal spread, makes nearly all of the doubt of what is reckoned: there the
/// interval of 1.96 u always holds it, being wider than all it can be (JCGM 101:2008, 9.2.2 note). So that
/// the test can fail, it is the share within the rectangle's own 95 % that is counted.
TEST(BlockCoverage, ReckonedCrankingPressureIsRectangularAboutItsExponent) {
  int inside = 0;
  int inside_stated = 0;
  constexpr double of_rectangle = 0.95 * std::numbers::sqrt3;  // half width of its middle 95 %, in u
  for (int seed = 1; seed <= draws; ++seed) {
    std::mt19937_64 engine(static_cast<std::uint64_t>(seed));
    build::Build build = volumes_build();
    read_intake(build);
    const double exponent = std::uniform_real_distribution<double>(1.26, 1.34)(engine);
    const Report report = prove(build, {.advise = false});
    const double ratio = value_of(report, "compression.effective_ratio", of(1));
    const double truth = 101325 * (std::pow(ratio, exponent) - 1);
    const Finding& found = finding(report, "compression.cranking_pressure", of(1));
    inside += std::abs(*found.value - truth) <= of_rectangle * found.u ? 1 : 0;
    inside_stated += std::abs(*found.value - truth) <= found.expanded ? 1 : 0;
  }
  EXPECT_GE(inside, 0.92 * draws);
  EXPECT_LE(inside, 0.98 * draws);
  EXPECT_EQ(inside_stated, draws);
}

TEST(BlockCoverage, DecksHoldTheTruthAsOftenAsStated) {
  Coverage coverage;
  const std::array truth{0.012, 0.016, 0.020, 0.024};
  for (int seed = 1; seed <= draws; ++seed) {
    std::mt19937_64 engine(static_cast<std::uint64_t>(seed));
    build::Build build = block_build();
    build.deck.emplace();
    build.deck->height = inches(9.025);
    build.crowns.emplace();
    build.crowns->compression_height = inches(1.565);
    build.tools["dial"] = gauge_tool(0.0005, 0.0005, 0.0006);
    DrawnTool dial(build.tools.at("dial"), engine);
    const auto add = [&](int cylinder, double below, std::optional<PistonPlace> place) {
      build::Reading reading = of_part(ReadingKind::deck_clearance, cylinder);
      reading.below = build::Length::from_si(dial.read(below));
      reading.place = place;
      reading.gauge = "dial";
      build.readings.push_back(reading);
    };
    std::uniform_real_distribution<double> rock(-0.008 * inch, 0.008 * inch);
    for (int cylinder = 1; cylinder <= 4; ++cylinder) {
      const double below = truth.at(static_cast<std::size_t>(cylinder - 1)) * inch;
      add(cylinder, below - 0.001 * inch, PistonPlace::front);
      add(cylinder, below + 0.001 * inch, PistonPlace::rear);
      add(cylinder, below - 0.002 * inch + rock(engine), PistonPlace::inboard);
      add(cylinder, below + 0.002 * inch + rock(engine), PistonPlace::outboard);
    }
    const Report report = prove(build, {.advise = false});
    coverage.count(report, "deck.clearance", of(2), 0.016 * inch);
    coverage.count(report, "deck.error", of(2), -0.004 * inch);
    coverage.count(report, "deck.spread", {}, 0.012 * inch);
    coverage.count(report, "deck.tilt_along", {{}, {}, {}, "bank", 1}, 0.012 * inch);
    coverage.count(report, "deck.tilt_across", {{}, {}, {}, "bank", 1}, 0.004 * inch);
  }
  coverage.expect(draws);
}

/// A set of eight, friction drawn anew for each bolt; truths by mechanism-free formulas (Shigley, ch. 8).
TEST(BlockCoverage, FastenersHoldTheTruthAsOftenAsStated) {
  Coverage coverage;
  const double area = 0.7854 * std::pow((0.4375 - 0.9743 * 0.05) * inch, 2);
  const double shank = std::numbers::pi / 4 * std::pow(0.390 * inch, 2);
  const double stiffness = 207e9 / (1.1 * inch / shank + 0.4 * inch / area);
  constexpr double proof = 1.1e9;
  constexpr double yield = 1.3e9;
  for (int seed = 1; seed <= draws; ++seed) {
    std::mt19937_64 engine(static_cast<std::uint64_t>(seed));
    build::Build build = block_build();
    build::Fastener bolt;
    bolt.diameter = inches(0.4375);
    bolt.pitch = inches(0.05);
    bolt.shank_diameter = inches(0.390);
    bolt.shank_length = inches(1.1);
    bolt.thread_length = inches(0.4);
    bolt.proof_strength = build::Pressure::from_si(proof);
    bolt.yield_strength = build::Pressure::from_si(yield);
    bolt.nut_factor = 0.17;
    build.fasteners["rod bolts"] = bolt;
    build.tools["dial"] = gauge_tool(0.00005, 0.0005, 0.0001);
    build::Tool wrench = tool(ToolKind::torque_wrench, measure(0.5, foot_pound, "ft lb", Dimension::torque),
                              measure(2, foot_pound, "ft lb", Dimension::torque),
                              measure(1, foot_pound, "ft lb", Dimension::torque));
    wrench.range = measure(100, foot_pound, "ft lb", Dimension::torque);
    build.tools["wrench"] = wrench;
    DrawnTool dial(build.tools.at("dial"), engine);
    DrawnTool drawn_wrench(build.tools.at("wrench"), engine);
    std::normal_distribution<double> friction(0.17, 0.15 * 0.17);
    const std::array stretches{0.0050, 0.0056};
    double first_factor = 0;
    for (int number = 1; number <= 2; ++number) {
      const double stretch = stretches.at(static_cast<std::size_t>(number - 1)) * inch;
      const double factor = friction(engine);
      first_factor = number == 1 ? factor : first_factor;
      const double torque = factor * stiffness * stretch * 0.4375 * inch;
      for (const auto& [stage, length] : {std::pair{BoltStage::before, 1.65 * inch},
                                          {BoltStage::tight, 1.65 * inch + stretch},
                                          {BoltStage::after, 1.65 * inch + 0.0003 * inch}}) {
        build::Reading reading = of_part(ReadingKind::bolt_length);
        reading.fastener = "rod bolts";
        reading.number = number;
        reading.stage = stage;
        reading.size = build::Length::from_si(dial.read(length));
        reading.gauge = "dial";
        if (stage == BoltStage::tight) {
          reading.torque = quantity::Torque::from_si(drawn_wrench.read(torque));
          reading.tester = "wrench";
        }
        build.readings.push_back(reading);
      }
    }
    const Report report = prove(build, {.advise = false});
    const Where where = of_fastener("rod bolts", 1);
    const double preload = stiffness * 0.0050 * inch;
    coverage.count(report, "fastener.stretch", where, 0.0050 * inch);
    coverage.count(report, "fastener.set", where, 0.0003 * inch);
    coverage.count(report, "fastener.preload", where, preload);
    coverage.count(report, "fastener.preload_by_torque", where, preload);
    coverage.count(report, "fastener.proof_part", where, preload / area / proof);
    coverage.count(report, "fastener.yield_margin", where, 1 - preload / area / yield);
    coverage.count(report, "fastener.nut_factor", where, first_factor);
    coverage.count(report, "fastener.stretch_scatter", of_fastener("rod bolts"), 0.0006 / 0.0053);
  }
  coverage.expect(draws);
}

TEST(BlockCoverage, WeightsHoldTheTruthAsOftenAsStated) {
  Coverage coverage;
  const double speed = 6000 * 2 * std::numbers::pi / 60;
  for (int seed = 1; seed <= draws; ++seed) {
    std::mt19937_64 engine(static_cast<std::uint64_t>(seed));
    build::Build build = block_build();
    build.engine.layout = "V8";
    build.engine.firing_order = {1, 8, 4, 3, 6, 5, 7, 2};
    build.engine.bank_angle = angle(90);
    build.engine.banks = {{1, 3, 5, 7}, {2, 4, 6, 8}};
    build.balance.emplace();
    build.balance->speed = quantity::RotationalSpeed::from_si(speed);
    build.balance->bore_spacing = inches(4.4);
    build.balance->crank_bobweight = grams(1600);
    build.tools["scale"] =
        tool(ToolKind::weighing_scale, measure(0.1, gram, "g", Dimension::mass),
             measure(0.05, gram, "g", Dimension::mass), measure(0.5, gram, "g", Dimension::mass));
    DrawnTool scale(build.tools.at("scale"), engine);
    for (int cylinder = 1; cylinder <= 8; ++cylinder) {
      for (const auto& [item, mass] : {std::pair{WeighedItem::big_end, 420.0},
                                       {WeighedItem::small_end, 180.0},
                                       {WeighedItem::whole_rod, 600.0},
                                       {WeighedItem::rod_bearing, 45.0},
                                       {WeighedItem::piston, cylinder == 3   ? 555.0
                                                             : cylinder == 6 ? 525.0
                                                                             : 540.0},
                                       {WeighedItem::pin, 120.0},
                                       {WeighedItem::rings, 40.0},
                                       {WeighedItem::locks, 4.0}}) {
        build::Reading reading = of_part(ReadingKind::part_weight, cylinder);
        reading.item = item;
        reading.mass = build::Mass::from_si(scale.read(mass * gram));
        reading.tester = "scale";
        build.readings.push_back(reading);
      }
    }
    const Report report = prove(build, {.advise = false});
    coverage.count(report, "balance.reciprocating_mass", of(1), 884 * gram);
    coverage.count(report, "balance.rotating_mass", of(1), 465 * gram);
    coverage.count(report, "balance.rod_closure", of(1), 0);
    coverage.count(report, "balance.weight_spread", {{}, {}, {}, "piston", {}}, 30 * gram);
    coverage.count(report, "balance.reciprocating_spread", {}, 30 * gram);
    // Cylinder 3 shares its pin with 4, cylinder 6 with 5: half of 15 g more, half of 15 g less.
    coverage.count(report, "balance.pin_spread", {}, 15 * gram);
    coverage.count(report, "balance.bobweight", {}, (2 * 465 + 884 + 5) * gram);
    coverage.count(report, "balance.bobweight_error", {}, 219 * gram);
    // Pins at -1.5 to 1.5 spacings and 0, 90, -90, 180 degrees: |-3 - i| times what is not balanced turns
    // with the crank. Fifteen grams too much on one bank and too little on the other, half a spacing either
    // side of the middle, cancel in that and make 2 * 0.5 * 15/2 of what turns against it; where the two meet
    // they add.
    coverage.count(report, "balance.primary_moment", {},
                   (std::sqrt(10.0) * 219 + 7.5) * gram * 4.4 * inch * 1.74 * inch * speed * speed);
  }
  coverage.expect(draws);
}

}  // namespace
}  // namespace fettle::stations::test
