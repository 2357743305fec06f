#include "pull/plan.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "build/layout.h"
#include "build/names.h"
#include "gasflow/network.h"
#include "mechanism/phasing.h"
#include "mechanism/volumes.h"
#include "pull/silent.h"
#include "pull/valve_plan.h"
#include "stations/compression_state.h"
#include "stations/observed.h"

namespace fettle::pull {

namespace {

using build::Valve;

constexpr double pi = std::numbers::pi;

double disc(double diameter) {
  return 0.25 * pi * diameter * diameter;
}

double diameter_of(double area) {
  return std::sqrt(4.0 * area / pi);
}

/// A member of an optional part, as an optional.
template <class Part, class Member>
auto member(const std::optional<Part>& part, Member Part::*which) -> Member {
  return part ? (*part).*which : Member{};
}

// Temperatures of walls at full load, K: common practice, no source.
constexpr double runner_wall = 320.0;
constexpr double intake_port_wall = 360.0;
constexpr double exhaust_port_wall = 550.0;
constexpr double primary_wall = 800.0;
constexpr double collector_wall = 750.0;
constexpr double tail_wall = 650.0;

double usual_ratio(const build::Build& build, double swept, Silent& silent) {
  if (build.engine.compression_ratio) {
    return *build.engine.compression_ratio;
  }
  const auto chamber = member(build.head, &build::Head::chamber);
  if (chamber && build.gasket) {
    const double bore = build.engine.bore.si();
    mechanism::ClearanceParts parts;
    parts.bore = bore;
    parts.chamber = chamber->si();
    parts.gasket = build.gasket->thickness.si();
    parts.gasket_bore = build.gasket->bore ? build.gasket->bore->si() : bore;
    silent.say("pistons", "flat, level with the deck");
    return mechanism::static_ratio(swept, mechanism::clearance_volume(parts));
  }
  return silent.assume_number(9.5, "compression ratio");
}

/// Mean of the bores where every one was read, else the build's.
double bore_of(const stations::Observed& observed, int cylinders, Silent& silent) {
  double sum = 0.0;
  for (int cylinder = 1; cylinder <= cylinders; ++cylinder) {
    const stations::Known bore = stations::bore_of(observed, cylinder);
    if (bore.basis.empty()) {
      return observed.build().engine.bore.si();
    }
    sum += bore.value;
  }
  silent.say("bore", "mean of the bores as read");
  return sum / cylinders;
}

/// Of every cylinder: by its own volumes where its chamber was poured and nothing of the rest is missing; the
/// mean of those for the others; else as the build says.
std::vector<double> compression_ratios(const stations::Observed& observed, int cylinders, double swept,
                                       Silent& silent) {
  const build::Build& build = observed.build();
  std::vector<std::optional<double>> own;
  double sum = 0.0;
  int count = 0;
  std::string others;
  for (int cylinder = 1; cylinder <= cylinders; ++cylinder) {
    const stations::CylinderRoom room = stations::cylinder_room(observed, cylinder);
    const bool read = room.chamber && room.chamber->basis.empty() && room.clearance_volume;
    own.push_back(read ? stations::ratio_of(observed, cylinder, room) : std::nullopt);
    if (read) {
      sum += *own.back();
      ++count;
      if (!room.basis().empty()) {
        silent.say("room above the pistons, of which only chambers were read", room.basis());
      }
    } else {
      others += fmt::format("{}{}", others.empty() ? "" : ", ", cylinder);
    }
  }
  if (count == 0) {
    return std::vector<double>(own.size(), usual_ratio(build, swept, silent));
  }
  if (!others.empty()) {
    silent.say(fmt::format("compression ratio of cylinders {}", others), "mean of those that were read");
  }
  std::vector<double> ratios;
  ratios.reserve(own.size());
  for (const auto& one : own) {
    ratios.push_back(one.value_or(sum / count));
  }
  return ratios;
}

/// From the plenum or the bell to the valve: runner, then port, the diameter changing linearly along each.
PipePlan intake_pipe(const build::Build& build, const ValveSize& valve, bool individual, Silent& silent) {
  const double bore = build.engine.bore.si();
  const auto port = member(build.head, &build::Head::intake);
  const double throat = diameter_of(valve.count * disc(valve.throat));
  // Proportions: common practice, no source.
  const double port_length =
      silent.take(member(port, &build::HeadPort::length), bore, "length of the intake ports");
  const double flange = silent.take(member(port, &build::HeadPort::diameter), 1.05 * throat,
                                    "diameter of the intake ports at the flange");
  const double runner = silent.take(member(build.intake, &build::Intake::runner_length), 1.6 * bore,
                                    "length of the intake runners");
  const double mouth = silent.take(member(build.intake, &build::Intake::runner_diameter), flange,
                                   "diameter of the intake runners where they begin");
  const double corrected = runner + gasflow::open_end_correction(0.5 * mouth, !individual);
  return {corrected + port_length,
          {0.0, corrected, corrected + port_length},
          {mouth, flange, throat},
          {runner_wall, 0.5 * (runner_wall + intake_port_wall), intake_port_wall}};
}

struct ExhaustSizes {
  double flange = 0.0;
  double primary = 0.0;
};

PipePlan exhaust_pipe(const build::Build& build, const ValveSize& valve, Silent& silent,
                      ExhaustSizes& sizes) {
  const double bore = build.engine.bore.si();
  const auto port = member(build.head, &build::Head::exhaust);
  const double throat = diameter_of(valve.count * disc(valve.throat));
  const double port_length =
      silent.take(member(port, &build::HeadPort::length), 0.75 * bore, "length of the exhaust ports");
  sizes.flange = silent.take(member(port, &build::HeadPort::diameter), 1.08 * throat,
                             "diameter of the exhaust ports at the flange");
  const double length = silent.take(member(build.exhaust, &build::Exhaust::primary_length), 8.5 * bore,
                                    "length of the exhaust primaries");
  sizes.primary = silent.take(member(build.exhaust, &build::Exhaust::primary_diameter), 1.1 * sizes.flange,
                              "diameter of the exhaust primaries");
  // From port to primary over one diameter.
  const double joint = port_length + std::min(sizes.primary, 0.25 * length);
  return {port_length + length,
          {0.0, port_length, joint, port_length + length},
          {throat, sizes.flange, sizes.primary, sizes.primary},
          {exhaust_port_wall, 0.5 * (exhaust_port_wall + primary_wall), primary_wall, primary_wall}};
}

/// Cylinders that share a collector where the build does not say: those of a bank, in parts of at most five.
std::vector<std::vector<int>> usual_groups(const build::Layout& layout) {
  std::vector<std::vector<int>> banks(layout.arrangement == build::Arrangement::in_line ? 1 : 2);
  for (int cylinder = 1; cylinder <= layout.cylinders; ++cylinder) {
    banks[static_cast<std::size_t>(cylinder - 1) % banks.size()].push_back(cylinder);
  }
  constexpr std::size_t most = 5;
  std::vector<std::vector<int>> groups;
  for (const auto& bank : banks) {
    const std::size_t parts = (bank.size() + most - 1) / most;
    for (std::size_t part = 0; part < parts; ++part) {
      groups.emplace_back(bank.begin() + static_cast<std::ptrdiff_t>(part * bank.size() / parts),
                          bank.begin() + static_cast<std::ptrdiff_t>((part + 1) * bank.size() / parts));
    }
  }
  return groups;
}

std::vector<CollectorPlan> collectors(const build::Build& build, const build::Layout& layout,
                                      const ExhaustSizes& sizes, Silent& silent) {
  auto groups = member(build.exhaust, &build::Exhaust::groups);
  if (groups.empty()) {
    groups = usual_groups(layout);
    std::string text;
    for (const auto& group : groups) {
      text += fmt::format("{}{}", text.empty() ? "" : "; ", fmt::join(group, ", "));
    }
    silent.say("cylinders that share a collector", text);
  }
  const double bore = build.engine.bore.si();
  const auto tail_length = member(build.exhaust, &build::Exhaust::tail_length);
  const auto tail_diameter = member(build.exhaust, &build::Exhaust::tail_diameter);
  const bool with_tail = tail_length || tail_diameter;
  std::vector<CollectorPlan> plans;
  for (const auto& group : groups) {
    CollectorPlan plan;
    plan.cylinders = group;
    PipePlan pipe{0.0, {0.0}, {sizes.primary}, {collector_wall}};
    const auto go_on = [&pipe](double length, double d, double wall) {
      pipe.length += length;
      pipe.at.push_back(pipe.length);
      pipe.diameters.push_back(d);
      pipe.wall.push_back(wall);
    };
    double inner = sizes.primary;
    if (group.size() > 1) {
      const double most = sizes.primary * std::sqrt(static_cast<double>(group.size()));
      inner = silent.take(member(build.exhaust, &build::Exhaust::collector_diameter),
                          std::min(1.75 * sizes.primary, most), "diameter of the collectors");
      pipe.diameters.front() = inner;
      go_on(silent.take(member(build.exhaust, &build::Exhaust::collector_length), 3.0 * bore,
                        "length of the collectors"),
            inner, collector_wall);
    }
    if (with_tail) {
      const double d = silent.take(tail_diameter, inner, "diameter of the tail pipes");
      const double length = silent.take(tail_length, 10.0 * bore, "length of the tail pipes");
      const double taper = std::min(std::max(d, inner), 0.5 * length);
      go_on(taper, d, collector_wall);
      go_on(length - taper + gasflow::open_end_correction(0.5 * d, false), d, tail_wall);
    } else if (group.size() > 1) {
      // The end correction, on the last stretch.
      const double more = gasflow::open_end_correction(0.5 * inner, false);
      pipe.length += more;
      pipe.at.back() += more;
    }
    if (pipe.at.size() > 1) {
      plan.pipe = std::move(pipe);
    }
    plans.push_back(std::move(plan));
  }
  if (!with_tail) {
    silent.say("tail pipes", "none: the collectors end in the open");
  }
  return plans;
}

void plan_throttle(const build::Build& build, EnginePlan& plan, Silent& silent) {
  const double displacement = plan.swept() * static_cast<double>(plan.cylinders.size());
  const auto bore = member(build.intake, &build::Intake::throttle_bore);
  // Coefficients and sizes: common practice, no source.
  double coefficient = 0.6;
  if (plan.individual) {
    const double mouth = plan.intake_pipe.diameters.front();
    plan.throttle_area = disc(silent.take(bore, mouth, "bore of the throttles"));
    coefficient = 0.85;
  } else {
    constexpr double area_a_volume = 1.1;  // m2 of bore for each m3 of displacement
    const int count = member(build.intake, &build::Intake::throttles).value_or(0);
    if (!bore || count == 0) {
      silent.say(count == 0 && bore ? "number of throttle bores" : "area of the throttle bores",
                 bore ? "1" : "11 cm2 for each litre of displacement");
    }
    plan.throttle_area = bore ? std::max(count, 1) * disc(bore->si()) : area_a_volume * displacement;
    plan.plenum_volume = silent.take(member(build.intake, &build::Intake::plenum_volume), 0.5 * displacement,
                                     "volume of the plenum");
  }
  const auto flow = member(build.intake, &build::Intake::throttle_flow);
  if (flow) {
    constexpr double inch_of_mercury = 3386.389;
    const auto rated = member(build.intake, &build::Intake::throttle_depression);
    plan.throttle_effective_area =
        effective_area(flow->si(), rated ? rated->si() : 1.5 * inch_of_mercury, 1.2);
  } else {
    plan.throttle_effective_area =
        plan.throttle_area * silent.assume_number(coefficient, "discharge coefficient of the open throttles");
  }
}

void plan_fuel(const build::Build& build, EnginePlan& plan, Silent& silent) {
  const auto kind = member(build.fuel, &build::Fuel::kind);
  if (!kind) {
    silent.say("fuel", "gasoline, CH1.87, 44.0 MJ/kg");
  }
  plan.fuel = kind == build::FuelKind::isooctane ? gasflow::isooctane : gasflow::gasoline;
  plan.octane = silent.take(member(build.fuel, &build::Fuel::octane), 95.0, "octane number");
  const auto ratio = member(build.fuel, &build::Fuel::air_fuel_ratio);
  const double lambda = ratio ? *ratio / gasflow::stoichiometric_afr(plan.fuel)
                              : silent.take(member(build.fuel, &build::Fuel::lambda), 0.88, "lambda");
  plan.equivalence_ratio = 1.0 / lambda;
  for (const auto& point : member(build.ignition, &build::Ignition::advance)) {
    plan.spark.emplace_back(point.speed.si(), point.advance.si());
  }
  if (plan.spark.empty()) {
    silent.say("spark", "that of best torque, held back where the fuel would knock");
  }
}

/// Valves of every cylinder; false after saying what is missing.
bool plan_valves(const build::Build& build, double cam_advance, const ValveSize& intake_size,
                 const ValveSize& exhaust_size, EnginePlan& plan, Silent& silent, build::Problems& problems) {
  const PortFlow intake_flow(build, Valve::intake, intake_size, silent);
  const PortFlow exhaust_flow(build, Valve::exhaust, exhaust_size, silent);
  ValveLifts lifts(build, cam_advance);
  for (std::size_t i = 0; i < plan.cylinders.size(); ++i) {
    const int cylinder = static_cast<int>(i) + 1;
    auto intake = lifts.plan(cylinder, Valve::intake, intake_flow, silent);
    auto exhaust = lifts.plan(cylinder, Valve::exhaust, exhaust_flow, silent);
    if (!intake || !exhaust) {
      problems.push_back({"cam.card", "nothing of the cam",
                          "a card with lift, centreline and a duration for both lobes, or lobe readings with "
                          "true TDC: the pull needs the valves' motion",
                          ""});
      return false;
    }
    plan.cylinders[i].intake = std::move(*intake);
    plan.cylinders[i].exhaust = std::move(*exhaust);
    if (!shut_together(plan.cylinders[i])) {
      problems.push_back(
          {"cam", fmt::format("valves of cylinder {} that never open, or never are shut together", cylinder),
           "a cam whose intake closes before the exhaust opens", ""});
      return false;
    }
  }
  return true;
}

void say_model(Silent& silent) {
  silent.say("fuel in the charge", "vapour when it enters, at the air's temperature");
  silent.say("temperatures of walls", "cylinder 450 K, intake 320 to 360 K, exhaust 550 to 800 K, full load");
  silent.say("reverse flow through valves", "by the same effective area as forward");
  silent.say("silencer and air cleaner", "none");
  silent.say(valve_motion_at_speed, "as turned by hand: no bounce, no bending");
}

}  // namespace

double EnginePlan::swept() const {
  return mechanism::swept_volume(bore, mechanism::SliderCrank(crank).stroke());
}

bool shut_together(const CylinderPlan& cylinder) {
  const auto opens = [](const ValvePlan& valve) {
    return *std::max_element(valve.area.begin(), valve.area.end()) > 0.0;
  };
  return opens(cylinder.intake) && opens(cylinder.exhaust) &&
         cylinder.intake.closes < cylinder.exhaust.opens + 4.0 * pi && cylinder.intake.closes > 0.0 &&
         cylinder.exhaust.opens < 0.0;
}

double effective_area(double flow, double depression, double density) {
  return flow / std::sqrt(2.0 * depression / density);
}

PlanOutcome plan_engine(const build::Build& build, const Ambient& ambient, const PlanChange& change) {
  PlanOutcome outcome;
  Silent silent;
  EnginePlan plan;
  const auto layout = build::parse_layout(build.engine.layout);
  plan.crank = {build.engine.stroke.si() / 2.0, build.engine.rod_length.si(),
                build.engine.pin_offset ? build.engine.pin_offset->si() : 0.0};
  const stations::Sources sources(build);
  const stations::Observed observed(sources, sources.estimates());
  plan.bore = bore_of(observed, layout->cylinders, silent);
  plan.ambient = ambient;
  mechanism::FiringPlan firing{build.engine.firing_order, {}};
  for (const auto& interval : build.engine.firing_intervals) {
    firing.intervals.push_back(interval.si());
  }
  const mechanism::CylinderPhases phases(firing);
  const auto ratios = compression_ratios(observed, layout->cylinders, plan.swept(), silent);
  for (int cylinder = 1; cylinder <= layout->cylinders; ++cylinder) {
    plan.cylinders.push_back({phases.firing_tdc(cylinder) - phases.firing_tdc(1),
                              ratios[static_cast<std::size_t>(cylinder - 1)] + change.ratio,
                              {},
                              {}});
  }
  plan.individual = member(build.intake, &build::Intake::kind) == build::IntakeKind::individual;
  plan.plug_offset = silent.take(member(build.head, &build::Head::plug_offset), 0.2 * plan.bore,
                                 "plug's gap off the bore's axis");
  const ValveSize intake_size = valve_size(build, Valve::intake, silent);
  const ValveSize exhaust_size = valve_size(build, Valve::exhaust, silent);
  if (!plan_valves(build, change.cam_advance, intake_size, exhaust_size, plan, silent, outcome.problems)) {
    return outcome;
  }
  ExhaustSizes sizes;
  plan.intake_pipe = intake_pipe(build, intake_size, plan.individual, silent);
  plan.exhaust_pipe = exhaust_pipe(build, exhaust_size, silent, sizes);
  plan.collectors = collectors(build, *layout, sizes, silent);
  plan_throttle(build, plan, silent);
  plan_fuel(build, plan, silent);
  say_model(silent);
  plan.assumptions = silent.notes();
  outcome.plan = std::move(plan);
  return outcome;
}

}  // namespace fettle::pull
