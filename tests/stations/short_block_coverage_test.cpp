#include <array>
#include <map>
#include <numbers>

#include <gtest/gtest.h>

#include "stations/memory.h"
#include "stations/short_block.h"

/// Whether the truth lies within the stated interval as often as stated, for every finding of bores and
/// bearings. No one error without a normal spread dominates (docs/uncertainty.md); what is greatest or least
/// of several stands clear of the rest.
namespace fettle::stations::test {
namespace {

using build::Ring;

constexpr double mil = 0.001 * inch;

/// A micrometer and a bore gauge set to size on it, each with its errors drawn anew.
class Bench {
 public:
  Bench(const build::Build& build, std::mt19937_64& engine)
      : micrometer_(build.tools.at("mike"), engine), gauge_(build.tools.at("bore gauge"), engine) {
    // The one setting: what the micrometer showed too much, and what the gauge missed by.
    const build::Tool own = length_tool(build::ToolKind::bore_gauge, 0.0001, 0, 0.00006);
    DrawnTool setting(own, engine);
    const double anywhere = std::uniform_real_distribution<double>(1, 2)(engine) * mil;
    set_off_ = micrometer_.read(anywhere) - anywhere + setting.read(anywhere) - anywhere;
  }
  build::Length micrometer(double truth) { return build::Length::from_si(micrometer_.read(truth)); }
  build::Length gauge(double truth) { return build::Length::from_si(gauge_.read(truth + set_off_)); }

 private:
  DrawnTool micrometer_, gauge_;
  double set_off_ = 0;
};

/// A single with two mains, and what is true of it; lengths in m.
struct TrueBearing {
  double journal = 0;  ///< front, 0 degrees; the rest is counted from it
  double housing = 0;
  double wall = 0;
  double clearance = 0;  ///< of the vertical bore over the mean journal
};
constexpr TrueBearing usual_main{2.4480 * inch, 2.6403 * inch, 0.0950 * inch, 2.4 * mil};
constexpr TrueBearing usual_rod{2.0995 * inch, 2.2217 * inch, 0.0600 * inch, 2.2 * mil};
/// What is true of one draw: sizes that fall anywhere between the steps of the tools.
struct Truth {
  TrueBearing main = usual_main, rod = usual_rod;
  double bore = 4.0010 * inch;
  double piston = 3.9985 * inch;
  /// End play, rod side, gaps of top, second and oil ring, side of top and second ring.
  std::array<double, 7> gaps{6 * mil, 14 * mil, 17 * mil, 20 * mil, 19 * mil, 3 * mil, 2.8 * mil};

  explicit Truth(std::mt19937_64& engine) {
    std::uniform_real_distribution<double> anywhere(-0.6 * mil, 0.6 * mil);
    for (TrueBearing* one : {&main, &rod}) {
      for (double* size : {&one->journal, &one->housing, &one->wall}) {
        *size += anywhere(engine);
      }
      one->clearance += anywhere(engine) / 2;
    }
    for (double* size : {&bore, &piston}) {
      *size += anywhere(engine);
    }
    for (double& gap : gaps) {
      gap += anywhere(engine);
    }
  }
};
/// Of a journal at front and rear, at 0 and 90 degrees; no whole steps of the tools, so that rounding is not
/// the same at both.
constexpr double shape[2][2] = {{0, -0.936 * mil}, {-0.823 * mil, -1.047 * mil}};
constexpr double mean_shape = (-0.936 - 0.823 - 1.047) * mil / 4;
/// Of a bore at three depths, at 0 and 90 degrees.
constexpr double bore_shape[3][2] = {
    {2.813 * mil, 1.447 * mil}, {1.231 * mil, 1.639 * mil}, {0.817 * mil, 0}};
constexpr double bore_warmer = 2;    // K over 20 C
constexpr double piston_warmer = 1;  // K over 20 C
/// Light enough that the film grows with the clearance: near its greatest the first order says too little.
constexpr double load = 1500;
constexpr double iron = 6e-6 * 1.8, aluminium = 13e-6 * 1.8;

build::Build parts() {
  build::Build build = hand_build();
  build.engine.layout = "single";
  build.engine.firing_order = {1};
  build.tools.emplace("mike", length_tool(build::ToolKind::micrometer, 0.0001, 0.0001, 0.00006));
  build::Tool gauge = length_tool(build::ToolKind::bore_gauge, 0.0001, 0.0001, 0.00006);
  gauge.set_on = "mike";
  build.tools.emplace("bore gauge", gauge);
  build.tools.emplace("feeler", length_tool(build::ToolKind::feeler_gauge, 0.0006, 0.0003, 0.00016));
  build.bearings.emplace();
  for (auto* set : {&build.bearings->main, &build.bearings->rod}) {
    set->emplace();
    (*set)->width = millimetres(22);
    (*set)->load = build::Force::from_si(load);
  }
  build.bearings->main->journal = build::Length::from_si(usual_main.journal + 5 * mil);
  build.bearings->rod->journal = build::Length::from_si(usual_rod.journal + 5 * mil);
  build.bearings->oil =
      build::Oil{quantity::Viscosity::from_si(0.009), quantity::RotationalSpeed::from_si(600)};
  build.bores.emplace();
  build.bores->running = build::RunningTemperatures{quantity::Temperature::from_si(293.15 + 90),
                                                    quantity::Temperature::from_si(293.15 + 120)};
  return build;
}

build::Reading of_spot(ReadingKind kind, bool main) {
  return main ? of_main(kind, 1) : of_cylinder(kind, 1);
}

void read_bearing(build::Build& build, Bench& bench, DrawnTool& feeler, const TrueBearing& truth, bool main) {
  const auto add = [&](build::Reading reading) { build.readings.push_back(std::move(reading)); };
  for (int place = 0; place < 2; ++place) {
    for (int direction = 0; direction < 2; ++direction) {
      build::Reading reading = of_spot(ReadingKind::journal_diameter, main);
      reading.diameter = bench.micrometer(truth.journal + shape[place][direction]);
      reading.gauge = "mike";
      reading.along = millimetres(5 + 12 * place);
      reading.around = angle(90 * direction);
      add(reading);
    }
  }
  for (const double around : {0.0, 60.0, -60.0}) {
    build::Reading housing = of_spot(ReadingKind::housing_bore, main);
    housing.diameter = bench.gauge(truth.housing + (around > 0 ? 0.837 : around < 0 ? -0.914 : 0) * mil);
    housing.gauge = "bore gauge";
    housing.around = angle(around);
    add(housing);
  }
  build::Reading direct = of_spot(ReadingKind::bearing_bore, main);
  direct.diameter = bench.gauge(truth.journal + mean_shape + truth.clearance);
  direct.gauge = "bore gauge";
  add(direct);
  for (const auto half : {build::ShellHalf::upper, build::ShellHalf::lower}) {
    build::Reading wall = of_spot(ReadingKind::shell_wall, main);
    wall.wall = bench.micrometer(truth.wall);
    wall.gauge = "mike";
    wall.half = half;
    add(wall);
  }
  build::Reading strip = of_spot(ReadingKind::film_strip, main);
  strip.gap = build::Length::from_si(feeler.read(truth.clearance + 0.1 * mil));
  strip.gauge = "feeler";
  add(strip);
}

void read_bore(build::Build& build, Bench& bench, const Truth& truth, std::mt19937_64& engine) {
  std::uniform_real_distribution<double> degree_either_way(-1, 1);
  const auto temperature = [&](double warmer) {
    return quantity::Temperature::from_si(293.15 + warmer + degree_either_way(engine));
  };
  const auto of_bore = temperature(bore_warmer);
  for (int depth = 0; depth < 3; ++depth) {
    for (int direction = 0; direction < 2; ++direction) {
      build::Reading reading = of_cylinder(ReadingKind::bore_diameter, 1);
      reading.diameter = bench.gauge((truth.bore + bore_shape[depth][direction]) * (1 + iron * bore_warmer));
      reading.gauge = "bore gauge";
      reading.along = millimetres(12 + 50 * depth);
      reading.around = angle(90 * direction);
      reading.temperature = of_bore;
      build.readings.push_back(reading);
    }
  }
  build::Reading reading;
  reading.kind = ReadingKind::piston_diameter;
  reading.piston = 1;
  reading.diameter = bench.micrometer(truth.piston * (1 + aluminium * piston_warmer));
  reading.gauge = "mike";
  reading.temperature = temperature(piston_warmer);
  build.readings.push_back(reading);
}

void read_gaps(build::Build& build, DrawnTool& feeler, const Truth& truth) {
  std::size_t next = 0;
  const auto add = [&](build::Reading reading) {
    reading.gap = build::Length::from_si(feeler.read(truth.gaps[next++]));
    reading.gauge = "feeler";
    build.readings.push_back(std::move(reading));
  };
  build::Reading play;
  play.kind = ReadingKind::end_play;
  add(play);
  add(of_cylinder(ReadingKind::rod_side, 1));
  add(ring_reading(ReadingKind::ring_gap, 1, Ring::top, 0));
  add(ring_reading(ReadingKind::ring_gap, 1, Ring::second, 0));
  add(ring_reading(ReadingKind::ring_gap, 1, Ring::oil, 0));
  add(ring_reading(ReadingKind::ring_side, 1, Ring::top, 0));
  add(ring_reading(ReadingKind::ring_side, 1, Ring::second, 0));
}

double film(const TrueBearing& bearing, double sheet, Memory& memory) {
  return memory.journal(0.022 / sheet)
      ->least_film({bearing.journal + mean_shape, 0.022, bearing.clearance, 0.009, 600, load})
      .value();
}

std::map<std::string, double> truths(const Truth& truth, Memory& memory) {
  std::map<std::string, double> all;
  for (const bool main : {true, false}) {
    const TrueBearing& bearing = main ? truth.main : truth.rod;
    const auto id = [&](const char* quantity) {
      return fmt::format("bottom_end.{}_{}", main ? "main" : "rod", quantity);
    };
    all[id("clearance")] = bearing.clearance;
    all[id("journal")] = bearing.journal + mean_shape;
    all[id("taper")] = (-0.936 + 0.823 + 1.047) / 2 * mil;
    all[id("out_of_round")] = 0.936 * mil;
    all[id("housing_round")] = 1.751 * mil;
    all[id("cross_check")] =
        bearing.journal + mean_shape + bearing.clearance - bearing.housing + 2 * bearing.wall;
    all[id("strip_check")] = 0.1 * mil;
    all[id("film")] = film(bearing, (main ? usual_main : usual_rod).journal + 5 * mil, memory);
  }
  all["bore.least"] = truth.bore;
  all["bore.piston_clearance"] = truth.bore - truth.piston;
  all["bore.running_clearance"] = truth.bore * (1 + iron * 90) - truth.piston * (1 + aluminium * 120);
  all["bore.taper"] = ((2.813 + 1.447) / 2 - 0.817 / 2) * mil;
  all["bore.out_of_round"] = (2.813 - 1.447) * mil;
  const double mean = truth.bore + (2.813 + 1.447 + 1.231 + 1.639 + 0.817) * mil / 6;
  all["bore.displacement"] = std::numbers::pi / 4 * mean * mean * 0.086;
  std::size_t next = 0;
  for (const char* id : {"bottom_end.end_play", "bottom_end.rod_side", "bore.top_gap", "bore.second_gap",
                         "bore.oil_gap", "bore.top_side", "bore.second_side"}) {
    all[id] = truth.gaps[next++];
  }
  return all;
}

TEST(ShortBlockCoverage, EveryFindingHoldsTheTruthAsOftenAsStated) {
  constexpr int draws = 1000;
  const auto memory = std::make_shared<Memory>();
  std::map<std::string, int> inside;
  for (int seed = 1; seed <= draws; ++seed) {
    std::mt19937_64 engine(static_cast<std::uint64_t>(seed));
    const Truth truth(engine);
    build::Build build = parts();
    Bench bench(build, engine);
    DrawnTool feeler(build.tools.at("feeler"), engine);
    read_bearing(build, bench, feeler, truth.main, true);
    read_bearing(build, bench, feeler, truth.rod, false);
    read_bore(build, bench, truth, engine);
    read_gaps(build, feeler, truth);
    const auto known = truths(truth, *memory);
    const Report report = prove(Sources(build, memory), {.advise = false});
    std::size_t given = 0;
    for (const Finding& finding : report.findings) {
      if (finding.value) {
        ++given;
        inside[finding.id] += std::abs(*finding.value - known.at(finding.id)) <= finding.expanded ? 1 : 0;
      }
    }
    ASSERT_EQ(given, known.size());
  }
  EXPECT_EQ(inside.size(), 29U);
  for (const auto& [id, count] : inside) {
    const double share = static_cast<double>(count) / draws;
    EXPECT_GE(share, 0.92) << id;
    EXPECT_LE(share, 0.98) << id;
    fmt::print("  {:<44}{:6.1f} %\n", id, 100 * share);
  }
}

}  // namespace
}  // namespace fettle::stations::test
