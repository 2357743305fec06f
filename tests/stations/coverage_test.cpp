#include <cmath>
#include <map>
#include <optional>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "build/names.h"
#include "mechanism/circular.h"
#include "stations/lift_basis.h"
#include "stations/prove.h"
#include "support/invented_shop.h"

/// Is the truth inside the stated 95 % interval as often as stated? Whole engines are invented with the
/// errors their tools make; the shop knows what is true of each.
namespace fettle::stations {
namespace {

using build::Side;
using build::Valve;
using invented::Shop;

double middle(const Shop& shop, const LobeKey& key, double lift) {
  return (shop.event(key, Side::opening, lift) + shop.event(key, Side::closing, lift)) / 2;
}

double true_centreline(const Shop& shop, int cylinder, Valve valve) {
  const double centre = middle(shop, {cylinder, valve}, main_check_lift);
  return valve == Valve::intake ? centre : -centre;
}

double true_scatter(const Shop& shop, Valve valve) {
  double least = 1e9;
  double greatest = -1e9;
  for (int cylinder = 1; cylinder <= 8; ++cylinder) {
    least = std::min(least, true_centreline(shop, cylinder, valve));
    greatest = std::max(greatest, true_centreline(shop, cylinder, valve));
  }
  return greatest - least;
}

double true_phase_error(const Shop& shop) {
  double sum = 0;
  for (int cylinder = 1; cylinder <= 8; ++cylinder) {
    sum += true_centreline(shop, cylinder, Valve::intake);
  }
  return sum / 8 - 108 * invented::degree;
}

/// Findings of one lobe.
std::optional<double> truth_of_lobe(const Shop& shop, const Finding& finding) {
  const LobeKey key{*finding.where.cylinder, *finding.where.valve};
  if (finding.id == "cam.lobe_lift") {
    return shop.max_lift(key);
  }
  if (finding.id == "cam.asymmetry") {
    return middle(shop, key, main_check_lift) - shop.top(key);
  }
  if (!finding.where.at) {
    return std::nullopt;
  }
  const double opening = shop.event(key, Side::opening, *finding.where.at);
  const double closing = shop.event(key, Side::closing, *finding.where.at);
  if (finding.id == "cam.opening") {
    return opening;
  }
  if (finding.id == "cam.closing") {
    return closing;
  }
  if (finding.id == "cam.duration") {
    return closing - opening;
  }
  return std::nullopt;
}

/// Findings of one cylinder, or of the whole engine.
std::optional<double> truth_of(const Shop& shop, const Finding& finding) {
  if (finding.where.cylinder && finding.where.valve) {
    return truth_of_lobe(shop, finding);
  }
  if (finding.where.cylinder) {
    const int cylinder = *finding.where.cylinder;
    const double icl = true_centreline(shop, cylinder, Valve::intake);
    const double ecl = true_centreline(shop, cylinder, Valve::exhaust);
    if (finding.id == "cam.intake_centerline") {
      return icl;
    }
    if (finding.id == "cam.exhaust_centerline") {
      return ecl;
    }
    if (finding.id == "cam.lobe_separation") {
      return (icl + ecl) / 2;
    }
    if (finding.id == "cam.advance") {
      return (ecl - icl) / 2;
    }
    if (finding.id == "cam.overlap") {
      return shop.event({cylinder, Valve::exhaust}, Side::closing, *finding.where.at) -
             shop.event({cylinder, Valve::intake}, Side::opening, *finding.where.at);
    }
    return std::nullopt;
  }
  if (finding.id == "tdc.wheel") {
    return shop.truth().tdc_on_wheel;
  }
  if (finding.id == "tdc.shift") {
    return 0;
  }
  if (finding.id == "cam.phase_error") {
    return true_phase_error(shop);
  }
  if (finding.id == "cam.lobe_phase_scatter") {
    return true_scatter(shop, *finding.where.valve);
  }
  if (finding.id == "cam.chain_slack") {
    return shop.truth().slack;
  }
  return std::nullopt;
}

struct Count {
  int draws = 0;
  int inside = 0;
  double share() const { return static_cast<double>(inside) / draws; }
};

/// Wheels of many resolutions: on one alone, a reading that falls on a mark falls there every time, and an
/// interval holds the truth in steps.
invented::ShopOptions shop_options(int seed) {
  invented::ShopOptions options;
  options.wheel_resolution_deg = 0.1 + 0.05 * (seed % 9);
  return options;
}

/// Findings are counted by kind, valve and check lift, and on cylinder 1 only: all cylinders of one engine
/// share its wheel and its TDC, so that more of them add little.
std::optional<std::string> counted_as(const Finding& finding) {
  if (finding.where.cylinder.value_or(1) > 1) {
    return std::nullopt;
  }
  std::string name = finding.id;
  name += finding.where.valve ? fmt::format(" {}", build::word(*finding.where.valve)) : "";
  name += finding.where.at ? fmt::format(" {:.2f} mm", *finding.where.at * 1e3) : "";
  return name;
}

void count(const Shop& shop, const Report& report, std::map<std::string, Count>& counts) {
  for (const Finding& finding : report.findings) {
    const auto name = counted_as(finding);
    const auto truth = name && finding.value ? truth_of(shop, finding) : std::nullopt;
    if (!truth) {
      continue;
    }
    double error = *finding.value - *truth;
    if (finding.id == "tdc.wheel") {
      error = mechanism::wrap_centred(error, mechanism::full_turn);
    }
    Count& one = counts[*name];
    ++one.draws;
    one.inside += std::abs(error) <= finding.expanded ? 1 : 0;
  }
}

/// Every kind of finding must be covered between 92 and 98 % of the time.
void expect_coverage(const std::map<std::string, Count>& counts, int draws) {
  for (const auto& [name, one] : counts) {
    EXPECT_EQ(one.draws, draws) << name;
    EXPECT_GE(one.share(), 0.92) << name;
    EXPECT_LE(one.share(), 0.98) << name;
    fmt::print("  {:<44}{:6.1f} % of {}\n", name, 100 * one.share(), one.draws);
  }
}

TEST(Coverage, SweptEngineHoldsTheTruthAsOftenAsStated) {
  constexpr int draws = 500;
  std::map<std::string, Count> counts;
  for (int seed = 1; seed <= draws; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed), shop_options(seed));
    const build::Build build = shop.full_build();
    count(shop, prove(build, {.advise = false}), counts);
  }
  expect_coverage(counts, draws);
  EXPECT_GT(counts.size(), 40U);
}

TEST(Coverage, EngineReadAtSinglePointsHoldsTheTruthAsOftenAsStated) {
  constexpr int draws = 500;
  std::map<std::string, Count> counts;
  for (int seed = 1; seed <= draws; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed) + 10000, shop_options(seed));
    build::Build build = shop.parts();
    build.readings.push_back(shop.stop(build::Turning::forward, 40));
    build.readings.push_back(shop.stop(build::Turning::backward, 40));
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      for (const double lift : {0.006, 0.050, 0.200}) {
        build.readings.push_back(shop.lobe_point({1, valve}, Side::opening, lift));
        build.readings.push_back(shop.lobe_point({1, valve}, Side::closing, lift));
      }
      build.readings.push_back(shop.lobe_top({1, valve}));
    }
    count(shop, prove(build, {.advise = false}), counts);
  }
  std::erase_if(counts, [](const auto& one) { return one.first.starts_with("cam.phase_error"); });
  expect_coverage(counts, draws);
}

TEST(Coverage, TdcFromDropsAndFromASweepHoldsTheTruthAsOftenAsStated) {
  constexpr int draws = 500;
  std::map<std::string, Count> drops;
  std::map<std::string, Count> sweeps;
  for (int seed = 1; seed <= draws; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed) + 20000, shop_options(seed));
    build::Build build = shop.parts();
    build.readings = {shop.drop(Side::before, 0.050), shop.drop(Side::after, 0.050),
                      shop.drop(Side::before, 0.100), shop.drop(Side::after, 0.100)};
    count(shop, prove(build, {.advise = false}), drops);
    build.readings = {shop.tdc_sweep()};
    count(shop, prove(build, {.advise = false}), sweeps);
  }
  expect_coverage(drops, draws);
  expect_coverage(sweeps, draws);
}

}  // namespace
}  // namespace fettle::stations
