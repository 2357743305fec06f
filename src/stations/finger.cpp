#include "stations/finger.h"

#include <cmath>

namespace fettle::stations {
namespace {

/// Frame of mechanism/finger_train.h: y along the valve, x from pivot toward valve, origin at the tip.
std::optional<mechanism::FingerGeometry> geometry_of(const build::Build& build, build::Valve valve) {
  const build::FollowerPart* part = follower_part(build, valve);
  if (part == nullptr || !part->finger || !part->base_circle || !part->roller_diameter) {
    return std::nullopt;
  }
  const build::FingerDimensions& finger = *part->finger;
  const double angle = finger.arm_angle.si();
  mechanism::FingerGeometry geometry;
  geometry.pivot = {-finger.pivot_to_valve.si(), finger.pivot_height.si()};
  geometry.tip = {finger.tip_arm.si(), 0};
  geometry.tip_radius = finger.tip_radius.si();
  geometry.roller = {finger.roller_arm.si() * std::cos(angle), finger.roller_arm.si() * std::sin(angle)};
  geometry.roller_radius = part->roller_diameter->si() / 2;
  geometry.cam = {-finger.cam_to_valve.si(), finger.cam_height.si()};
  geometry.base_radius = part->base_circle->si() / 2;
  return geometry;
}

}  // namespace

const build::FollowerPart* follower_part(const build::Build& build, build::Valve valve) {
  if (!build.followers) {
    return nullptr;
  }
  const auto& part = valve == build::Valve::intake ? build.followers->intake : build.followers->exhaust;
  return part ? &*part : nullptr;
}

std::optional<mechanism::FingerTrain> finger_of(const build::Build& build, build::Valve valve) {
  const auto geometry = geometry_of(build, valve);
  if (!geometry || mechanism::finger_problem(*geometry)) {
    return std::nullopt;
  }
  return mechanism::FingerTrain(*geometry);
}

std::optional<std::string> finger_trouble(const build::Build& build, build::Valve valve) {
  const auto geometry = geometry_of(build, valve);
  return geometry ? mechanism::finger_problem(*geometry) : std::nullopt;
}

std::optional<double> finger_rise(const mechanism::FingerTrain& finger, double valve_lift) {
  if (!(valve_lift > 0)) {
    return std::nullopt;
  }
  constexpr double step = 0.25e-3;
  double low = 0;
  double high = 0;
  for (double lift = 0; lift < valve_lift;) {
    low = high;
    high += step;
    const auto state = finger.at(high);
    if (!state || state->valve_lift <= lift) {
      return std::nullopt;
    }
    lift = state->valve_lift;
  }
  for (int i = 0; i < 50; ++i) {
    const double middle = (low + high) / 2;
    (finger.at(middle)->valve_lift < valve_lift ? low : high) = middle;
  }
  return (low + high) / 2;
}

std::optional<double> finger_ratio(const build::Build& build, build::Valve valve) {
  const auto finger = finger_of(build, valve);
  if (!finger) {
    return std::nullopt;
  }
  const auto& card = build.cam ? build.cam->card : std::nullopt;
  const auto lobe = !card ? std::nullopt : valve == build::Valve::intake ? card->intake : card->exhaust;
  const bool lobe_lift = lobe && lobe->lift && card->basis != build::LiftBasis::valve;
  if (lobe_lift) {
    const double rise = lobe->lift->si();
    const auto state = finger->at(rise);
    return state ? std::optional(state->valve_lift / rise) : std::nullopt;
  }
  constexpr double usual_lift = 8e-3;
  const double lift = lobe && lobe->lift ? lobe->lift->si() : usual_lift;
  const auto rise = finger_rise(*finger, lift);
  return rise ? std::optional(lift / *rise) : std::nullopt;
}

}  // namespace fettle::stations
