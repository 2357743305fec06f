// Valves as they run in the pull.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "mechanism/valve_dynamics.h"
#include "pull/plan.h"
#include "pull/running_valves.h"
#include "pull/valve_plan.h"
#include "small_engine.h"
#include "stations/observed.h"
#include "stations/sources.h"
#include "stations/train_state.h"

namespace fettle::pull::test {
namespace {

using build::Valve;
using nlohmann::json;

/// The single with buckets, its springs of so much load closed and so much more with the valve open by 10 mm.
json sprung_document(double closed, double more) {
  json document = single_document();
  document["valve_train"] = {{"redline", "7000 rpm"}};
  document["valves"] = {{"intake", {{"mass", "60 g"}}}, {"exhaust", {{"mass", "55 g"}}}};
  document["readings"] = json::array();
  for (const char* valve : {"intake", "exhaust"}) {
    document["valve_train"][valve] = {{"retainer", "15 g"}, {"spring", "45 g"}, {"lifter", "50 g"}};
    document["readings"].push_back(
        {{"kind", "installed_height"}, {"cylinder", 1}, {"valve", valve}, {"height", "36 mm"}});
    for (const double open : {0.0, 10.0}) {
      document["readings"].push_back({{"kind", "spring_load"},
                                      {"cylinder", 1},
                                      {"valve", valve},
                                      {"height", fmt::format("{} mm", 36 - open)},
                                      {"load", fmt::format("{} N", closed + more * open / 10)}});
    }
  }
  return document;
}

json firm() {
  return sprung_document(320, 350);
}
json weak() {
  return sprung_document(90, 90);
}

EnginePlan plan_of(const json& document) {
  auto outcome = plan_engine(build_of(document), {});
  if (!outcome.plan) {
    throw std::logic_error(outcome.problems.front().message());
  }
  return *outcome.plan;
}

TEST(RunningValves, NothingAddedLeavesTheValveAsTurnedByHand) {
  const json document = firm();
  const EnginePlan plan = plan_of(document);
  Silent said;
  const auto build = build_of(document);
  const PortFlow flow(build, Valve::intake, valve_size(build, Valve::intake, said), said);
  ValvePlan moved = plan.cylinders[0].intake;
  move_valve(moved, flow, [](double) { return 0.0; });
  const ValvePlan& by_hand = plan.cylinders[0].intake;
  for (std::size_t i = 0; i < valve_samples; ++i) {
    EXPECT_NEAR(moved.lift[i], by_hand.lift[i], 1e-12);
    EXPECT_NEAR(moved.area[i], by_hand.area[i], 1e-12);
  }
  EXPECT_NEAR(moved.opens, by_hand.opens, 0.1 * degree);
  EXPECT_NEAR(moved.closes, by_hand.closes, 0.1 * degree);
}

TEST(RunningValves, BounceKeepsTheValveOpenToItsLastHop) {
  const json document = firm();
  Silent said;
  const auto build = build_of(document);
  const PortFlow flow(build, Valve::intake, valve_size(build, Valve::intake, said), said);
  ValvePlan moved = plan_of(document).cylinders[0].intake;
  const double by_hand = moved.closes;
  const double hop = by_hand - moved.top + 20 * degree;  // a hop of half a millimetre, 10 degrees either way
  move_valve(moved, flow, [hop](double at) {
    const double part = (at - hop) / (10 * degree);
    return std::abs(part) < 1 ? 5e-4 * (1 - part * part) : 0.0;
  });
  // 0.1 mm of 0.5 mm: sqrt(0.8) of the half width.
  EXPECT_NEAR(moved.closes, by_hand + (20 + 10 * std::sqrt(0.8)) * degree, 0.3 * degree);
}

// Slow, what is left is what the lobe's contact gives way under the springs: some micrometres.
TEST(RunningValves, SlowlyTheyMoveAsTurnedByHand) {
  const json document = firm();
  const EnginePlan plan = plan_of(document);
  const double speed = 800 * rpm;
  const auto running = run_valves(build_of(document), plan, std::span(&speed, 1));
  ASSERT_EQ(running.plans.size(), 1U);
  for (const auto which : {&CylinderPlan::intake, &CylinderPlan::exhaust}) {
    const ValvePlan& moved = running.plans[0].cylinders[0].*which;
    const ValvePlan& by_hand = plan.cylinders[0].*which;
    double off = 0;
    for (std::size_t i = 0; i < valve_samples; ++i) {
      off = std::max(off, std::abs(moved.lift[i] - by_hand.lift[i]));
    }
    EXPECT_LT(off, 25e-6);
    EXPECT_GT(off, 1e-6);  // 320 N on 100 N/µm
    EXPECT_NEAR(moved.opens, by_hand.opens, 1 * degree);
    EXPECT_NEAR(moved.closes, by_hand.closes, 1 * degree);
  }
}

// A bucket without lash whose lobe is the card's: the plan's lift is the running train's, at the same angle
// from full lift.
TEST(RunningValves, FlungValveIsOpenAsFarAsItsTrainSays) {
  const json document = weak();
  const auto build = build_of(document);
  const EnginePlan plan = plan_of(document);
  const double speed = 6500 * rpm;
  const auto running = run_valves(build, plan, std::span(&speed, 1));
  ASSERT_EQ(running.plans.size(), 1U);
  const ValvePlan& moved = running.plans[0].cylinders[0].intake;

  const stations::Sources sources(build);
  const auto setup =
      *stations::train_setup(stations::Observed(sources, sources.estimates()), {1, Valve::intake}).setup;
  mechanism::DynamicsOptions options;
  options.traces = true;
  const auto state =
      mechanism::run_valve(setup.running(), setup.train, std::span(&speed, 1), options).front();
  ASSERT_GT(state.loft, 0.3e-3);
  const auto& trace = *state.trace;
  double most = 0;
  for (std::size_t k = 0; k < trace.lift.size(); k += 7) {
    const double from_top = trace.step * static_cast<double>(k + 1) - 2 * std::numbers::pi;
    const double at = (plan.cylinders[0].intake.top + from_top) / (4 * std::numbers::pi);
    const double place = (at - std::floor(at)) * valve_samples;
    const auto i = static_cast<std::size_t>(place);
    const double part = place - std::floor(place);
    const double lift =
        moved.lift[i % valve_samples] * (1 - part) + moved.lift[(i + 1) % valve_samples] * part;
    if (trace.lift[k] > 0.5e-3) {
      EXPECT_NEAR(lift, trace.lift[k], 40e-6) << from_top / degree;  // half a degree's chord, and what counts
      most = std::max(most, lift);                                   // as seated
    }
  }
  EXPECT_GT(most,
            *std::max_element(plan.cylinders[0].intake.lift.begin(), plan.cylinders[0].intake.lift.end()) +
                0.05e-3);
  EXPECT_GT(moved.closes, plan.cylinders[0].intake.closes);
}

PullResult pulled(const json& document, double speed, bool dynamic) {
  PullOptions options = at_speeds(speed, speed);
  options.dynamic = dynamic;
  return run(document, options);
}

double torque(const PullResult& result) {
  return result.curves.front().points.front().brake_torque;
}

std::string motion_said(const PullResult& result) {
  for (const Assumption& one : result.assumptions) {
    if (one.text == valve_motion_at_speed) {
      return one.value;
    }
  }
  return "";
}

TEST(DynamicPull, SlowlyItIsThePullAsTurnedByHand) {
  const auto by_hand = pulled(firm(), 1500, false);
  const auto as_run = pulled(firm(), 1500, true);
  EXPECT_NEAR(torque(as_run) / torque(by_hand), 1, 4e-3);  // each is settled to 1e-3 of its state
  EXPECT_THAT(motion_said(by_hand), testing::HasSubstr("by hand"));
  EXPECT_THAT(motion_said(as_run), testing::HasSubstr("as run at each speed"));
}

TEST(DynamicPull, FloatingValvesCostTorque) {
  const auto by_hand = pulled(weak(), 6500, false);
  const auto as_run = pulled(weak(), 6500, true);
  EXPECT_GT(std::abs(torque(as_run) / torque(by_hand) - 1), 0.01);
  const auto firmly = pulled(firm(), 6500, true);
  EXPECT_LT(std::abs(torque(firmly) - torque(by_hand)), std::abs(torque(as_run) - torque(by_hand)));
}

TEST(DynamicPull, IsTheSameOnAnyNumberOfThreads) {
  PullOptions options = at_speeds(3000, 6000);
  options.dynamic = true;
  options.model.tolerance = 1e-2;
  const auto one = run(weak(), options);
  options.threads = 3;
  const auto three = run(weak(), options);
  for (std::size_t i = 0; i < one.curves[0].points.size(); ++i) {
    EXPECT_EQ(one.curves[0].points[i].brake_torque, three.curves[0].points[i].brake_torque);
  }
}

TEST(DynamicPull, SaysWhatTheBuildLacks) {
  PullOptions options = at_speeds(3000, 3000);
  options.dynamic = true;
  const auto refused = [&](const json& document) {
    const auto outcome = pull(build_of(document), options);
    EXPECT_FALSE(outcome.result);
    return outcome.problems.empty() ? std::string() : outcome.problems.front().message();
  };
  EXPECT_THAT(refused(single_document()), testing::HasSubstr("valve_train"));
  json document = firm();
  document["valve_train"].erase("redline");
  EXPECT_THAT(refused(document), testing::HasSubstr("redline"));
  document = firm();
  document["valve_train"]["exhaust"].erase("lifter");
  EXPECT_THAT(refused(document), testing::HasSubstr("the weight of the bucket"));
  document = firm();
  document["readings"] = json::array();
  EXPECT_THAT(refused(document), testing::HasSubstr("installed height"));
}

}  // namespace
}  // namespace fettle::pull::test
