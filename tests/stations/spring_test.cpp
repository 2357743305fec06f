#include <map>
#include <numbers>

#include <gtest/gtest.h>

#include "stations/top_end.h"

namespace fettle::stations::test {
namespace {

using build::ReadingKind;

constexpr double rate = 330;          // lb/in
constexpr double free_length = 2.05;  // in
double load_of(double height_in) {
  return rate * (free_length - height_in);
}

/// An inline four whose springs lie on one line; the card alone tells the lift: 0.300 in at the lobe, 1.5
/// to 1.
build::Build spring_build() {
  build::Build build = hand_build();
  build.cam.emplace();
  build.cam->card.emplace();
  for (auto* lobe : {&build.cam->card->intake, &build.cam->card->exhaust}) {
    lobe->emplace();
    (*lobe)->lift = inches(0.300);
  }
  build.rockers = build::Rockers{1.5, 1.5, {}};
  build.springs.emplace();
  build.springs->intake.emplace();
  build.springs->intake->installed_height = inches(1.700);
  build.springs->intake->rate = build::SpringRate::typed(rate * pound_force / inch, "330 lb/in");
  build.springs->intake->solid_height = inches(1.090);
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    const LobeKey key{cylinder, Valve::intake};
    build.readings.push_back(height_of(ReadingKind::installed_height, key, 1.700 + 0.005 * cylinder));
    build.readings.push_back(load_at(key, 1.750, load_of(1.750)));
    build.readings.push_back(load_at(key, 1.250, load_of(1.250)));
    build.readings.push_back(gap_of(ReadingKind::retainer_gap, key, 0.560));
  }
  return build;
}

double value_of(const Report& report, std::string_view id, const Where& where) {
  return finding(report, id, where).value.value();
}

TEST(SpringStation, LoadsAndMarginsFollowFromHeightsLoadsAndLift) {
  const Report report = prove(spring_build());
  const Where where = of(2, Valve::intake);
  constexpr double height = 1.710;
  constexpr double lift = 0.450;
  EXPECT_NEAR(value_of(report, "spring.installed_height", where) / inch, height, 1e-9);
  EXPECT_NEAR(value_of(report, "spring.height_error", where) / inch, 0.010, 1e-9);
  EXPECT_NEAR(value_of(report, "spring.seat_load", where) / pound_force, load_of(height), 1e-6);
  EXPECT_NEAR(value_of(report, "spring.open_load", where) / pound_force, load_of(height - lift), 1e-6);
  EXPECT_NEAR(value_of(report, "spring.rate", where) / pound_force * inch, rate, 1e-6);
  EXPECT_NEAR(value_of(report, "spring.coil_bind_margin", where) / inch, height - lift - 1.090, 1e-9);
  EXPECT_NEAR(value_of(report, "spring.retainer_margin", where) / inch, 0.560 - lift, 1e-9);
  EXPECT_NEAR(value_of(report, "spring.seat_load_spread", {{}, Valve::intake, {}}) / pound_force,
              rate * 0.015, 1e-6);
}

TEST(SpringStation, OneLoadTakesTheRateOfTheSheetAndSaysSo) {
  build::Build build = spring_build();
  std::erase_if(build.readings, [](const build::Reading& reading) {
    return reading.kind == ReadingKind::spring_load && reading.height->si() < 1.5 * inch;
  });
  const Report report = prove(build);
  const Finding& seat = finding(report, "spring.seat_load", of(1, Valve::intake));
  EXPECT_NEAR(*seat.value / pound_force, load_of(1.705), 1e-6);
  EXPECT_NE(seat.basis.find("sheet"), std::string::npos);
}

TEST(SpringStation, ShimsNowAndShimsWhileReadingAreKeptApart) {
  build::Build build = spring_build();
  build.springs->fitted.push_back({1, Valve::intake, inches(0.030)});
  // Read over the shims fitted: the height is the one now.
  EXPECT_NEAR(value_of(prove(build), "spring.installed_height", of(1, Valve::intake)) / inch, 1.705, 1e-9);
  // Read without shims: those fitted now take their thickness off.
  for (auto& reading : build.readings) {
    if (reading.kind == ReadingKind::installed_height) {
      reading.shim = inches(0);
    }
  }
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "spring.installed_height", of(1, Valve::intake)) / inch, 1.675, 1e-9);
  EXPECT_NEAR(value_of(report, "spring.seat_load", of(1, Valve::intake)) / pound_force, load_of(1.675), 1e-6);
  EXPECT_NEAR(value_of(report, "spring.installed_height", of(2, Valve::intake)) / inch, 1.710, 1e-9);
}

TEST(SpringStation, UnitsDoNotMatter) {
  build::Build metric = spring_build();
  for (auto& reading : metric.readings) {
    if (reading.height) {
      reading.height =
          build::Length::typed(reading.height->si(), fmt::format("{} mm", reading.height->si() * 1e3));
    }
    if (reading.load) {
      reading.load = build::Force::typed(reading.load->si(), fmt::format("{} N", reading.load->si()));
    }
  }
  const Report one = prove(spring_build());
  const Report other = prove(metric);
  ASSERT_EQ(one.findings.size(), other.findings.size());
  for (std::size_t i = 0; i < one.findings.size(); ++i) {
    EXPECT_EQ(one.findings[i].value, other.findings[i].value) << one.findings[i].id;
  }
}

// Shigley, *Mechanical Engineering Design*, problem 10-3 as given in the table of check values: music
// wire 2.5 mm, 31 mm outside, plain ground ends, 14 coils. Its stress at a load by K_B 8 F D / (pi d^3), K_B
// = 1.117.
TEST(SpringStation, StressOfTheWireIsThatOfItsLoad) {
  build::Build build = spring_build();
  build::SpringWire wire;
  wire.wire_diameter = millimetres(2.5);
  wire.outside_diameter = millimetres(31);
  wire.total_coils = 14;
  wire.ends = build::SpringEnds::plain_ground;
  wire.material = build::WireMaterial::music;
  wire.free_length = millimetres(162.8);
  build.springs->intake->coils = {wire};
  build.readings.clear();
  const LobeKey key{1, Valve::intake};
  const auto reading = [&](ReadingKind kind, double height_mm, double newtons) {
    build::Reading one = at_valve(kind, key);
    one.height = millimetres(height_mm);
    if (newtons > 0) {
      one.load = build::Force::from_si(newtons);
    }
    build.readings.push_back(one);
  };
  reading(ReadingKind::installed_height, 120, 0);
  reading(ReadingKind::spring_load, 120, 1.314 * 42.8);
  reading(ReadingKind::spring_load, 100, 1.314 * 62.8);
  const double lift_mm = 0.450 * 25.4;
  const double open = 1.314 * (42.8 + lift_mm);
  const double stress = 1.117 * 8 * open * 0.0285 / (std::numbers::pi * std::pow(0.0025, 3));
  EXPECT_NEAR(value_of(prove(build), "spring.open_stress", of(1, Valve::intake)) / stress, 1, 0.002);
}

bool assumed(const Report& report, std::string_view what) {
  return std::any_of(report.assumptions.begin(), report.assumptions.end(),
                     [&](const std::string& one) { return one.find(what) != std::string::npos; });
}

TEST(SpringSheet, FigureWithoutAToleranceSaysSo) {
  const Report report = prove(spring_build());
  const Finding& bind = finding(report, "spring.coil_bind_margin", of(1, Valve::intake));
  EXPECT_NE(bind.basis.find("no tolerance stated"), std::string::npos);
  EXPECT_TRUE(assumed(report, "springs.intake.solid_tolerance"));
  EXPECT_FALSE(assumed(report, "springs.intake.rate_tolerance"));  // the rate was read
}

// A figure anywhere within a tolerance either way has u = a / sqrt(3) (JCGM 100:2008, 4.3.7).
TEST(SpringSheet, ToleranceOfTheSheetIsPartOfTheDoubt) {
  build::Build build = spring_build();
  const Finding exact = finding(prove(build), "spring.coil_bind_margin", of(1, Valve::intake));
  build.springs->intake->solid_tolerance = inches(0.010);
  const Report report = prove(build);
  const Finding& bind = finding(report, "spring.coil_bind_margin", of(1, Valve::intake));
  EXPECT_EQ(bind.value, exact.value);
  EXPECT_NEAR(bind.u, std::hypot(exact.u, 0.010 * inch / std::sqrt(3.0)), 1e-9);
  EXPECT_FALSE(assumed(report, "springs.intake.solid_tolerance"));

  std::erase_if(build.readings, [](const build::Reading& reading) {
    return reading.kind == ReadingKind::spring_load && reading.height->si() < 1.5 * inch;
  });
  EXPECT_TRUE(assumed(prove(build), "springs.intake.rate_tolerance"));
  const double u_of_rate = 15 * pound_force / inch / std::sqrt(3.0);
  const double before = finding(prove(build), "spring.open_load", of(1, Valve::intake)).u;
  build.springs->intake->rate_tolerance = build::SpringRate::typed(15 * pound_force / inch, "15 lb/in");
  const Finding open = finding(prove(build), "spring.open_load", of(1, Valve::intake));
  // The load was read at 1.750 in; open height is 1.255.
  EXPECT_NEAR(open.u, std::hypot(before, u_of_rate * 0.495 * inch), 1e-6);
}

TEST(SpringSheet, WireOfTheSheetMovesItsStressByItsTolerance) {
  build::Build build = spring_build();
  build::SpringWire wire;
  wire.wire_diameter = inches(0.177);
  wire.outside_diameter = inches(1.262);
  wire.total_coils = 6.5;
  build.springs->intake->coils = {wire};
  const auto stress = [&](double diameter_in) {
    build::Build other = build;
    other.springs->intake->coils.front().wire_diameter = inches4(diameter_in);
    return value_of(prove(other, {.advise = false}), "spring.open_stress", of(1, Valve::intake));
  };
  EXPECT_TRUE(assumed(prove(build), "springs.intake.wire_tolerance"));
  const double before = finding(prove(build), "spring.open_stress", of(1, Valve::intake)).u;
  build.springs->intake->wire_tolerance = inches(0.001);
  const Finding open = finding(prove(build), "spring.open_stress", of(1, Valve::intake));
  // inches4 types four decimals: a step of a thousandth either way, brought down to the tolerance's u.
  const double per_thousandth = std::abs(stress(0.178) - stress(0.176)) / 2;
  EXPECT_NEAR(open.u / std::hypot(before, per_thousandth / std::sqrt(3.0)), 1, 1e-3);
}

TEST(SpringShims, AreTheFewestThatBringEveryLoadIntoItsBand) {
  build::Build build = spring_build();
  build.limits.push_back({"spring.seat_load",
                          Valve::intake,
                          {},
                          {},
                          {},
                          build::Measure{quantity::Dimension::force, 118 * pound_force, "118 lb"},
                          build::Measure{quantity::Dimension::force, 124 * pound_force, "124 lb"},
                          "invented"});
  build.springs->shims = {{inches(0.015), 8}, {inches(0.030), 4}};
  const Report report = prove(build);
  const auto shims = std::find_if(report.corrections.begin(), report.corrections.end(),
                                  [](const Correction& one) { return one.id == "spring.shims_intake"; });
  ASSERT_NE(shims, report.corrections.end());
  // Bare seat loads are 113.9, 112.2, 110.6 and 108.9 lb; 0.015 in adds 4.95 and 0.030 in 9.9.
  int inside = 0;
  for (const Effect& effect : shims->effects) {
    if (effect.from.id == "spring.seat_load") {
      EXPECT_GT(effect.to.value.value() / pound_force, 118);
      EXPECT_LT(effect.to.value.value() / pound_force, 124);
      ++inside;
    }
    if (effect.from.id == "spring.coil_bind_margin") {
      EXPECT_LT(*effect.to.value, *effect.from.value);
    }
  }
  EXPECT_EQ(inside, 4);
  const auto& fitted = shims->operations.back();
  EXPECT_EQ(fitted.path, "/springs/fitted");
  ASSERT_EQ(fitted.value.size(), 4U);
  EXPECT_EQ(fitted.value[0]["thickness"], "0.015 in");
  EXPECT_EQ(fitted.value[3]["thickness"], "0.030 in");
  // Heights read until now say over which shims, before others go in.
  EXPECT_EQ(shims->operations.size(), 5U);
}

TEST(SpringMistakes, CleanSetHasNone) {
  for (const Mistake& mistake : prove(spring_build()).mistakes) {
    ADD_FAILURE() << mistake.id << ": " << mistake.says;
  }
}

TEST(SpringMistakes, LoadThatFallsWhileCompressing) {
  build::Build build = spring_build();
  build.readings[2].load = pounds(90);
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"spring.load_falls"});
}

TEST(SpringMistakes, RateFarFromTheSheet) {
  build::Build build = spring_build();
  build.springs->intake->rate = build::SpringRate::typed(400 * pound_force / inch, "400 lb/in");
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"spring.rate_off_sheet"});
  EXPECT_EQ(report.mistakes.size(), 4U);
}

TEST(SpringMistakes, HeightTakenToTheWrongStep) {
  build::Build build = spring_build();
  for (auto& reading : build.readings) {
    if (reading.kind == ReadingKind::installed_height) {
      reading.height = inches4(reading.height->si() / inch + 0.090);
    }
  }
  EXPECT_TRUE(mistake_ids(prove(build)).contains("spring.height_basis"));
}

TEST(SpringMistakes, OneSpringFarFromItsFellows) {
  build::Build build = spring_build();
  build.readings[8].height = inches4(1.620);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"spring.odd_one"});
  EXPECT_EQ(only(report, "spring.odd_one").cylinder, 3);
}

build::Measure figure(double value, double unit, const char* name, quantity::Dimension dimension) {
  return {dimension, value * unit, fmt::format("{} {}", value, name)};
}

/// Whether the truth lies within the stated interval as often as stated. No one error without a normal spread
/// dominates (docs/uncertainty.md).
TEST(SpringCoverage, LoadsAndMarginsHoldTheTruthAsOftenAsStated) {
  constexpr int draws = 500;
  std::map<std::string, int> inside;
  std::map<std::string, int> all;
  for (int seed = 1; seed <= draws; ++seed) {
    std::mt19937_64 engine(static_cast<std::uint64_t>(seed));
    build::Build build = spring_build();
    build::Tool gauge;
    gauge.kind = build::ToolKind::height_micrometer;
    gauge.resolution = figure(0.001, inch, "in", quantity::Dimension::length);
    gauge.permissible_error = figure(0.0015, inch, "in", quantity::Dimension::length);
    gauge.noise = figure(0.0015, inch, "in", quantity::Dimension::length);
    build::Tool tester;
    tester.kind = build::ToolKind::load_tester;
    tester.resolution = figure(1, pound_force, "lb", quantity::Dimension::force);
    tester.permissible_error = figure(3, pound_force, "lb", quantity::Dimension::force);
    tester.range = figure(300, pound_force, "lb", quantity::Dimension::force);
    tester.noise = figure(1.5, pound_force, "lb", quantity::Dimension::force);
    build.tools = {{"gauge", gauge}, {"tester", tester}};
    DrawnTool drawn_gauge(build.tools.at("gauge"), engine);
    DrawnTool drawn_tester(build.tools.at("tester"), engine);
    build.readings.clear();
    const double height = 1.705 * inch;
    const LobeKey key{1, Valve::intake};
    const auto add = [&](ReadingKind kind, double true_height, std::optional<double> true_load) {
      build::Reading reading = at_valve(kind, key);
      reading.height = build::Length::from_si(drawn_gauge.read(true_height));
      reading.gauge = "gauge";
      if (true_load) {
        reading.load = build::Force::from_si(drawn_tester.read(*true_load));
        reading.tester = "tester";
      }
      build.readings.push_back(std::move(reading));
    };
    add(ReadingKind::installed_height, height, {});
    add(ReadingKind::solid_height, 1.090 * inch, {});
    for (const double at : {1.750, 1.700, 1.300, 1.250}) {
      add(ReadingKind::spring_load, at * inch, load_of(at) * pound_force);
    }
    const Report report = prove(build, {.advise = false});
    const std::map<std::string, double> truth{{"spring.installed_height", height},
                                              {"spring.seat_load", load_of(1.705) * pound_force},
                                              {"spring.open_load", load_of(1.255) * pound_force},
                                              {"spring.rate", rate * pound_force / inch},
                                              {"spring.coil_bind_margin", (1.705 - 0.450 - 1.090) * inch}};
    for (const auto& [id, value] : truth) {
      const Finding& found = finding(report, id, of(1, Valve::intake));
      ++all[id];
      inside[id] += std::abs(found.value.value() - value) <= found.expanded ? 1 : 0;
    }
  }
  for (const auto& [id, count] : all) {
    const double share = static_cast<double>(inside[id]) / count;
    EXPECT_EQ(count, draws);
    EXPECT_GE(share, 0.92) << id;
    EXPECT_LE(share, 0.98) << id;
    fmt::print("  {:<44}{:6.1f} %\n", id, 100 * share);
  }
}

}  // namespace
}  // namespace fettle::stations::test
