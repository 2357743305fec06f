// What a lower head does to preload, pushrods and the mark on the tip.

#include <cmath>
#include <string_view>

#include <gtest/gtest.h>

#include "stations/rocker_bench.h"

namespace fettle::stations::test {
namespace {

using nlohmann::json;

double value(const Report& report, std::string_view id) {
  const Finding* found = find(report, id, {1, build::Valve::intake, {}});
  if (found == nullptr || !found->value) {
    throw std::runtime_error(fmt::format("no value of {}", id));
  }
  return *found->value;
}

double effect_on(const Correction& correction, std::string_view id) {
  for (const Effect& effect : correction.effects) {
    if (effect.from.id == id) {
      return effect.to.value.value();
    }
  }
  throw std::runtime_error(fmt::format("{} is not moved", id));
}

json marked(double offset, double width) {
  json document = rocker_document();
  document["readings"].push_back(mark_reading(offset, width));
  return document;
}

/// A document with a gasket 0.041 in thick and others to be had.
json with_gaskets(json document) {
  document["gasket"] = {{"thickness", typed(0.041)}, {"choices", {typed(0.041), typed(0.027), typed(0.051)}}};
  document["chamber"] = {{"volume", "60 cc"}};
  document["crowns"] = {{"dish", "5 cc"}, {"compression_height", "35 mm"}};
  document["deck"] = {{"height", "227.8 mm"}};
  document["compression"] = {{"wanted_ratio", 9.0}};
  return document;
}

const Correction& gasket_of(const Report& report, std::string_view says) {
  for (const Correction& one : report.corrections) {
    if (one.id.ends_with(".gasket") && one.says.find(says) != std::string::npos) {
      return one;
    }
  }
  throw std::runtime_error("no such gasket");
}

json accepted_document(json document, const Correction& correction) {
  for (const Operation& operation : correction.operations) {
    document[json::json_pointer(operation.path)] = json(operation.value);
  }
  return document;
}

// Rocker and pivot come down with the head; the lifter stays. Its seat is 0.014 in nearer along the bore, and
// by the cosine of the angle between them along the pushrod.
TEST(HeadHeight, AThinnerGasketGoesIntoThePreloadThroughThePushrodsAngle) {
  json document = with_gaskets(rocker_document());
  document["lifters"]["adjuster"] = "none";
  document["rockers"]["geometry"]["intake"]["lifter_lean"] = "8 deg";
  document["pushrods"]["angle"] = "12 deg";
  auto depth = at_valve("plunger_depth");
  depth["depth"] = "0.035 in";
  document["readings"].push_back(depth);
  const double nearer = 0.014 * std::cos(12 * radian);
  const Report report = prove(read(document), {});
  const Correction& thinner = gasket_of(report, "0.014 in (0.36 mm) thinner");
  EXPECT_NEAR(effect_on(thinner, "rocker.preload") / in, 0.035 + nearer, 1e-6);
  const json then = accepted_document(document, thinner);
  EXPECT_EQ(then["readings"][0]["gasket"], typed(0.041));
  EXPECT_NEAR(value(prove(read(then), {}), "rocker.preload"), effect_on(thinner, "rocker.preload"), 1e-12);
  // Known lengths or not, it is the same.
  json bare = document;
  bare.erase("rockers");
  bare["pushrods"].erase("length");
  const Report without = prove(read(bare), {});
  EXPECT_NEAR(effect_on(gasket_of(without, "thinner"), "rocker.preload") / in, 0.035 + nearer, 1e-9);
  // What can be adjusted is set anew.
  document["lifters"]["adjuster"] = "stud_nut";
  const Report adjusted = prove(read(document), {});
  for (const Effect& effect : gasket_of(adjusted, "0.014 in (0.36 mm) thinner").effects) {
    EXPECT_NE(effect.from.id, "rocker.preload");
  }
}

/// The bores lean 20 degrees from the valves, the pushrod 8: 12 degrees between them. Lifters that have come
/// nearer by so much.
struct LoweredHead {
  HandRocker hand;
  double lowered = 0.014;
  double pushrod(double raised) const {
    const auto top = hand.cup(raised, 0);
    auto below = hand.tappet(0);
    below.x += lowered * std::sin(20 * radian);
    below.y += lowered * std::cos(20 * radian);
    return HandRocker::between(top, below) + 0.3125;
  }
};

TEST(HeadHeight, AThinnerGasketAsksForAShorterPushrodAndMovesTheMark) {
  json document = with_gaskets(marked(0.015, 0.05));
  document["pushrods"]["angle"] = "12 deg";
  const Report report = prove(read(document), {});
  const Correction& thinner = gasket_of(report, "0.014 in (0.36 mm) thinner");
  const HandRocker hand;
  const LoweredHead lowered;
  // The length that brings the mark to the middle is that under the same raised pivot.
  const double raised = hand.raised_for_mark(0.015, 0.300);
  EXPECT_NEAR(value(report, "rocker.pushrod_length") / in, hand.pushrod(raised), 1e-5);
  EXPECT_NEAR(effect_on(thinner, "rocker.pushrod_length") / in, lowered.pushrod(raised), 1e-5);
  // With the pushrod that is fitted the pivot stands higher on its stud, and the mark moves with it.
  const double higher = bisect([&](double one) { return lowered.pushrod(one) - 7.8; }, -0.2, 0.2);
  const double moved = hand.travel(higher, 0.300).centre() - hand.travel(0, 0.300).centre();
  EXPECT_GT(std::abs(moved), 1e-4);
  EXPECT_NEAR(effect_on(thinner, "rocker.mark_offset") / in, 0.015 + moved, 1e-5);

  const Report then = prove(read(accepted_document(document, thinner)), {});
  for (const auto* id : {"rocker.mark_offset", "rocker.mark_width", "rocker.pushrod_length"}) {
    EXPECT_NEAR(value(then, id), effect_on(thinner, id), 1e-12) << id;
  }
}

}  // namespace
}  // namespace fettle::stations::test
