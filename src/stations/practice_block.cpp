#include <array>
#include <cmath>

#include "stations/practice.h"

namespace fettle::stations {
namespace {

using build::Practice;

constexpr double inch = 0.0254;
constexpr double psi = 6894.757293168;
constexpr double gram = 1e-3;

/// One row a kind of engine: quench in inches, ratios, cranking pressure in psi.
struct BlockRow {
  Practice practice;
  const char* source;
  std::optional<double> quench_least, quench_most;
  double ratio_least, ratio_most;
  double effective_least, effective_most;
  double cranking_least, cranking_most;
};
constexpr std::array block_rows{
    BlockRow{Practice::street_pushrod, "common practice, street pushrod", 0.038, 0.050, 8.5, 10, 7.3, 8.2,
             140, 175},
    BlockRow{Practice::performance_pushrod, "common practice, performance pushrod", 0.035, 0.042, 10, 11.5,
             7.8, 8.7, 165, 200},
    BlockRow{Practice::twin_cam, "common practice, twin cam", 0.030, 0.045, 10, 12.5, 8, 9, 175, 220},
    BlockRow{
        Practice::vintage_solid, "common practice, vintage, solid lifters", {}, {}, 7, 8.5, 6, 7.3, 100, 135},
};

const BlockRow& row_of(const build::Build& build) {
  const Practice practice = build.engine.practice.value_or(Practice::street_pushrod);
  for (const BlockRow& row : block_rows) {
    if (row.practice == practice) {
      return row;
    }
  }
  return block_rows.front();
}

std::optional<LimitInForce> compression_limit(const BlockRow& row, const std::string& id) {
  if (id == "compression.quench" && row.quench_least) {
    return LimitInForce{*row.quench_least * inch, *row.quench_most * inch, row.source};
  }
  if (id == "compression.static_ratio") {
    return LimitInForce{row.ratio_least, row.ratio_most, std::string(row.source) + ", pump fuel"};
  }
  if (id == "compression.effective_ratio") {
    return LimitInForce{row.effective_least, row.effective_most, row.source};
  }
  if (id == "compression.cranking_pressure" || id == "compression.gauge_pressure") {
    return LimitInForce{row.cranking_least * psi, row.cranking_most * psi, row.source};
  }
  if (id == "compression.gauge_part") {
    return LimitInForce{0.70, {}, "common practice: the lowest at least 70 % of the highest"};
  }
  return std::nullopt;
}

/// Stretch of rod bolts by the diameter of their thread, inches.
struct RodBolt {
  double diameter, least, most;
};
constexpr std::array rod_bolts{
    RodBolt{5.0 / 16, 0.0055, 0.0065},
    RodBolt{3.0 / 8, 0.005, 0.007},
    RodBolt{7.0 / 16, 0.007, 0.008},
};

std::optional<LimitInForce> stretch_limit(const build::Fastener& fastener) {
  if (fastener.stretch_least || fastener.stretch_most) {
    LimitInForce limit{{}, {}, "the fastener's own, as typed"};
    if (fastener.stretch_least) {
      limit.min = fastener.stretch_least->si();
    }
    if (fastener.stretch_most) {
      limit.max = fastener.stretch_most->si();
    }
    return limit;
  }
  if (fastener.use != build::FastenerUse::rod) {
    return std::nullopt;
  }
  constexpr double same = 0.002;
  for (const RodBolt& bolt : rod_bolts) {
    if (std::abs(fastener.diameter.si() / inch - bolt.diameter) < same) {
      return LimitInForce{bolt.least * inch, bolt.most * inch, "common practice, rod bolts of this size"};
    }
  }
  return std::nullopt;
}

std::optional<LimitInForce> fastener_limit(const build::Build& build, const std::string& id,
                                           const Where& where) {
  const auto set = build.fasteners.find(where.part);
  if (id == "fastener.stretch" && set != build.fasteners.end()) {
    return stretch_limit(set->second);
  }
  if (id == "fastener.set") {
    return LimitInForce{{}, 0.0005 * inch, "common practice: a set of 0.0005 to 0.001 in is scrap"};
  }
  if (id == "fastener.proof_part") {
    return LimitInForce{{}, 1.0, "below the proof strength nothing stays stretched"};
  }
  if (id == "fastener.yield_margin") {
    return LimitInForce{0.0, {}, "it must not yield"};
  }
  if (id == "fastener.stretch_scatter") {
    return LimitInForce{{}, 0.10, "common practice: within 10 % at one torque"};
  }
  return std::nullopt;
}

}  // namespace

std::optional<LimitInForce> block_practice(const build::Build& build, const std::string& id,
                                           const Where& where) {
  if (id == "deck.error") {
    return LimitInForce{-0.005 * inch, 0.005 * inch, "common practice: measured and from the parts agree"};
  }
  if (id == "balance.weight_spread") {
    return LimitInForce{{}, 2 * gram, "common practice: within 1 to 2 g over the cylinders"};
  }
  if (id == "balance.reciprocating_spread") {
    return LimitInForce{{}, 2 * gram, "common practice: within 1 to 2 g over the cylinders"};
  }
  if (id == "balance.rod_closure") {
    return LimitInForce{-2 * gram, 2 * gram, "common practice: both ends make up the whole rod"};
  }
  if (id.starts_with("fastener.")) {
    return fastener_limit(build, id, where);
  }
  return compression_limit(row_of(build), id);
}

}  // namespace fettle::stations
