#include "stations/rocker_state.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include <boost/math/tools/toms748_solve.hpp>

#include "mechanism/preload.h"
#include "stations/head_height.h"
#include "stations/spring_state.h"
#include "stations/valve_motion.h"

namespace fettle::stations {
namespace {

using build::AdjusterKind;
using build::ReadingKind;
using build::Valve;
using mechanism::Planar;

constexpr double inch = 0.0254;

Planar leaning(double lean) {
  return {std::sin(lean), std::cos(lean)};
}

/// As measured, with the pushrod that was in place then.
std::optional<mechanism::RockerGeometry> as_measured(const build::RockerDimensions& rocker,
                                                     double ball_to_ball) {
  mechanism::RockerGeometry geometry;
  geometry.pivot = {-rocker.pivot_to_valve.si(), rocker.pivot_height.si()};
  geometry.tip_radius = rocker.tip_radius.si();
  const double sine = (geometry.tip_radius - geometry.pivot.y) / rocker.tip_arm.si();
  if (!(std::abs(sine) < 1)) {
    return std::nullopt;
  }
  const double tip = std::asin(sine);
  const double cup = tip + rocker.arm_angle.si();
  geometry.tip = rocker.tip_arm.si() * Planar{std::cos(tip), std::sin(tip)};
  geometry.cup = rocker.cup_arm.si() * Planar{std::cos(cup), std::sin(cup)};
  const double lean = rocker.pushrod_lean.si();
  geometry.pushrod_length = ball_to_ball;
  geometry.tappet = geometry.pivot + geometry.cup - ball_to_ball * leaning(lean);
  geometry.tappet_axis = leaning(rocker.lifter_lean ? rocker.lifter_lean->si() : lean);
  geometry.mount_axis = leaning(rocker.stud_lean ? rocker.stud_lean->si() : 0);
  return mechanism::rocker_problem(geometry) ? std::nullopt : std::optional(geometry);
}

/// The pivot moved along its stud until a longer or shorter pushrod stands without slack.
std::optional<mechanism::RockerGeometry> on_its_stud(const mechanism::RockerGeometry& geometry,
                                                     double ball_to_ball) {
  const auto too_long = [&](double height) {
    const auto fits = mechanism::pushrod_for_slack(mechanism::shifted(geometry, {.pivot_height = height}), 0);
    return fits ? *fits - ball_to_ball : std::nan("");
  };
  const double range = 2 * std::abs(ball_to_ball - geometry.pushrod_length);
  double height = 0;
  if (range > 0) {
    if (!(too_long(-range) < 0 && too_long(range) > 0)) {
      return std::nullopt;
    }
    std::uintmax_t iterations = 100;
    const auto [low, high] = boost::math::tools::toms748_solve(
        too_long, -range, range, boost::math::tools::eps_tolerance<double>(50), iterations);
    height = (low + high) / 2;
  }
  auto moved = mechanism::shifted(geometry, {.pivot_height = height});
  moved.pushrod_length = ball_to_ball;
  return moved;
}

/// Length of the pushrod in place at a reading: its own, else the one fitted when the build was written.
std::optional<double> pushrod_at(const Observed& observed, const build::Reading& reading) {
  return reading.pushrod ? std::optional(reading.pushrod->si()) : fitted_pushrod(observed.sources().build());
}

/// By how much a pushrod is shorter for a head that has come to stand so much higher.
double along_pushrod(const build::Build& build, double higher) {
  const auto& pushrods = build.pushrods;
  return higher * (pushrods && pushrods->angle ? std::cos(pushrods->angle->si()) : 1);
}

/// The pushrod that, under the head as it stands now, would have been like the one in place at a reading.
std::optional<double> pushrod_like(const Observed& observed, const build::Reading& reading) {
  const auto then = pushrod_at(observed, reading);
  return then ? std::optional(*then + along_pushrod(observed.build(), head_higher(observed, reading)))
              : std::nullopt;
}

bool same_pushrod(const std::optional<double>& a, const std::optional<double>& b) {
  constexpr double rounding = 1e-6;
  return !a || !b || std::abs(*a - *b) < rounding;
}

std::optional<mechanism::Sweep> sweep_with(const Observed& observed, const LobeKey& key, double pushrod,
                                           TdcOfWheels& tdc_of) {
  const auto geometry = rocker_geometry(observed, key.valve, pushrod);
  if (!geometry || mechanism::rocker_problem(*geometry)) {
    return std::nullopt;
  }
  const mechanism::RockerTrain train(*geometry);
  const auto rise = tappet_rise(observed, key, train, tdc_of);
  return rise ? train.sweep(rise->rise) : std::nullopt;
}

mechanism::Adjuster adjuster_of(AdjusterKind kind) {
  return kind == AdjusterKind::pushrod_screw ? mechanism::Adjuster::pushrod_end : mechanism::Adjuster::pivot;
}

/// What a longer pushrod than the one in place at a reading, or a lower head, adds to the preload, where it
/// is not adjusted out.
double preload_of_length(const Observed& observed, Valve valve, const build::Reading& reading) {
  const auto now = fitted_pushrod(observed.build());
  const auto then = pushrod_like(observed, reading);
  const auto& lifters = observed.build().lifters;
  const auto adjuster = lifters ? lifters->adjuster : std::nullopt;
  const bool stays = adjuster == AdjusterKind::pedestal_bolt || adjuster == AdjusterKind::none;
  if (stays && (!now || !then)) {
    return -along_pushrod(observed.build(), head_higher(observed, reading));
  }
  if (!stays || same_pushrod(now, then)) {
    return 0;
  }
  const auto before = rocker_geometry(observed, valve, *then);
  const auto after = rocker_geometry(observed, valve, *now);
  if (!before || !after || mechanism::rocker_problem(*before) || mechanism::rocker_problem(*after)) {
    return *now - *then;
  }
  return mechanism::RockerTrain(*before).slack() - mechanism::RockerTrain(*after).slack();
}

}  // namespace

const build::RockerDimensions* rocker_dimensions(const build::Build& build, Valve valve) {
  if (!build.rockers || !build.rockers->geometry) {
    return nullptr;
  }
  const auto& geometry = *build.rockers->geometry;
  const auto& rocker = valve == Valve::intake ? geometry.intake : geometry.exhaust;
  return rocker ? &*rocker : nullptr;
}

std::optional<double> fitted_pushrod(const build::Build& build) {
  return build.pushrods && build.pushrods->length ? std::optional(build.pushrods->length->si())
                                                  : std::nullopt;
}

double ball_diameter(const build::Build& build) {
  constexpr double usual = 5.0 / 16 * inch;
  return build.pushrods && build.pushrods->ball_diameter ? build.pushrods->ball_diameter->si() : usual;
}

std::optional<mechanism::PushrodTube> pushrod_tube(const build::Build& build) {
  constexpr double usual_yield = 690e6;  // Pa; common practice, no source
  constexpr double steel_modulus = 206.8e9;
  constexpr double steel_density = 7850;
  if (!build.pushrods || !build.pushrods->length || !build.pushrods->outside_diameter ||
      !build.pushrods->wall) {
    return std::nullopt;
  }
  const build::Pushrods& pushrods = *build.pushrods;
  const mechanism::PushrodTube tube{pushrods.length->si() - ball_diameter(build),
                                    pushrods.outside_diameter->si(),
                                    pushrods.wall->si(),
                                    steel_modulus,
                                    pushrods.yield_strength ? pushrods.yield_strength->si() : usual_yield,
                                    steel_density};
  return mechanism::pushrod_problem(tube) ? std::nullopt : std::optional(tube);
}

bool pivot_follows(const build::Build& build) {
  const auto adjuster = build.lifters ? build.lifters->adjuster : std::nullopt;
  return !adjuster || *adjuster == AdjusterKind::stud_nut;
}

std::optional<mechanism::RockerGeometry> rocker_geometry(const Observed& observed, Valve valve,
                                                         double pushrod) {
  const build::RockerDimensions* rocker = rocker_dimensions(observed.build(), valve);
  if (rocker == nullptr) {
    return std::nullopt;
  }
  const auto measured_with =
      rocker->pushrod ? std::optional(rocker->pushrod->si()) : fitted_pushrod(observed.sources().build());
  const double ball = ball_diameter(observed.build());
  if (!measured_with) {
    return std::nullopt;
  }
  const auto measured = as_measured(*rocker, *measured_with - ball);
  if (!measured) {
    return std::nullopt;
  }
  // Seen from the head, a head that has come down lifts the lifters as a longer pushrod does.
  const double as_if = pushrod - along_pushrod(observed.build(), head_higher(observed, *rocker));
  return pivot_follows(observed.build())
             ? on_its_stud(*measured, as_if - ball)
             : std::optional(mechanism::shifted(*measured, {.pushrod = as_if - *measured_with}));
}

std::optional<mechanism::RockerGeometry> rocker_geometry(const Observed& observed, Valve valve) {
  const build::RockerDimensions* rocker = rocker_dimensions(observed.build(), valve);
  if (rocker == nullptr) {
    return std::nullopt;
  }
  auto pushrod = fitted_pushrod(observed.build());
  if (!pushrod && rocker->pushrod) {
    pushrod = rocker->pushrod->si();
  }
  const auto geometry = pushrod ? rocker_geometry(observed, valve, *pushrod) : std::nullopt;
  return geometry && !mechanism::rocker_problem(*geometry) ? geometry : std::nullopt;
}

std::optional<TappetRise> tappet_rise(const Observed& observed, const LobeKey& key,
                                      const mechanism::RockerTrain& train, TdcOfWheels& tdc_of) {
  const auto lift = net_lift(observed, key, tdc_of);
  if (!lift) {
    return std::nullopt;
  }
  const build::Build& build = observed.build();
  const bool at_valve = build.cam && build.cam->card && build.cam->card->basis == build::LiftBasis::valve;
  const auto rise =
      at_valve ? train.rise_for_lift(lift->lift) : std::optional(lift->lift / rocker_ratio(build, key.valve));
  return rise ? std::optional(TappetRise{*rise, lift->basis}) : std::nullopt;
}

std::optional<double> known_ratio(const Observed& observed, Valve valve) {
  if (const auto& rockers = observed.build().rockers) {
    if (const auto& ratio = valve == Valve::intake ? rockers->intake_ratio : rockers->exhaust_ratio) {
      return *ratio;
    }
  }
  const auto geometry = rocker_geometry(observed, valve);
  const auto closed = geometry ? mechanism::RockerTrain(*geometry).at(0) : std::nullopt;
  return closed ? std::optional(closed->ratio) : std::nullopt;
}

std::optional<TipMark> tip_mark(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of) {
  const auto now = fitted_pushrod(observed.build());
  TipMark mark;
  int count = 0;
  double widths = 0;
  int widths_count = 0;
  for (const int place : observed.sources().inventory().at(ReadingKind::tip_mark, key)) {
    const build::Reading& reading = observed.reading(place);
    const auto then = pushrod_like(observed, reading);
    double farther = 0;
    double wider = 0;
    if (!same_pushrod(now, then) && pivot_follows(observed.build())) {
      const auto sweep_now = sweep_with(observed, key, *now, tdc_of);
      const auto sweep_then = sweep_with(observed, key, *then, tdc_of);
      if (!sweep_now || !sweep_then) {
        continue;
      }
      farther = sweep_now->centre() - sweep_then->centre();
      wider = sweep_now->width() - sweep_then->width();
      mark.moved = true;
    }
    mark.offset += observed.amount(place, Amount::offset) + farther;
    ++count;
    if (reading.width) {
      widths += observed.amount(place, Amount::width) + wider;
      ++widths_count;
    }
  }
  if (count == 0) {
    return std::nullopt;
  }
  mark.offset /= count;
  if (widths_count > 0) {
    mark.width = widths / widths_count;
  }
  return mark;
}

std::optional<double> central_pushrod(const Observed& observed, const LobeKey& key, const TipMark& mark,
                                      TdcOfWheels& tdc_of) {
  const auto geometry = rocker_geometry(observed, key.valve);
  if (!geometry) {
    return std::nullopt;
  }
  const mechanism::RockerTrain train(*geometry);
  const auto rise = tappet_rise(observed, key, train, tdc_of);
  const auto sweep = rise ? train.sweep(rise->rise) : std::nullopt;
  if (!sweep) {
    return std::nullopt;
  }
  // Where the mark lies says by how much the valve's axis is nearer or farther than it was measured to be.
  const auto choice =
      mechanism::centred_sweep_pushrod(*geometry, rise->rise, pivot_range, sweep->centre() - mark.offset);
  const double higher = head_higher(observed, *rocker_dimensions(observed.build(), key.valve));
  return choice ? std::optional(choice->pushrod_length + ball_diameter(observed.build()) +
                                along_pushrod(observed.build(), higher))
                : std::nullopt;
}

std::optional<double> preload_per_turn(const Observed& observed, Valve valve) {
  const auto& lifters = observed.build().lifters;
  if (!lifters || !lifters->adjuster || *lifters->adjuster == AdjusterKind::none || !lifters->thread_pitch) {
    return std::nullopt;
  }
  const auto adjuster = adjuster_of(*lifters->adjuster);
  // A screw over the pushrod does not ask for the ratio.
  const auto ratio = adjuster == mechanism::Adjuster::pushrod_end ? 1.0 : known_ratio(observed, valve);
  if (!ratio || !(lifters->thread_pitch->si() > 0)) {
    return std::nullopt;
  }
  return mechanism::preload_per_turn(adjuster, lifters->thread_pitch->si(), *ratio);
}

std::optional<Preload> plunger_preload(const Observed& observed, const LobeKey& key) {
  const Inventory& inventory = observed.sources().inventory();
  const auto mean = [&](const std::vector<int>& readings, Amount amount, double factor) {
    double sum = 0;
    for (const int place : readings) {
      sum += factor * observed.amount(place, amount) +
             preload_of_length(observed, key.valve, observed.reading(place));
    }
    return sum / static_cast<double>(readings.size());
  };
  if (const auto& depths = inventory.at(ReadingKind::plunger_depth, key); !depths.empty()) {
    return Preload{mean(depths, Amount::depth, 1), "depth of the plunger"};
  }
  const auto& turns = inventory.at(ReadingKind::preload_turns, key);
  const auto per_turn = preload_per_turn(observed, key.valve);
  if (turns.empty() || !per_turn) {
    return std::nullopt;
  }
  return Preload{mean(turns, Amount::turns, *per_turn), "turns of the adjuster past zero lash"};
}

bool rockers_concern(const Sources& sources) {
  constexpr std::array kinds{ReadingKind::tip_mark, ReadingKind::preload_turns, ReadingKind::plunger_depth};
  const build::Build& build = sources.build();
  return build.pushrods.has_value() || (build.rockers && build.rockers->geometry) ||
         std::any_of(kinds.begin(), kinds.end(),
                     [&](ReadingKind kind) { return sources.inventory().at_valves.contains(kind); });
}

}  // namespace fettle::stations
