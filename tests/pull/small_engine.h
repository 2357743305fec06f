#pragma once

#include <numbers>
#include <stdexcept>
#include <string>

#include <nlohmann/json.hpp>

#include "build/codec.h"
#include "pull/pull.h"

namespace fettle::pull::test {

inline constexpr double rpm = 2.0 * std::numbers::pi / 60.0;
inline constexpr double degree = std::numbers::pi / 180.0;

/// An invented single of half a litre, a throttle of its own on a straight runner and a straight exhaust
/// pipe: the least that breathes.
inline nlohmann::json single_document() {
  return nlohmann::json::parse(R"({
    "fettle": 1, "name": "Invented single",
    "engine": { "layout": "single", "firing_order": [1], "bore": "88 mm", "stroke": "82 mm",
                "rod_length": "140 mm", "compression_ratio": 10 },
    "cam": { "follower": "bucket", "card": {
      "intake": { "centerline": "108 deg", "lift": "9.5 mm",
                  "durations": [ { "at": "0.15 mm", "duration": "266 deg" }, { "at": "1 mm", "duration": "228 deg" } ] },
      "exhaust": { "centerline": "110 deg", "lift": "9.2 mm",
                   "durations": [ { "at": "0.15 mm", "duration": "262 deg" }, { "at": "1 mm", "duration": "224 deg" } ] } } },
    "intake": { "kind": "individual", "runner_length": "300 mm", "runner_diameter": "42 mm" },
    "exhaust": { "primary_length": "700 mm", "primary_diameter": "38 mm" },
    "fuel": { "octane": 100, "lambda": 0.88 },
    "ignition": { "advance": [ { "speed": "1000 rpm", "advance": "26 deg" }, { "speed": "7000 rpm", "advance": "32 deg" } ] }
  })");
}

inline build::Build build_of(const nlohmann::json& document) {
  build::ReadBuild read = build::read_document(document);
  if (!read.build) {
    throw std::logic_error(read.problems.front().message());
  }
  return *read.build;
}

/// Speeds in rpm, one thread.
inline PullOptions at_speeds(double from, double to, double step = 1000.0) {
  PullOptions options;
  options.from = from * rpm;
  options.to = to * rpm;
  options.step = step * rpm;
  options.threads = 1;
  return options;
}

inline PullResult run(const nlohmann::json& document, const PullOptions& options) {
  PullOutcome outcome = pull(build_of(document), options);
  if (!outcome.result) {
    throw std::logic_error(outcome.problems.front().message());
  }
  return std::move(*outcome.result);
}

inline SpeedPoint run_one(const nlohmann::json& document, double speed_rpm, const ModelOptions& model = {}) {
  PullOptions options = at_speeds(speed_rpm, speed_rpm);
  options.model = model;
  return run(document, options).curves.front().points.front();
}

}  // namespace fettle::pull::test
