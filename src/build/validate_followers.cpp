#include "build/validate_followers.h"

#include <set>
#include <utility>

#include "build/bounds.h"
#include "build/layout.h"
#include "build/names.h"
#include "build/validate_readings.h"
#include "quantity/angle.h"

namespace fettle::build {
namespace {

constexpr double degree = quantity::radians_per_degree;

void check_finger(const FingerDimensions& finger, const std::string& place, Problems& problems) {
  Bounds bounds(place, problems);
  const char* const arms = "2 to 200 mm";
  bounds.check("pivot_to_valve", finger.pivot_to_valve, 0.002, 0.2, arms, "\"36 mm\"");
  bounds.check("pivot_height", finger.pivot_height, -0.1, 0.1, "-100 to 100 mm", "\"1 mm\"");
  bounds.check("tip_arm", finger.tip_arm, 0.002, 0.2, arms, "\"36 mm\"");
  bounds.check("tip_radius", finger.tip_radius, 0, 0.1, "0 to 100 mm", "\"12 mm\"");
  bounds.check("roller_arm", finger.roller_arm, 0.002, 0.2, arms, "\"20 mm\"");
  bounds.check("arm_angle", finger.arm_angle, -90 * degree, 90 * degree, "-90 to 90 deg", "\"12 deg\"");
  bounds.check("cam_to_valve", finger.cam_to_valve, -0.2, 0.2, "-200 to 200 mm", "\"17 mm\"");
  bounds.check("cam_height", finger.cam_height, 0.002, 0.2, arms, "\"30 mm\"");
}

void check_follower(const FollowerPart& part, const std::string& place, Problems& problems) {
  Bounds bounds(place, problems);
  const char* const diameters = "1 to 200 mm";
  bounds.check("base_circle", part.base_circle, 0.001, 0.2, diameters, "\"34 mm\"");
  bounds.check("face_diameter", part.face_diameter, 0.001, 0.2, diameters, "\"31 mm\"");
  bounds.check("roller_diameter", part.roller_diameter, 0.001, 0.2, diameters, "\"0.750 in\"");
  bounds.check("lobe_width", part.lobe_width, 0.001, 0.2, diameters, "\"12 mm\"");
  if (!part.finger) {
    return;
  }
  check_finger(*part.finger, place + ".finger", problems);
  if (!part.base_circle || !part.roller_diameter) {
    problems.push_back({place + ".finger", "a finger without base_circle and roller_diameter",
                        "both beside it, in followers of the same valve", "\"roller_diameter\": \"18 mm\""});
  }
}

/// One shim at a valve, at a cylinder that the engine has.
void check_fitted(const BucketShims& shims, int cylinders, Problems& problems) {
  std::set<std::pair<int, Valve>> seen;
  for (std::size_t i = 0; i < shims.fitted.size(); ++i) {
    const BucketShim& one = shims.fitted[i];
    const std::string place = fmt::format("bucket_shims.fitted[{}]", i);
    if (cylinders > 0 && (one.cylinder < 1 || one.cylinder > cylinders)) {
      problems.push_back(
          {place + ".cylinder", fmt::format("{}", one.cylinder), fmt::format("1 to {}", cylinders), "1"});
    }
    if (!seen.insert({one.cylinder, one.valve}).second) {
      problems.push_back(
          {place, fmt::format("{} {} a second time", word(one.valve), one.cylinder), "one shim a valve", ""});
    }
  }
}

void check_shims(const BucketShims& shims, int cylinders, Problems& problems) {
  const char* const thicknesses = "0.1 to 50 mm";
  Bounds bounds("bucket_shims", problems);
  for (std::size_t i = 0; i < shims.fitted.size(); ++i) {
    bounds.check(fmt::format("fitted[{}].thickness", i).c_str(), shims.fitted[i].thickness, 1e-4, 0.05,
                 thicknesses, "\"2.68 mm\"");
  }
  for (std::size_t i = 0; i < shims.stock.size(); ++i) {
    bounds.check(fmt::format("stock[{}].thickness", i).c_str(), shims.stock[i].thickness, 1e-4, 0.05,
                 thicknesses, "\"2.70 mm\"");
    if (const auto& count = shims.stock[i].count; count && (*count < 0 || *count > 1000)) {
      problems.push_back({fmt::format("bucket_shims.stock[{}].count", i), fmt::format("{}", *count),
                          "0 to 1000 shims", "1"});
    }
  }
  for (std::size_t i = 0; i < shims.sizes.size(); ++i) {
    bounds.check(fmt::format("sizes[{}]", i).c_str(), shims.sizes[i], 1e-4, 0.05, thicknesses, "\"2.65 mm\"");
  }
  check_fitted(shims, cylinders, problems);
}

void check_spring_tolerances(const std::optional<SpringSpec>& spec, const char* place, Problems& problems) {
  if (!spec) {
    return;
  }
  Bounds bounds(place, problems);
  bounds.check("rate_tolerance", spec->rate_tolerance, 0, 1e6, "0 to 1000 N/mm", "\"15 lbf/in\"");
  bounds.check("solid_tolerance", spec->solid_tolerance, 0, 0.01, "0 to 10 mm", "\"0.010 in\"");
  bounds.check("wire_tolerance", spec->wire_tolerance, 0, 0.001, "0 to 1 mm", "\"0.001 in\"");
}

}  // namespace

void check_followers(const Build& build, Problems& problems) {
  if (build.followers && build.followers->intake) {
    check_follower(*build.followers->intake, "followers.intake", problems);
  }
  if (build.followers && build.followers->exhaust) {
    check_follower(*build.followers->exhaust, "followers.exhaust", problems);
  }
  if (build.bucket_shims) {
    const auto layout = parse_layout(build.engine.layout);
    check_shims(*build.bucket_shims, layout ? layout->cylinders : 0, problems);
  }
  if (build.springs) {
    check_spring_tolerances(build.springs->intake, "springs.intake", problems);
    check_spring_tolerances(build.springs->exhaust, "springs.exhaust", problems);
  }
  if (build.timing_set && build.timing_set->exhaust_fitted &&
      !offers(*build.timing_set, *build.timing_set->exhaust_fitted)) {
    problems.push_back({"timing_set.exhaust_fitted",
                        fmt::format("\"{}\"", build.timing_set->exhaust_fitted->typed()),
                        "one of timing_set.positions", ""});
  }
}

}  // namespace fettle::build
