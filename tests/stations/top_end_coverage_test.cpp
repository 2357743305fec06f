// Is the truth inside the stated 95 % interval as often as stated, for the top end of an inline six and of a
// twin-cam four? Whole engines are invented; of each, cylinder 1 is read from the stop to the lash.

#include <cmath>
#include <map>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "build/names.h"
#include "stations/prove.h"
#include "support/example_engines.h"

namespace fettle::stations {
namespace {

using build::Turning;
using build::Valve;
using invented::EnginePlan;

struct Count {
  int draws = 0;
  int inside = 0;
  double sum = 0;  ///< of errors over their standard uncertainties: its mean tells a bias
};

/// Everything of cylinder 1. Wheels of many resolutions, as for the cam's own coverage.
invented::ExampleEngine cylinder_one(int seed, const EnginePlan& plan) {
  invented::ExampleEngine engine;
  const auto number = static_cast<std::uint64_t>(seed);
  const invented::ShopOptions options{.wheel_resolution_deg = 0.1 + 0.05 * (seed % 9)};
  engine.shop = std::make_unique<invented::Shop>(number + 30000, options, plan);
  engine.top_end = std::make_unique<invented::TopEnd>(*engine.shop, number, /*noise_as_known=*/true);
  engine.build = engine.shop->parts();
  engine.top_end->add_parts(engine.build);
  for (const Turning turning : {Turning::forward, Turning::backward}) {
    engine.build.readings.push_back(engine.shop->stop(turning, 41.6));
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    const LobeKey key{1, valve};
    engine.build.readings.push_back(engine.shop->lobe_sweep(key));
    engine.top_end->read_height(engine.build, key);
    engine.top_end->read_loads(engine.build, key, 4);
    engine.top_end->read_solid(engine.build, key);
    engine.top_end->read_retainer(engine.build, key);
    engine.top_end->read_drop(engine.build, key);
    engine.top_end->read_notch(engine.build, key);
    engine.top_end->read_lash(engine.build, key);
    if (plan.bucket_shims) {
      engine.top_end->read_shim(engine.build, key);
    } else {
      engine.top_end->read_mark(engine.build, key);
    }
  }
  return engine;
}

void expect_coverage(const EnginePlan& plan, std::size_t kinds, int draws) {
  std::map<std::string, Count> counts;
  for (int seed = 1; seed <= draws; ++seed) {
    const auto engine = cylinder_one(seed, plan);
    for (const Finding& finding : prove(engine.build, {.advise = false}).findings) {
      const auto truth = finding.value ? engine.top_end->truth(finding) : std::nullopt;
      // The error of a height is the height less a figure: counted once.
      if (truth && finding.where.cylinder == 1 && finding.id != "spring.height_error") {
        Count& one = counts[fmt::format("{} {}", finding.id, build::word(*finding.where.valve))];
        ++one.draws;
        one.inside += std::abs(*finding.value - *truth) <= finding.expanded ? 1 : 0;
        one.sum += (*finding.value - *truth) / finding.u;
      }
    }
  }
  EXPECT_EQ(counts.size(), kinds);
  for (const auto& [name, one] : counts) {
    const double share = static_cast<double>(one.inside) / one.draws;
    fmt::print("  {:<40}{:6.1f} % of {}, off by {:+.2f} u in the mean\n", name, 100 * share, one.draws,
               one.sum / one.draws);
    EXPECT_EQ(one.draws, draws) << name;
    EXPECT_GE(share, 0.92) << name;
    EXPECT_LE(share, 0.98) << name;
  }
}

TEST(TopEndCoverage, InlineSixHoldsTheTruthAsOftenAsStated) {
  expect_coverage(invented::vintage_six(), 24, 800);
}

TEST(TopEndCoverage, TwinCamFourHoldsTheTruthAsOftenAsStated) {
  // Of 22 kinds one or another strays from 95 % by chance alone: the more draws, the less.
  expect_coverage(invented::twin_cam_four(), 22, 800);
}

}  // namespace
}  // namespace fettle::stations
