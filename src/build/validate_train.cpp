#include "build/validate_train.h"

#include <numbers>
#include <string>

#include "build/bounds.h"

namespace fettle::build {
namespace {

void check_parts(const TrainParts& parts, const std::string& place, Problems& problems) {
  Bounds bounds(place, problems);
  const char* const masses = "0.1 g to 5 kg";
  const auto mass = [&](const char* key, const auto& quantity, const char* example) {
    bounds.check(key, quantity, 1e-4, 5, masses, example);
  };
  mass("retainer", parts.retainer, "\"28 g\"");
  mass("spring", parts.spring, "\"92 g\"");
  mass("rocker", parts.rocker, "\"135 g\"");
  mass("rocker_at_tip", parts.rocker_at_tip, "\"32 g\"");
  mass("lifter", parts.lifter, "\"95 g\"");
  mass("pushrod", parts.pushrod, "\"58 g\"");
  const char* const stiffnesses = "1 to 1000 kN/mm";
  bounds.check("rocker_stiffness", parts.rocker_stiffness, 1e6, 1e9, stiffnesses, "\"20000 N/mm\"");
  bounds.check("cam_stiffness", parts.cam_stiffness, 1e6, 1e9, stiffnesses, "\"100000 N/mm\"");
  bounds.check("spring_friction", parts.spring_friction, 0, 2000, "0 to 2000 N", "\"30 N\"");
}

}  // namespace

void check_train(const Build& build, Problems& problems) {
  if (!build.valve_train) {
    return;
  }
  const TrainPlan& plan = *build.valve_train;
  if (plan.intake) {
    check_parts(*plan.intake, "valve_train.intake", problems);
  }
  if (plan.exhaust) {
    check_parts(*plan.exhaust, "valve_train.exhaust", problems);
  }
  constexpr double rpm = 2 * std::numbers::pi / 60;
  Bounds bounds("valve_train", problems);
  bounds.check("redline", plan.redline, 500 * rpm, 30000 * rpm, "500 to 30000 rpm", "\"6200 rpm\"");
  bounds.check("damping", plan.damping ? *plan.damping : 0.1, 0.0, 0.5, "0 to 0.5", "0.1");
}

}  // namespace fettle::build
