#include "build/validate_rockers.h"

#include <cmath>

#include <fmt/format.h>

#include "build/bounds.h"
#include "quantity/angle.h"

namespace fettle::build {
namespace {

constexpr double degree = quantity::radians_per_degree;

void check_dimensions(const RockerDimensions& rocker, bool pushrod_known, const std::string& place,
                      Problems& problems) {
  Bounds bounds(place, problems);
  const char* const arms = "5 to 200 mm";
  const char* const leans = "-45 to 45 deg";
  bounds.check("pivot_to_valve", rocker.pivot_to_valve, 0.005, 0.2, arms, "\"1.500 in\"");
  bounds.check("pivot_height", rocker.pivot_height, -0.1, 0.1, "-100 to 100 mm", "\"0.150 in\"");
  bounds.check("tip_arm", rocker.tip_arm, 0.005, 0.2, arms, "\"1.520 in\"");
  bounds.check("cup_arm", rocker.cup_arm, 0.005, 0.2, arms, "\"1.000 in\"");
  bounds.check("arm_angle", rocker.arm_angle, 90 * degree, 270 * degree, "90 to 270 deg", "\"160 deg\"");
  bounds.check("tip_radius", rocker.tip_radius, 0, 0.1, "0 to 100 mm", "\"0.250 in\"");
  bounds.check("pushrod_lean", rocker.pushrod_lean, -45 * degree, 45 * degree, leans, "\"8 deg\"");
  bounds.check("lifter_lean", rocker.lifter_lean, -45 * degree, 45 * degree, leans, "\"5 deg\"");
  bounds.check("stud_lean", rocker.stud_lean, -45 * degree, 45 * degree, leans, "\"0 deg\"");
  bounds.check("pushrod", rocker.pushrod, 0.02, 1, "20 mm to 1 m", "\"7.800 in\"");
  bounds.check("gasket", rocker.gasket, 0, 0.02, "0 to 20 mm", "\"0.041 in\"");
  bounds.check("milled", rocker.milled, 0, 0.01, "0 to 10 mm", "\"0.010 in\"");
  bounds.check("cut", rocker.cut, 0, 0.01, "0 to 10 mm", "\"0.005 in\"");
  if (!bounds.sound()) {
    return;
  }
  if (!pushrod_known && !rocker.pushrod) {
    problems.push_back({place, "a geometry without the pushrod's length",
                        "pushrods.length, or pushrod here: the length in place while measuring",
                        "\"pushrod\": \"7.800 in\""});
  }
  const double drop = rocker.tip_radius.si() - rocker.pivot_height.si();
  if (std::abs(drop) >= rocker.tip_arm.si()) {
    problems.push_back({place + ".tip_arm", fmt::format("\"{}\"", rocker.tip_arm.typed()),
                        "long enough that the tip reaches the closed valve: more than the tip's radius less "
                        "the pivot's height",
                        "\"1.520 in\""});
    return;
  }
  // A pushrod that points through the pivot cannot turn the rocker. Angles counted anticlockwise.
  const double cup = std::asin(drop / rocker.tip_arm.si()) + rocker.arm_angle.si();
  const double leverage = std::cos(rocker.pushrod_lean.si() + cup);
  if (!(leverage < -0.1)) {
    problems.push_back({place + ".arm_angle", fmt::format("\"{}\"", rocker.arm_angle.typed()),
                        "an angle, measured over the top of the rocker, that puts the cup on the far side "
                        "from the valve",
                        "\"160 deg\""});
  }
}

void check_pushrods(const Pushrods& pushrods, Problems& problems) {
  Bounds bounds("pushrods", problems);
  const char* const lengths = "20 mm to 1 m";
  bounds.check("length", pushrods.length, 0.02, 1, lengths, "\"7.800 in\"");
  bounds.check("outside_diameter", pushrods.outside_diameter, 0.001, 0.05, "1 to 50 mm", "\"0.3125 in\"");
  bounds.check("ball_diameter", pushrods.ball_diameter, 0.001, 0.018, "1 to 18 mm", "\"0.3125 in\"");
  const double thickest = pushrods.outside_diameter ? pushrods.outside_diameter->si() / 2 : 0.025;
  bounds.check("wall", pushrods.wall, 1e-4, thickest, "0.1 mm to half the outside diameter", "\"0.080 in\"");
  bounds.check("angle", pushrods.angle, 0, 45 * degree, "0 to 45 deg", "\"8 deg\"");
  bounds.check("yield_strength", pushrods.yield_strength, 50e6, 5e9, "50 MPa to 5 GPa", "\"690 MPa\"");
  for (std::size_t i = 0; i < pushrods.choices.size(); ++i) {
    bounds.check(fmt::format("choices[{}]", i).c_str(), pushrods.choices[i], 0.02, 1, lengths,
                 "\"7.850 in\"");
  }
}

void check_lifters(const Lifters& lifters, Problems& problems) {
  Bounds bounds("lifters", problems);
  bounds.check("plunger_travel", lifters.plunger_travel, 1e-4, 0.02, "0.1 to 20 mm", "\"0.180 in\"");
  bounds.check("thread_pitch", lifters.thread_pitch, 1e-4, 0.005, "0.1 to 5 mm a turn", "\"0.0417 in\"");
}

}  // namespace

void check_rockers(const Build& build, Problems& problems) {
  const bool pushrod_known = build.pushrods && build.pushrods->length;
  if (build.pushrods) {
    check_pushrods(*build.pushrods, problems);
  }
  if (build.lifters) {
    check_lifters(*build.lifters, problems);
  }
  if (!build.rockers) {
    return;
  }
  for (const auto& ratio : {build.rockers->intake_ratio, build.rockers->exhaust_ratio}) {
    if (ratio && (*ratio < 0.5 || *ratio > 3)) {
      problems.push_back(
          {"rockers", fmt::format("{}", *ratio), "a ratio of valve lift over lobe lift, 0.5 to 3", "1.5"});
    }
  }
  if (build.rockers->geometry) {
    const RockerGeometry& geometry = *build.rockers->geometry;
    if (geometry.intake) {
      check_dimensions(*geometry.intake, pushrod_known, "rockers.geometry.intake", problems);
    }
    if (geometry.exhaust) {
      check_dimensions(*geometry.exhaust, pushrod_known, "rockers.geometry.exhaust", problems);
    }
  }
}

}  // namespace fettle::build
