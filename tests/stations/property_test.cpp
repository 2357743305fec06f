#include <functional>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "bench.h"

/// What must not depend on how an engine was read: properties over invented engines. Readings of one engine
/// are changed as the change of frame says, and every finding is compared.
namespace fettle::stations::test {
namespace {

using invented::Shop;

constexpr double exactly = 1e-7;

/// An engine read at points on some cylinders, a lobe or two swept, and TDC found by stop, drops and sweep.
build::Build any_build() {
  const auto seed = *rc::gen::inRange(1, 1'000'000);
  Shop shop(static_cast<std::uint64_t>(seed), cam_late(*rc::gen::inRange(-60, 60) / 10.0));
  build::Build build = point_build(shop, {1, *rc::gen::inRange(2, 9)}, *rc::gen::arbitrary<bool>());
  if (*rc::gen::arbitrary<bool>()) {
    build.readings.push_back(shop.drop(Side::before, 0.050));
    build.readings.push_back(shop.drop(Side::after, 0.050));
  }
  if (*rc::gen::arbitrary<bool>()) {
    const LobeKey key{*rc::gen::inRange(1, 9), Valve::exhaust};
    build.readings.push_back(shop.lobe_sweep(key));
    build.readings.push_back(shop.lobe_sweep(key, Turning::backward));
  }
  return build;
}

/// How much the change is expected to add to a finding.
using Shift = std::function<double(const Finding&)>;

double nothing(const Finding& /*finding*/) {
  return 0;
}

void expect_shifted(const build::Build& build, const Report& before, const Report& after,
                    const Shift& shift) {
  RC_ASSERT(before.findings.size() == after.findings.size());
  for (const Finding& one : before.findings) {
    const Finding* other = find(after, one.id, one.where);
    RC_ASSERT(other != nullptr);
    RC_ASSERT(one.value.has_value() == other->value.has_value());
    if (one.value) {
      double off = *other->value - *one.value - shift(one);
      off = one.id == "tdc.wheel" ? mechanism::wrap_centred(off, mechanism::full_turn) : off;
      if (std::abs(off) > allowed(build, one)) {
        RC_FAIL(fmt::format("{} moved by {} more than expected", one.id, off));
      }
    }
  }
}

double event_shift(const Finding& finding, double later) {
  if (finding.id == "cam.opening" || finding.id == "cam.closing" || finding.id == "cam.intake_centerline" ||
      finding.id == "cam.phase_error") {
    return later;
  }
  if (finding.id == "cam.exhaust_centerline" || finding.id == "cam.advance") {
    return -later;
  }
  return 0;
}

RC_GTEST_PROP(StationProperties, AdvancingTheCamMovesEveryEventAlikeAndNothingElse, ()) {
  build::Build build = any_build();
  const Report before = prove(build, {.advise = false});
  const double later = *rc::gen::inRange(-200, 200) / 10.0 * degree;
  for (build::Reading& reading : build.readings) {
    if (reading.valve) {
      turn_wheel(reading, later);
    }
  }
  expect_shifted(build, before, prove(build, {.advise = false}),
                 [&](const Finding& finding) { return event_shift(finding, later); });
}

RC_GTEST_PROP(StationProperties, TurningTheWheelOnTheCrankMovesItsTdcAlone, ()) {
  build::Build build = any_build();
  const Report before = prove(build, {.advise = false});
  const double by = *rc::gen::inRange(0, 3600) / 10.0 * degree;
  for (build::Reading& reading : build.readings) {
    turn_wheel(reading, by);
  }
  expect_shifted(build, before, prove(build, {.advise = false}),
                 [&](const Finding& finding) { return finding.id == "tdc.wheel" ? by : 0; });
}

RC_GTEST_PROP(StationProperties, WheelNumberedTheOtherWaySaysTheSame, ()) {
  build::Build build = any_build();
  const Report before = prove(build);
  for (build::Reading& reading : build.readings) {
    mirror_wheel(reading);
  }
  build.tools["wheel"].counts = Turning::backward;
  const Report after = prove(build);
  expect_shifted(build, before, after,
                 [&](const Finding& finding) { return finding.id == "tdc.wheel" ? -2 * *finding.value : 0; });
  RC_ASSERT(mistake_ids(before) == mistake_ids(after));
}

/// Retyped to the hundredth of a micrometre, so that rounding is far below `exactly`.
build::Length in_millimetres(const build::Length& length) {
  const double mm = std::round(length.si() * 1e10) / 1e7;
  return millimetres(mm);
}

void retype(std::optional<build::Length>& length) {
  if (length) {
    length = in_millimetres(*length);
  }
}

RC_GTEST_PROP(StationProperties, UnitsDoNotMatter, ()) {
  build::Build build = any_build();
  const Report before = prove(build);
  build.engine.bore = in_millimetres(build.engine.bore);
  build.engine.stroke = in_millimetres(build.engine.stroke);
  build.engine.rod_length = in_millimetres(build.engine.rod_length);
  retype(build.engine.pin_offset);
  for (build::Reading& reading : build.readings) {
    for (auto* length : {&reading.lift, &reading.below_max, &reading.drop}) {
      retype(*length);
    }
    for (auto& one : reading.points) {
      one.lift = in_millimetres(one.lift);
    }
  }
  const Report after = prove(build);
  for (const Finding& one : before.findings) {
    const auto same = std::find_if(after.findings.begin(), after.findings.end(), [&](const Finding& other) {
      return other.id == one.id && other.where.cylinder == one.where.cylinder &&
             other.where.valve == one.where.valve &&
             std::abs(other.where.at.value_or(0) - one.where.at.value_or(0)) < 1e-8;
    });
    RC_ASSERT(same != after.findings.end());
    RC_ASSERT(same->verdict == one.verdict);
    RC_ASSERT(!one.value || std::abs(*one.value - *same->value) < 1e-6);
  }
  RC_ASSERT(mistake_ids(before) == mistake_ids(after));
}

RC_GTEST_PROP(StationProperties, OrderOfTheReadingsDoesNotMatter, ()) {
  build::Build build = any_build();
  const Report before = prove(build);
  std::vector<std::size_t> order(build.readings.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[i] = i;
    std::swap(order[i], order[*rc::gen::inRange<std::size_t>(0, i + 1)]);
  }
  build::Build shuffled = build;
  for (std::size_t i = 0; i < order.size(); ++i) {
    shuffled.readings[i] = build.readings[order[i]];
  }
  const Report after = prove(shuffled);
  expect_shifted(build, before, after, nothing);
  for (const Finding& one : before.findings) {
    RC_ASSERT(std::abs(one.u - find(after, one.id, one.where)->u) < exactly);
  }
  RC_ASSERT(mistake_ids(before) == mistake_ids(after));
  RC_ASSERT(before.corrections.size() == after.corrections.size());
}

RC_GTEST_PROP(StationProperties, RepeatingEveryReadingNeverAddsDoubt, ()) {
  build::Build build = any_build();
  const Report before = prove(build, {.advise = false});
  for (build::Reading& reading : build.readings) {
    if (reading.wheel) {
      reading.repeats = {*reading.wheel, *reading.wheel};
    }
  }
  const Report after = prove(build, {.advise = false});
  expect_shifted(build, before, after, nothing);
  for (const Finding& one : before.findings) {
    RC_ASSERT(find(after, one.id, one.where)->u <= one.u * (1 + 1e-9));
  }
}

}  // namespace
}  // namespace fettle::stations::test
