// The parts of Sources for what no tool read: tolerances of the maker's sheet, and what swept lobes ask of
// their followers.

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/follower_fit.h"
#include "stations/finger.h"
#include "stations/sources.h"
#include "stations/train_state.h"
#include "stations/valve_motion.h"

namespace fettle::stations {
namespace {

using build::Follower;
using build::ReadingKind;
using build::Valve;
using mechanism::FollowerPoint;

/// Whether some valve of a kind has readings of one kind but none of another.
bool read_without(const Inventory& inventory, Valve valve, ReadingKind read, ReadingKind missing) {
  const auto of_kind = inventory.at_valves.find(read);
  if (of_kind == inventory.at_valves.end()) {
    return false;
  }
  return std::any_of(of_kind->second.begin(), of_kind->second.end(), [&](const auto& one) {
    return one.first.valve == valve && inventory.at(missing, one.first).empty();
  });
}

/// Whether some spring has one load only, which takes the sheet's rate.
bool one_load_alone(const Inventory& inventory, Valve valve) {
  const auto loads = inventory.at_valves.find(ReadingKind::spring_load);
  return loads != inventory.at_valves.end() &&
         std::any_of(loads->second.begin(), loads->second.end(),
                     [&](const auto& one) { return one.first.valve == valve && one.second.size() == 1; });
}

/// The least radius of the lobe where it is convex under a roller, m; NaN on a hollow flank.
double convex_radius(const mechanism::RollerGeometry& roller, const FollowerPoint& point) {
  const double pitch = mechanism::roller_pitch_curvature_radius(roller, point);
  return pitch > 0 ? pitch - roller.roller_radius : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace

std::optional<std::size_t> Sources::sheet_input(SheetFigure figure, Valve valve) const {
  const auto found = sheet_inputs_.find({figure, valve});
  return found == sheet_inputs_.end() ? std::nullopt : std::optional(found->second);
}

void Sources::add_sheet() {
  if (!build_.springs) {
    return;
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    const auto& spec = valve == Valve::intake ? build_.springs->intake : build_.springs->exhaust;
    if (!spec) {
      continue;
    }
    const auto add_error = [&](SheetFigure figure, const auto& tolerance, const char* what) {
      if (tolerance && tolerance->si() > 0) {
        metrology::Input input{what, {}, 0, std::nullopt};
        input.components.push_back(
            metrology::Component::rectangular_half_width("tolerance of the sheet", tolerance->si()));
        sheet_inputs_[{figure, valve}] =
            add(std::move(input), {std::nullopt, fmt::format("{} springs' sheet", build::word(valve)), what});
      }
    };
    add_error(SheetFigure::spring_rate, spec->rate_tolerance, "tolerance of the rate");
    add_error(SheetFigure::solid_height, spec->solid_tolerance, "tolerance of the solid height");
    add_error(SheetFigure::wire_diameter, spec->wire_tolerance, "tolerance of the wire");
    assume_sheet(*spec, valve);
  }
}

void Sources::assume_sheet(const build::SpringSpec& spec, Valve valve) {
  const auto assume = [&](bool used, const char* what, const char* key) {
    if (used) {
      assumptions_.push_back(
          fmt::format("{} of the {} springs is taken from the sheet as exact: no tolerance is stated "
                      "(springs.{}.{}).",
                      what, build::word(valve), build::word(valve), key));
    }
  };
  const bool heights =
      read_without(inventory_, valve, ReadingKind::installed_height, ReadingKind::solid_height);
  assume(spec.solid_height && !spec.solid_tolerance && heights, "The solid height", "solid_tolerance");
  assume(spec.rate && !spec.rate_tolerance && one_load_alone(inventory_, valve), "The rate",
         "rate_tolerance");
  const bool loads = inventory_.at_valves.contains(ReadingKind::spring_load);
  assume(!spec.coils.empty() && !spec.wire_tolerance && loads, "The wire", "wire_tolerance");
}

void Sources::add_train() {
  if (!train_concerns(build_)) {
    return;
  }
  metrology::Input input{"what was assumed of the valve train", {}, 0, std::nullopt};
  input.components.push_back(metrology::Component::normal("assumed", 1, train_variants - 1));
  train_input_ = add(std::move(input), {std::nullopt, "valve train", "what was assumed of the valve train"});
  assumptions_.emplace_back(
      "Valve train at speed: where the build does not say, rocker and stand give way by 20 kN/mm at the "
      "valve, "
      "lobe and lifter by 100, each to a quarter; the seat by 30; contacts are damped by 0.1 of the critical "
      "(0.05 to 0.15), a spring's surge by 0.01; gas on the valves and friction in guides are left out "
      "(common "
      "practice).");
}

void Sources::add_follower(int place, FittedSweep& fitted) {
  const build::Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  const Valve valve = *reading.valve;
  const build::FollowerPart* part = follower_part(build_, valve);
  if (train_concerns(build_)) {
    const auto least = mechanism::least_on_lobe(fitted.reduced->reduction, fitted.reduced->fit.fit,
                                                [](const FollowerPoint& p) { return p.a; });
    if (least && least->value < 0) {
      metrology::Input input{"acceleration of the nose", {}, least->value, static_cast<std::size_t>(place)};
      input.components.push_back(metrology::Component::normal("points", least->u, least->dof));
      fitted.follower[FollowerFeature::nose_acceleration] =
          add(std::move(input), {place, "", "points of the sweep"});
    }
  }
  if (part == nullptr || !build_.cam || build_.cam->follower == Follower::finger) {
    return;
  }
  const double to_lobe =
      reading.measured_at == build::MeasuredAt::valve ? 1 / rocker_ratio(build_, valve) : 1;
  const auto add_feature = [&](FollowerFeature feature, double sign, const mechanism::FollowerFigure& figure,
                               const char* label) {
    const auto least =
        mechanism::least_on_lobe(fitted.reduced->reduction, fitted.reduced->fit.fit, figure, to_lobe);
    if (least) {
      metrology::Input input{label, {}, sign * least->value, static_cast<std::size_t>(place)};
      input.components.push_back(metrology::Component::normal("points", least->u, least->dof));
      fitted.follower[feature] = add(std::move(input), {place, "", "points of the sweep"});
    }
  };
  if (build_.cam->follower == Follower::roller) {
    if (!part->base_circle || !part->roller_diameter) {
      return;
    }
    const mechanism::RollerGeometry roller{part->base_circle->si() / 2, part->roller_diameter->si() / 2, 0};
    add_feature(
        FollowerFeature::pressure_angle, -1,
        [&](const FollowerPoint& p) { return -std::abs(mechanism::roller_pressure_angle(roller, p)); },
        "pressure angle");
    add_feature(
        FollowerFeature::least_radius, 1, [&](const FollowerPoint& p) { return convex_radius(roller, p); },
        "radius of the lobe");
    return;
  }
  add_feature(
      FollowerFeature::opening_velocity, -1, [](const FollowerPoint& p) { return -p.v; },
      "geometric velocity");
  add_feature(
      FollowerFeature::closing_velocity, -1, [](const FollowerPoint& p) { return p.v; },
      "geometric velocity");
  if (part->base_circle) {
    const double base = part->base_circle->si() / 2;
    add_feature(
        FollowerFeature::least_radius, 1,
        [&](const FollowerPoint& p) { return mechanism::flat_curvature_radius(base, p); },
        "radius of the lobe");
  }
}

}  // namespace fettle::stations
