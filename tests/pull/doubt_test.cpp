// What the readings' doubt makes of torque, and each cylinder's own compression ratio.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "pull/plan.h"
#include "small_engine.h"
#include "stations/prove.h"
#include "support/invented_shop.h"

namespace fettle::pull::test {
namespace {

const TorqueDoubt& doubt_of(const PullResult& result, const std::string& source) {
  const auto found = std::find_if(result.doubts.begin(), result.doubts.end(),
                                  [&](const TorqueDoubt& d) { return d.source == source; });
  if (found == result.doubts.end()) {
    throw std::logic_error(source);
  }
  return *found;
}

// The central difference done by hand: the cam by the option for it, the ratio by the document. The steps are
// those that doubt.cpp states.
TEST(Doubt, SensitivitiesAreCentralDifferences) {
  auto document = single_document();
  PullOptions options = at_speeds(2500, 4500, 2000);
  const PullResult plain = run(document, options);
  options.cam = {-3 * degree, 3 * degree};
  const PullResult moved = run(document, options);
  options.cam = {0.0};
  document["engine"]["compression_ratio"] = 9.6;
  const PullResult less = run(document, options);
  document["engine"]["compression_ratio"] = 10.4;
  const PullResult more = run(document, options);

  options.doubts = true;
  const PullResult doubted = run(single_document(), options);
  const TorqueDoubt& cam = doubt_of(doubted, "cam phase");
  const TorqueDoubt& ratio = doubt_of(doubted, "compression ratio");
  ASSERT_EQ(cam.at.size(), 2U);
  for (std::size_t i = 0; i < 2; ++i) {
    const auto torque = [i](const PullResult& r, std::size_t curve = 0) {
      return r.curves[curve].points[i].brake_torque;
    };
    const double by_cam = (torque(moved, 1) - torque(moved, 0)) / (6 * degree);
    EXPECT_NEAR(cam.at[i].per_unit, by_cam, 1e-5 * std::abs(torque(plain)) / degree);
    const double by_ratio = (torque(more) - torque(less)) / 0.8;
    EXPECT_NEAR(ratio.at[i].per_unit, by_ratio, 1e-5 * std::abs(torque(plain)));
    EXPECT_GT(by_ratio, 0.0);  // Otto
    EXPECT_EQ(torque(doubted), torque(plain));
    // Nothing was read, so there is no doubt to speak of: none is made up.
    EXPECT_FALSE(cam.u);
    EXPECT_FALSE(cam.at[i].torque_u);
    EXPECT_FALSE(ratio.at[i].torque_u);
  }
}

// JCGM 100:2008, 5.1.3: the doubt of the result is the sensitivity times that of the input, here the greatest
// of the findings; and nothing of the model's own part is in it.
TEST(Doubt, IsTheSensitivityTimesTheFindingsDoubtAndNoMore) {
  invented::Shop shop(5);
  const build::Build build = shop.full_build();
  double greatest = 0.0;
  for (const auto& finding : stations::prove(build, {.advise = false}).findings) {
    if (finding.id == "cam.phase_error" && finding.value) {
      greatest = std::max(greatest, finding.u);
    }
  }
  ASSERT_GT(greatest, 0.0);
  PullOptions options = at_speeds(4000, 4000);
  options.doubts = true;
  const auto outcome = pull(build, options);
  ASSERT_TRUE(outcome.result);
  const TorqueDoubt& cam = doubt_of(*outcome.result, "cam phase");
  ASSERT_TRUE(cam.u);
  EXPECT_NEAR(*cam.u, greatest, 1e-12 * greatest);
  ASSERT_TRUE(cam.at[0].torque_u);
  EXPECT_NEAR(*cam.at[0].torque_u, std::abs(cam.at[0].per_unit) * greatest, 1e-9 * *cam.at[0].torque_u);
  // Tenths of a degree of cam are tenths of a percent of torque, where the model may be off by a tenth.
  EXPECT_LT(*cam.at[0].torque_u, 0.01 * outcome.result->curves[0].points[0].brake_torque);
}

// 1 + swept/clearance by hand: bore 88, stroke 82, gasket 1 mm thick and as wide as the bore, piston 0.5 mm
// below the deck, dish 4 cc; chambers 42 and 44 cc were poured, the others not.
TEST(Plan, EveryCylinderHasTheRatioOfItsOwnVolumes) {
  auto document = single_document();
  document["engine"]["layout"] = "inline 4";
  document["engine"]["firing_order"] = {1, 3, 4, 2};
  document["gasket"] = {{"thickness", "1 mm"}, {"bore", "88 mm"}};
  document["crowns"] = {{"dish", "4 cc"}};
  document["readings"] = nlohmann::json::array();
  const auto read = [&](int cylinder, const char* volume) {
    document["readings"].push_back({{"id", "c" + std::to_string(cylinder)},
                                    {"kind", "chamber_fill"},
                                    {"cylinder", cylinder},
                                    {"volume", volume}});
    document["readings"].push_back({{"id", "d" + std::to_string(cylinder)},
                                    {"kind", "deck_clearance"},
                                    {"cylinder", cylinder},
                                    {"below", "0.5 mm"}});
  };
  read(1, "42 cc");
  read(2, "44 cc");
  const auto outcome = plan_engine(build_of(document), {});
  ASSERT_TRUE(outcome.plan);
  const double disc = 0.25 * std::numbers::pi * 88.0 * 88.0;  // mm2
  const auto ratio = [&](double chamber) {
    return 1.0 + disc * 82.0 / (1000.0 * (chamber + 4.0) + disc * 1.5);
  };
  const auto& cylinders = outcome.plan->cylinders;
  EXPECT_NEAR(cylinders[0].compression_ratio, ratio(42.0), 1e-6);
  EXPECT_NEAR(cylinders[1].compression_ratio, ratio(44.0), 1e-6);
  EXPECT_NEAR(cylinders[2].compression_ratio, 0.5 * (ratio(42.0) + ratio(44.0)), 1e-6);
  const auto unread = plan_engine(build_of(single_document()), {});
  EXPECT_EQ(unread.plan->cylinders[0].compression_ratio, 10.0);
}

// A flame in place of Wiebe's law, and its balances.
TEST(Pull, RunsWithATurbulentFlame) {
  ModelOptions model;
  model.burn_model = BurnModel::flame;
  auto document = single_document();
  document.erase("ignition");
  const SpeedPoint slow = run_one(document, 1500, model);
  const SpeedPoint fast = run_one(document, 4500, model);
  for (const SpeedPoint* p : {&slow, &fast}) {
    EXPECT_TRUE(p->converged) << p->why;
    EXPECT_LT(p->mass_error, 1e-9);
    EXPECT_LT(p->energy_error, 1e-9);
    EXPECT_GT(p->brake_torque, 10.0);
  }
  // Longer in crank angle as speed rises (Heywood, section 9.3.2).
  EXPECT_GT(fast.cylinders[0].burn_duration, slow.cylinders[0].burn_duration);
  EXPECT_GT(fast.advance, slow.advance);
}

}  // namespace
}  // namespace fettle::pull::test
