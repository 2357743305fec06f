#include "pull/valve_plan.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>

#include <fmt/format.h>

#include "build/names.h"
#include "gasflow/cylinder_laws.h"
#include "stations/cam_timing.h"
#include "stations/card_lobe.h"
#include "stations/lobe_slopes.h"
#include "stations/observed.h"
#include "stations/valve_motion.h"
#include "stations/what_if.h"

namespace fettle::pull {

namespace {

using build::Valve;

constexpr double pi = std::numbers::pi;
constexpr double cycle = 4.0 * pi;

/// A lift below this is taken for a closed valve: base circles are read with noise, and ramps are slow. m.
constexpr double seated = 1e-4;

const build::HeadPort* port_of(const build::Build& build, Valve valve) {
  if (!build.head) {
    return nullptr;
  }
  const auto& port = valve == Valve::intake ? build.head->intake : build.head->exhaust;
  return port ? &*port : nullptr;
}

const build::ValvePart* part_of(const build::Build& build, Valve valve) {
  if (!build.valves) {
    return nullptr;
  }
  const auto& part = valve == Valve::intake ? build.valves->intake : build.valves->exhaust;
  return part ? &*part : nullptr;
}

/// Share of the bore that valve heads have: means of the ranges for wedge chambers, and for pent roofs with
/// two valves of the kind (Heywood, *Internal Combustion Engine Fundamentals*, table 6.1, from memory).
double usual_head(Valve valve, int count) {
  if (count == 1) {
    return valve == Valve::intake ? 0.445 : 0.36;
  }
  return valve == Valve::intake ? 0.36 : 0.30;
}

/// Lift net of the seat: as it is well above it, and smoothly to nothing where the valve counts as seated.
double seated_off(double lift) {
  return lift <= seated ? 0.0 : lift - seated * std::exp(1.0 - lift / seated);
}

/// The card's lobe, or a usual one, at the cam's place as fitted.
std::optional<stations::ValveMotion> motion_of_card(const stations::Observed& observed, Valve valve) {
  const build::Build& build = observed.build();
  if (!build.cam || !build.cam->card) {
    return std::nullopt;
  }
  stations::Memory& memory = observed.sources().memory();
  const double top = stations::expected_centre(build, valve);
  auto lobe = stations::card_lobe(build, valve, memory);
  const bool card = lobe != nullptr;
  if (!card) {
    lobe = stations::usual_lobe(top, memory);
  }
  const bool at_valve = build.cam->card->basis == build::LiftBasis::valve;
  const double ratio = at_valve ? 1.0 : stations::rocker_ratio(build, valve);
  const double lash = at_valve ? 0.0 : stations::running_lash(build, valve);
  const double advance =
      build.timing_set ? stations::crank_advance(*build.timing_set, stations::fitted_position(build)) : 0.0;
  const auto curve = std::shared_ptr<const metrology::PeriodicSpline>(lobe, &*lobe->curve);
  stations::ValveMotion motion(curve, {{top, top - advance}}, top, 0.0, ratio, lash);
  motion.basis = card ? "the card, shape between its events assumed" : "a usual lobe: the card gives none";
  return motion;
}

}  // namespace

double ValveSize::throat_area() const {
  return count * 0.25 * pi * (throat * throat - stem * stem);
}

ValveSize valve_size(const build::Build& build, Valve valve, Silent& silent) {
  const build::HeadPort* port = port_of(build, valve);
  const build::ValvePart* part = part_of(build, valve);
  const auto word = build::word(valve);
  ValveSize size;
  size.count = port != nullptr ? port->valves.value_or(1) : 1;
  if (port == nullptr || !port->valves) {
    silent.say(fmt::format("{} valves in a cylinder", word), "1");
  }
  constexpr double throat_of_head = 0.88;  // common practice, no source
  const auto throat = port != nullptr ? port->throat_diameter : std::nullopt;
  const double usual =
      throat ? throat->si() / throat_of_head : usual_head(valve, size.count) * build.engine.bore.si();
  size.head = silent.take(part != nullptr ? part->head_diameter : std::nullopt, usual,
                          fmt::format("head diameter of the {} valves", word));
  size.throat = silent.take(throat, throat_of_head * size.head,
                            fmt::format("throat diameter under the {} valves", word));
  // Common practice, no source.
  size.stem = silent.take(part != nullptr ? part->stem_diameter : std::nullopt, 0.18 * size.head,
                          fmt::format("stem diameter of the {} valves", word));
  return size;
}

PortFlow::PortFlow(const build::Build& build, Valve valve, const ValveSize& size, Silent& silent)
    : size_(size) {
  const build::HeadPort* port = port_of(build, valve);
  if (port == nullptr || port->flow.empty()) {
    // Over the curtain, at most the throat less the stem. Common practice, no source.
    coefficient_ =
        silent.assume_number(0.65, fmt::format("discharge coefficient of the {} ports", build::word(valve)));
    return;
  }
  constexpr double inch_of_water = 249.08891;
  constexpr double bench_density = 1.2;  // air at 20 C and 101 kPa
  const double depression = port->depression ? port->depression->si() : 28.0 * inch_of_water;
  table_.emplace_back(0.0, 0.0);
  for (const build::FlowPoint& point : port->flow) {
    const double lift = point.lift.si();
    const double area = point.flow ? effective_area(point.flow->si(), depression, bench_density)
                                   : *point.coefficient * size.count *
                                         gasflow::valve_opening(lift, size.head, size.throat, size.stem);
    table_.emplace_back(lift, area);
  }
}

double PortFlow::area(double lift) const {
  if (table_.empty()) {
    return coefficient_ * size_.count * gasflow::valve_opening(lift, size_.head, size_.throat, size_.stem);
  }
  const auto above =
      std::find_if(table_.begin(), table_.end(), [&](const auto& p) { return p.first > lift; });
  if (above == table_.begin()) {
    return 0.0;
  }
  if (above == table_.end()) {
    return table_.back().second;
  }
  const auto below = above - 1;
  const double part = (lift - below->first) / (above->first - below->first);
  return below->second + part * (above->second - below->second);
}

void move_valve(ValvePlan& plan, const PortFlow& flow, const std::function<double(double)>& beyond) {
  constexpr double step = cycle / valve_samples;
  std::vector<double> whole(valve_samples);
  for (std::size_t i = 0; i < valve_samples; ++i) {
    const double x = step * static_cast<double>(i);
    whole[i] = std::max(0.0, plan.turned[i] + beyond(std::remainder(x - plan.top, cycle)));
    plan.lift[i] = seated_off(whole[i]);
    plan.area[i] = flow.area(plan.lift[i]);
  }
  // From half a cycle before full lift to half a cycle after it: where it first rises off and last comes
  // down.
  const auto first = static_cast<std::ptrdiff_t>(std::floor((plan.top - 0.5 * cycle) / step));
  const auto lift_at = [&](std::ptrdiff_t place) {
    const auto n = static_cast<std::ptrdiff_t>(valve_samples);
    return whole[static_cast<std::size_t>(((place % n) + n) % n)];
  };
  const auto crossing = [&](std::ptrdiff_t place) {
    const double part = (seated - lift_at(place)) / (lift_at(place + 1) - lift_at(place));
    return step * (static_cast<double>(place) + part);
  };
  bool opened = false;
  for (std::ptrdiff_t i = first; i < first + static_cast<std::ptrdiff_t>(valve_samples); ++i) {
    if (!opened && lift_at(i) <= seated && lift_at(i + 1) > seated) {
      plan.opens = crossing(i);
      opened = true;
    }
    if (opened && lift_at(i) > seated && lift_at(i + 1) <= seated) {
      plan.closes = crossing(i);
    }
  }
}

ValveLifts::ValveLifts(const build::Build& build, double cam_advance)
    : cam_advance_(cam_advance),
      sources_(build),
      observed_(sources_, sources_.estimates()),
      tdc_(observed_) {}

std::optional<ValvePlan> ValveLifts::plan(int cylinder, Valve valve, const PortFlow& flow, Silent& silent) {
  auto motion = stations::valve_motion(observed_, {cylinder, valve}, tdc_);
  if (!motion) {
    motion = motion_of_card(observed_, valve);
    if (!motion) {
      return std::nullopt;
    }
    silent.say(fmt::format("motion of the {} valves", build::word(valve)), motion->basis);
  } else if (motion->basis.find("shape") != std::string::npos ||
             motion->basis.find("taken from") != std::string::npos) {
    silent.say(fmt::format("motion of the {} valve of cylinder {}", build::word(valve), cylinder),
               motion->basis);
  }
  ValvePlan plan;
  plan.basis = motion->basis;
  plan.top = motion->top() - cam_advance_;
  const auto span = motion->open_span(seated);
  plan.opens = span.from - cam_advance_;
  plan.closes = span.to - cam_advance_;
  for (std::size_t i = 0; i < valve_samples; ++i) {
    // The one turn of the angle that lies nearest to the lobe.
    const double x = cycle * static_cast<double>(i) / valve_samples;
    const double middle = 0.5 * (plan.opens + plan.closes);
    const double own = middle + std::remainder(x - middle, cycle);
    const bool open = own > plan.opens && own < plan.closes;
    const double turned = motion->lift(own + cam_advance_);
    const double lift = open ? seated_off(turned) : 0.0;
    plan.turned.push_back(turned);
    plan.lift.push_back(lift);
    plan.area.push_back(flow.area(lift));
  }
  return plan;
}

}  // namespace fettle::pull
