#include "stations/train_state.h"

#include <algorithm>
#include <cmath>

#include "mechanism/pushrod.h"
#include "stations/finger.h"
#include "stations/rocker_state.h"
#include "stations/spring_state.h"
#include "stations/train_parts.h"

namespace fettle::stations {
namespace {

using build::Follower;
using build::ReadingKind;
using build::Valve;
using build::WeighedItem;
using mechanism::TrainKind;

// Common practice, no source; docs/format.md tells of them.
constexpr double usual_rocker_stiffness = 20e6;  // N/m
constexpr double usual_cam_stiffness = 100e6;
constexpr double usual_damping = 0.1;
constexpr double usual_preload = 0.5e-3;  // m
constexpr double usual_travel = 4e-3;
constexpr double film_viscosity = 0.01;  // Pa s, oil at some 100 C
constexpr double film_pressure_coefficient = 2e-8;
constexpr double film_roughness = 0.4e-6;

TrainKind kind_of(const build::Build& build) {
  switch (build.cam ? build.cam->follower : Follower::flat) {
    case Follower::bucket:
      return TrainKind::direct;
    case Follower::finger:
      return TrainKind::lever;
    default:
      return TrainKind::pushrod;
  }
}

/// Builds a train up part by part, and says what is missing.
class Assembly {
 public:
  Assembly(const Observed& observed, const LobeKey& key)
      : observed_(observed),
        build_(observed.build()),
        key_(key),
        parts_(train_parts(observed.build(), key.valve)) {}

  TrainKnown known() {
    TrainSetup setup;
    setup.redline = *train_redline(build_);
    setup.train.kind = kind_of(build_);
    const double ratio =
        setup.train.kind == TrainKind::direct ? 1 : known_ratio(observed_, key_.valve).value_or(0);
    const double used_ratio = ratio > 0 ? ratio : rocker_ratio(build_, key_.valve);
    const auto lobe = train_lobe(observed_, key_, used_ratio);
    if (!lobe) {
      return {{}, "a sweep of the lobe, or its card with lift and durations"};
    }
    setup.lobe = lobe->curve;
    setup.base_level = lobe->base_level;
    setup.top = lobe->top;
    const double rise = lobe->curve->value(lobe->top) - lobe->base_level;
    set_lever(setup, rise, used_ratio);
    set_masses(setup);
    const auto springs = train_springs(observed_, key_, used_ratio * rise);
    if (!springs.needs.empty()) {
      return {{}, springs.needs};
    }
    if (!needs_.empty()) {
      return {{}, needs_};
    }
    setup.train.springs = springs.chain;
    setup.train.valve_mass += springs.idle_mass;
    set_contacts(setup);
    set_face(setup);
    if (const auto problem = mechanism::valve_train_problem(setup.train)) {
      return {{}, "parts that can run: " + *problem};
    }
    if (!(mechanism::at(setup.train.lever.lift_of_rise, rise) > setup.train.lash)) {
      return {{}, "a lobe that opens the valve beyond its lash"};
    }
    setup.basis = lobe->says + basis_;
    setup.figures = figures_of(setup, lobe->acceleration);
    setup.assumed = assumed(setup, lobe->synthesised);
    return {std::move(setup), ""};
  }

 private:
  double needed(std::optional<double> value, const char* what) {
    if (!value) {
      needs_ += (needs_.empty() ? "the weight of " : ", ") + std::string(what);
    }
    return value.value_or(0);
  }
  std::optional<double> mass(WeighedItem item, const std::optional<quantity::Mass>& typed) const {
    const auto read = weighed_part(observed_, item, key_);
    return read || !typed ? read : std::optional(typed->si());
  }

  void set_lever(TrainSetup& setup, double rise, double ratio) {
    setup.train.lever = mechanism::constant_ratio(ratio);
    if (setup.train.kind == TrainKind::pushrod) {
      const auto geometry = rocker_geometry(observed_, key_.valve);
      const auto lever =
          geometry ? mechanism::lever_of(mechanism::RockerTrain(*geometry), rise) : std::nullopt;
      setup.train.lever = lever.value_or(setup.train.lever);
    } else if (setup.train.kind == TrainKind::lever) {
      const auto finger = finger_of(build_, key_.valve);
      const auto lever = finger ? mechanism::lever_of(*finger, rise) : std::nullopt;
      setup.train.lever = lever.value_or(setup.train.lever);
    }
  }

  /// Inertia of the lever over the square of its arm toward the cam.
  double lever_mass(const TrainSetup& setup) {
    const double ratio = setup.train.lever.lift_of_rise[0];
    if (parts_.rocker_at_tip) {
      return parts_.rocker_at_tip->si() * ratio * ratio;
    }
    const double weight = needed(mass(WeighedItem::rocker, parts_.rocker), "the rocker");
    if (!(weight > 0)) {
      return 0;
    }
    basis_ += "; rocker as a slender bar";
    const build::RockerDimensions* rocker = rocker_dimensions(build_, key_.valve);
    const bool pushrod = setup.train.kind == TrainKind::pushrod;
    // Only the ratio of the arms counts where they were not measured.
    const double cup = pushrod && rocker != nullptr ? rocker->cup_arm.si() : 1;
    const double tip = pushrod && rocker != nullptr ? rocker->tip_arm.si() : ratio;
    bar_mass_ = mechanism::bar_inertia(weight, tip, pushrod ? cup : 0) / (cup * cup);
    return bar_mass_;
  }

  void set_masses(TrainSetup& setup) {
    mechanism::ValveTrain& train = setup.train;
    const auto& valves = build_.valves;
    const auto& part = valves ? (key_.valve == Valve::intake ? valves->intake : valves->exhaust)
                              : std::optional<build::ValvePart>();
    train.valve_mass = needed(mass(WeighedItem::valve, part ? part->mass : std::nullopt), "the valve") +
                       needed(mass(WeighedItem::retainer, parts_.retainer), "retainer and locks");
    if (train.kind == TrainKind::direct) {
      train.valve_mass += needed(mass(WeighedItem::lifter, parts_.lifter), "the bucket");
      return;
    }
    train.lever_mass = lever_mass(setup);
    if (train.kind == TrainKind::lever) {
      return;
    }
    const auto tube = pushrod_tube(build_);
    auto pushrod = mass(WeighedItem::pushrod, parts_.pushrod);
    if (tube) {
      const auto column = mechanism::pushrod_column(*tube);
      train.link_stiffness = column.axial_stiffness;
      setup.buckling_load = column.buckling_load;
      pushrod = pushrod ? pushrod : std::optional(column.mass);
    } else {
      basis_ += "; pushrod's stiffness usual";
    }
    const double half = 0.5 * needed(pushrod, "the pushrod");
    train.lever_mass += half;
    train.tappet_mass = needed(mass(WeighedItem::lifter, parts_.lifter), "the lifter") + half;
  }

  void set_contacts(TrainSetup& setup) const {
    mechanism::ValveTrain& train = setup.train;
    const auto& plan = *build_.valve_train;
    train.tip_stiffness = parts_.rocker_stiffness ? parts_.rocker_stiffness->si() : usual_rocker_stiffness;
    train.cam_stiffness = parts_.cam_stiffness ? parts_.cam_stiffness->si() : usual_cam_stiffness;
    train.contact_damping = plan.damping.value_or(usual_damping);
    train.rubbing = parts_.spring_friction ? parts_.spring_friction->si() : 0;
    train.lash = running_lash(build_, key_.valve);
    const auto& lifters = build_.lifters;
    if (train.kind == TrainKind::pushrod && lifters && lifters->kind == build::LifterKind::hydraulic) {
      mechanism::LifterPlunger plunger;
      // At the estimates: where the plunger stands does not matter so long as it is within its travel.
      const Observed estimated(observed_.sources(), observed_.sources().estimates(), nullptr,
                               observed_.what_if());
      const auto preload = plunger_preload(estimated, key_);
      plunger.preload = std::max(0.0, preload ? preload->preload : usual_preload);
      plunger.travel =
          std::max(plunger.preload, lifters->plunger_travel ? lifters->plunger_travel->si() : usual_travel);
      train.plunger = plunger;
      train.lash = 0;
    }
  }

  void set_face(TrainSetup& setup) const {
    const build::FollowerPart* part = follower_part(build_, key_.valve);
    const bool flat = build_.cam && build_.cam->follower == Follower::flat;
    if (!flat || part == nullptr || !part->base_circle || !part->lobe_width) {
      return;
    }
    const mechanism::ElasticBody steel;
    setup.face = mechanism::TappetFace{part->base_circle->si() / 2,
                                       part->lobe_width->si(),
                                       mechanism::contact_modulus(steel, steel),
                                       film_viscosity,
                                       film_pressure_coefficient,
                                       film_roughness};
  }

  /// Common practice, no source; damping 0.05 to 0.15 on cam systems (Norton, from memory).
  TrainFigures assumed(const TrainSetup& setup, bool synthesised) const {
    TrainFigures widths{};
    const auto set = [&](TrainFigure figure, double width) {
      widths[static_cast<std::size_t>(figure)] = width;
    };
    set(TrainFigure::stiffness, parts_.rocker_stiffness && parts_.cam_stiffness ? 0 : 0.25);
    set(TrainFigure::damping, build_.valve_train->damping ? 0 : 0.5);
    set(TrainFigure::lever_mass, bar_mass_ > 0 ? 0.3 * bar_mass_ / setup.train.lever_mass : 0);
    set(TrainFigure::lobe, synthesised ? 0.1 : 0);
    return widths;
  }

  static TrainFigures figures_of(const TrainSetup& setup, double acceleration) {
    const mechanism::ValveTrain& train = setup.train;
    double rate = 0;
    double spring_mass = 0;
    for (const auto& spring : train.springs) {
      rate += spring.rate;
      spring_mass += spring.active_mass;
    }
    return {train.valve_mass,
            train.lever_mass,
            train.tappet_mass,
            mechanism::standing_load(train, 0),
            rate,
            spring_mass,
            1.0,
            1.0,
            acceleration};
  }

  const Observed& observed_;
  const build::Build& build_;
  const LobeKey key_;
  const build::TrainParts& parts_;
  std::string needs_;
  std::string basis_;
  double bar_mass_ = 0;  // of a lever taken as a bar, toward the cam
};

}  // namespace

mechanism::ValveTrain TrainSetup::with(const TrainFigures& other) const {
  mechanism::ValveTrain changed = train;
  const auto factor = [&](TrainFigure figure) {
    const auto i = static_cast<std::size_t>(figure);
    return figures[i] > 0 ? other[i] / figures[i] : 1.0;
  };
  const double harder = factor(TrainFigure::lobe);
  // A lobe of so much more acceleration asks of the masses what heavier ones would.
  changed.valve_mass *= factor(TrainFigure::valve_mass) * harder;
  changed.lever_mass *= factor(TrainFigure::lever_mass) * harder;
  changed.tappet_mass *= factor(TrainFigure::tappet_mass) * harder;
  for (auto& spring : changed.springs) {
    spring.load *= factor(TrainFigure::seat_load);
    spring.rate *= factor(TrainFigure::rate);
    spring.active_mass *= factor(TrainFigure::spring_mass);
    spring.damping_ratio *= factor(TrainFigure::damping);
  }
  for (double* stiffness :
       {&changed.cam_stiffness, &changed.link_stiffness, &changed.tip_stiffness, &changed.seat_stiffness}) {
    *stiffness *= factor(TrainFigure::stiffness);
  }
  changed.contact_damping *= factor(TrainFigure::damping);
  return changed;
}

TrainKnown train_setup(const Observed& observed, const LobeKey& key) {
  return Assembly(observed, key).known();
}

std::optional<double> train_redline(const build::Build& build) {
  if (build.valve_train && build.valve_train->redline) {
    return build.valve_train->redline->si();
  }
  return build.rods && build.rods->redline ? std::optional(build.rods->redline->si()) : std::nullopt;
}

bool train_concerns(const build::Build& build) {
  const auto redline = build.valve_train ? train_redline(build) : std::nullopt;
  return redline && *redline > 0;
}

LobeKey weakest_valve(const Sources& sources, Valve valve) {
  const Observed observed(sources, sources.estimates());
  LobeKey weakest{1, valve};
  double least = HUGE_VAL;
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    const SpringState state = spring_state(observed, {cylinder, valve});
    if (state.height && state.characteristic && state.characteristic->load(*state.height) < least) {
      least = state.characteristic->load(*state.height);
      weakest.cylinder = cylinder;
    }
  }
  return weakest;
}

}  // namespace fettle::stations
