#include "support/invented_top_end.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace fettle::invented {
namespace {

using build::ReadingKind;
using build::ToolKind;
using quantity::Dimension;
using stations::LobeKey;

constexpr double mm = 1e-3;
constexpr double lbf = 4.4482216152605;

build::Measure figure(double value, double unit, const char* name, Dimension dimension) {
  return {dimension, value * unit, fmt::format("{:g} {}", value, name)};
}

struct Figures {
  double resolution, permissible, noise, parallax;
};

build::Tool gauge(ToolKind kind, const Figures& inches, const Figures& millimetres, bool metric) {
  const Figures& of = metric ? millimetres : inches;
  const double unit = metric ? mm : inch;
  const char* name = metric ? "mm" : "in";
  build::Tool tool;
  tool.kind = kind;
  tool.resolution = figure(of.resolution, unit, name, Dimension::length);
  tool.permissible_error = figure(of.permissible, unit, name, Dimension::length);
  tool.noise = figure(of.noise, unit, name, Dimension::length);
  if (of.parallax > 0) {
    tool.parallax = figure(of.parallax, unit, name, Dimension::length);
  }
  return tool;
}

std::map<std::string, build::Tool> kit(bool metric) {
  std::map<std::string, build::Tool> tools;
  tools["height micrometer"] =
      gauge(ToolKind::height_micrometer, {0.001, 0.001, 0.0008, 0}, {0.02, 0.02, 0.015, 0}, metric);
  tools["depth gauge"] =
      gauge(ToolKind::depth_gauge, {0.001, 0.001, 0.002, 0}, {0.02, 0.02, 0.05, 0}, metric);
  tools["feelers"] =
      gauge(ToolKind::feeler_gauge, {0.0005, 0.0001, 0.0001, 0}, {0.01, 0.003, 0.004, 0}, metric);
  tools["micrometer"] =
      gauge(ToolKind::micrometer, {0.0001, 0.0001, 0.00005, 0}, {0.002, 0.002, 0.001, 0}, metric);
  tools["rule"] = gauge(ToolKind::scale_rule, {0.005, 0.002, 0.002, 0.003}, {0.1, 0.05, 0.05, 0.1}, metric);
  build::Tool tester;
  tester.kind = ToolKind::load_tester;
  const double unit = metric ? 1 : lbf;
  const char* name = metric ? "N" : "lbf";
  tester.resolution = figure(metric ? 2 : 0.5, unit, name, Dimension::force);
  tester.permissible_error = figure(metric ? 10 : 3, unit, name, Dimension::force);
  tester.range = figure(metric ? 1000 : 300, unit, name, Dimension::force);
  tester.noise = figure(metric ? 2 : 0.5, unit, name, Dimension::force);
  tools["load tester"] = tester;
  return tools;
}

}  // namespace

TopEnd::TopEnd(Shop& shop, std::uint64_t seed, bool noise_as_known)
    : shop_(shop), draws_(seed * 7919 + 13), kit_(kit(shop.plan().metric)) {
  for (const auto& [name, tool] : kit_) {
    const double noise_scale = noise_as_known ? drawn_noise_scale(SharedDraws(draws_)) : 1;
    tools_.emplace(name, ShownBy(tool, draws_, noise_scale));
  }
  for (int cylinder = 1; cylinder <= shop.plan().cylinders(); ++cylinder) {
    draw({cylinder, build::Valve::intake});
    draw({cylinder, build::Valve::exhaust});
  }
}

void TopEnd::draw(const LobeKey& key) {
  const ValvePlan& plan = shop_.plan().of(key.valve);
  Valve& valve = valves_[key];
  valve.height = plan.installed_height + draws_.uniform(0.004 * inch);
  valve.rate = plan.spring_rate * (1 + draws_.uniform(0.015));
  valve.free_length = plan.free_length + draws_.uniform(0.003 * inch);
  valve.solid = plan.solid_height + draws_.uniform(0.003 * inch);
  valve.retainer_gap = plan.retainer_gap + draws_.uniform(0.010 * inch);
  valve.drop = plan.drop + draws_.uniform(0.006 * inch);
  valve.notch = 0.070 * inch + draws_.uniform(0.008 * inch);
  valve.mark_offset = 0.004 * inch + draws_.uniform(0.008 * inch);
  valve.mark_width = 0.055 * inch + draws_.uniform(0.008 * inch);
  valve.turns = 0.55 + draws_.uniform(0.12);
  const bool shims = shop_.plan().bucket_shims;
  valve.lash = std::max(0.0, plan.lash + draws_.uniform((shims ? 0.0035 : 0.0002) * inch));
  // Marked in steps of 0.05 mm, each a few thousandths of a millimetre off its mark.
  valve.shim = std::round((2.60 * mm + draws_.uniform(0.25 * mm)) / (0.05 * mm)) * 0.05 * mm +
               draws_.uniform(0.004 * mm);
}

/// A rocker whose roller tip runs centrally with its pushrod, and the pushrod.
void TopEnd::add_rockers(build::Build& build) const {
  const auto typed = [&](double inches) { return shop_.typed(inches * inch, 4); };
  const auto angle = [](double degrees) {
    return quantity::Angle::typed(degrees * degree, fmt::format("{:g} deg", degrees));
  };
  build::RockerDimensions rocker;
  rocker.pivot_to_valve = typed(1.5);
  rocker.pivot_height = typed(0.15);
  rocker.tip_arm = typed(1.52);
  rocker.cup_arm = typed(1.0);
  rocker.arm_angle = angle(160);
  rocker.tip_radius = typed(0.25);
  rocker.tip = build::TipKind::roller;
  rocker.pushrod_lean = angle(8);
  rocker.lifter_lean = angle(5);
  build.rockers->geometry = build::RockerGeometry{rocker, rocker};
  build.pushrods.emplace();
  build.pushrods->length = typed(7.8);
  build.pushrods->outside_diameter = typed(0.3125);
  build.pushrods->wall = typed(0.08);
}

void TopEnd::add_parts(build::Build& build) const {
  const EnginePlan& plan = shop_.plan();
  const auto typed = [&](double metres, int decimals) { return shop_.typed(metres, decimals); };
  build.springs.emplace();
  build.valves.emplace();
  build.followers.emplace();
  for (const auto valve : {build::Valve::intake, build::Valve::exhaust}) {
    const ValvePlan& of = plan.of(valve);
    const bool intake = valve == build::Valve::intake;
    build::SpringSpec spec;
    spec.installed_height = typed(of.installed_height, 3);
    spec.rate = plan.metric ? quantity::SpringRate::typed(of.spring_rate,
                                                          fmt::format("{:g} N/mm", of.spring_rate / 1e3))
                            : quantity::SpringRate::typed(
                                  of.spring_rate, fmt::format("{:g} lbf/in", of.spring_rate / lbf * inch));
    (intake ? build.springs->intake : build.springs->exhaust) = std::move(spec);
    build::ValvePart part;
    part.head_diameter = typed(of.head_diameter, 3);
    part.angle = quantity::Angle::typed(of.angle_deg * degree, fmt::format("{:g} deg", of.angle_deg));
    (intake ? build.valves->intake : build.valves->exhaust) = part;
    build::FollowerPart follower;
    follower.base_circle = typed(of.base_circle, 3);
    follower.face_diameter = typed(of.face_diameter, 3);
    follower.lobe_width = typed(of.lobe_width, 3);
    (intake ? build.followers->intake : build.followers->exhaust) = std::move(follower);
  }
  if (plan.spacing) {
    build.valves->spacing = typed(*plan.spacing, 3);
  }
  build.gasket.emplace();
  build.gasket->thickness = typed(plan.gasket, 3);
  if (plan.rockers_measured) {
    add_rockers(build);
  }
  if (plan.hydraulic) {
    build.lifters->plunger_travel = typed(0.180 * inch, 3);
    build.lifters->adjuster = build::AdjusterKind::stud_nut;
    build.lifters->thread_pitch = typed(inch / 24, 5);
  } else {
    build.lash = build::Lash{typed(plan.intake.lash, 3), typed(plan.exhaust.lash, 3)};
  }
  for (const auto& [name, tool] : kit_) {
    build.tools.emplace(name, tool);
  }
  if (!plan.bucket_shims) {
    return;
  }
  build.bucket_shims.emplace();
  const auto marked = [](double metres) {
    return quantity::Length::typed(metres, fmt::format("{:.2f} mm", metres / mm));
  };
  for (const auto& [key, valve] : valves_) {
    const double mark = std::round(valve.shim / (0.05 * mm)) * 0.05 * mm;
    build.bucket_shims->fitted.push_back({key.cylinder, key.valve, marked(mark)});
  }
  for (const double shelf : {2.50, 2.65, 2.70}) {
    build.bucket_shims->stock.push_back({marked(shelf * mm), 1});
  }
  for (int step = 0; step <= 20; ++step) {
    build.bucket_shims->sizes.push_back(marked((2.10 + 0.05 * step) * mm));
  }
  // The maker's figures of this engine: a twentieth of a millimetre either way.
  for (const auto valve : {build::Valve::intake, build::Valve::exhaust}) {
    const double lash = plan.of(valve).lash / mm;
    const auto bound = [](double value) {
      return build::Measure{Dimension::length, value * mm, fmt::format("{:.2f} mm", value)};
    };
    build.limits.push_back(
        {"lash.gap", valve, {}, {}, {}, bound(lash - 0.05), bound(lash + 0.05), "invented sheet, cold"});
  }
}

build::Reading TopEnd::at(ReadingKind kind, const LobeKey& key) {
  build::Reading reading;
  reading.id = shop_.next_id();
  reading.kind = kind;
  reading.cylinder = key.cylinder;
  reading.valve = key.valve;
  return reading;
}

void TopEnd::read_height(build::Build& build, const LobeKey& key) {
  build::Reading reading = at(ReadingKind::installed_height, key);
  reading.height = shop_.typed(tool("height micrometer").read(valves_.at(key).height), 3);
  reading.gauge = "height micrometer";
  build.readings.push_back(std::move(reading));
}

void TopEnd::read_loads(build::Build& build, const LobeKey& key, int loads) {
  const Valve& valve = valves_.at(key);
  const double tall = shop_.plan().of(key.valve).installed_height;
  const double open = net_lift(key);
  const bool metric = shop_.plan().metric;
  for (int i = 0; i < loads; ++i) {
    // Two heights, read in turns: about seat and about open.
    const double height = tall - (i % 2 == 0 ? 0.0 : open) + 0.01 * inch * (i / 2);
    build::Reading reading = at(ReadingKind::spring_load, key);
    reading.height = shop_.typed(tool("height micrometer").read(height), 3);
    const double shown = tool("load tester").read(load(valve, height));
    reading.load = quantity::Force::typed(
        shown, metric ? fmt::format("{:.0f} N", shown) : fmt::format("{:.1f} lbf", shown / lbf));
    reading.gauge = "height micrometer";
    reading.tester = "load tester";
    build.readings.push_back(std::move(reading));
  }
}

void TopEnd::read_solid(build::Build& build, const LobeKey& key) {
  build::Reading reading = at(ReadingKind::solid_height, key);
  reading.height = shop_.typed(tool("height micrometer").read(valves_.at(key).solid), 3);
  reading.gauge = "height micrometer";
  build.readings.push_back(std::move(reading));
}

void TopEnd::read_retainer(build::Build& build, const LobeKey& key) {
  build::Reading reading = at(ReadingKind::retainer_gap, key);
  reading.gap = shop_.typed(tool("depth gauge").read(valves_.at(key).retainer_gap), 3);
  reading.gauge = "depth gauge";
  build.readings.push_back(std::move(reading));
}

double TopEnd::drop_at(const LobeKey& key, double angle) const {
  const double lean = std::cos(shop_.plan().of(key.valve).angle_deg * degree);
  return valves_.at(key).drop + lean * shop_.crank().depth(angle);
}

void TopEnd::read_drop(build::Build& build, const LobeKey& key) {
  build::Reading reading = at(ReadingKind::valve_drop, key);
  reading.drop = shop_.typed(shop_.dial_shows(drop_at(key, 0)), 4);
  reading.lift_tool = "dial";
  build.readings.push_back(std::move(reading));
}

void TopEnd::read_drops(build::Build& build, const LobeKey& key, std::span<const double> at_deg) {
  for (const double degrees : at_deg) {
    build::Reading reading = at(ReadingKind::valve_drop, key);
    reading.drop = shop_.typed(shop_.dial_shows(drop_at(key, degrees * degree)), 4);
    reading.wheel = shop_.wheel_at(shop_.phases().crank_phase(key.cylinder) + degrees * degree);
    reading.tool = "wheel";
    reading.lift_tool = "dial";
    build.readings.push_back(std::move(reading));
  }
}

void TopEnd::read_notch(build::Build& build, const LobeKey& key) {
  build::Reading reading = at(ReadingKind::notch_gap, key);
  reading.gap = shop_.typed(tool("rule").read(valves_.at(key).notch), 3);
  reading.gauge = "rule";
  build.readings.push_back(std::move(reading));
}

void TopEnd::read_mark(build::Build& build, const LobeKey& key) {
  build::Reading reading = at(ReadingKind::tip_mark, key);
  reading.offset = shop_.typed(tool("rule").read(valves_.at(key).mark_offset), 3);
  reading.width = shop_.typed(tool("rule").read(valves_.at(key).mark_width), 3);
  reading.gauge = "rule";
  build.readings.push_back(std::move(reading));
}

void TopEnd::read_preload(build::Build& build, const LobeKey& key) {
  build::Reading reading = at(ReadingKind::preload_turns, key);
  reading.turns = std::round((valves_.at(key).turns + draws_.uniform(1.0 / 16)) * 100) / 100;
  build.readings.push_back(std::move(reading));
}

void TopEnd::read_lash(build::Build& build, const LobeKey& key) {
  build::Reading reading = at(ReadingKind::valve_lash, key);
  reading.gap = shop_.typed(std::max(0.0, tool("feelers").read(valves_.at(key).lash)), 4);
  reading.warmth = shop_.plan().bucket_shims ? build::Warmth::cold : build::Warmth::hot;
  reading.gauge = "feelers";
  build.readings.push_back(std::move(reading));
}

void TopEnd::read_shim(build::Build& build, const LobeKey& key) {
  build::Reading reading = at(ReadingKind::bucket_shim, key);
  reading.thickness = shop_.typed(tool("micrometer").read(valves_.at(key).shim), 4);
  reading.gauge = "micrometer";
  build.readings.push_back(std::move(reading));
}

double TopEnd::valve_lift(const LobeKey& key, double angle) const {
  const double lobe = shop_.lift(key, angle + shop_.phases().firing_tdc(key.cylinder));
  return std::max(0.0, shop_.plan().rocker_ratio * lobe - shop_.plan().of(key.valve).lash);
}

double TopEnd::net_lift(const LobeKey& key) const {
  return shop_.plan().rocker_ratio * shop_.max_lift(key) - shop_.plan().of(key.valve).lash;
}

double TopEnd::clearance(const LobeKey& key) const {
  double least = 1;
  for (double at = -60; at <= 60; at += 0.1) {
    least = std::min(least, drop_at(key, at * degree) - valve_lift(key, at * degree));
  }
  return least;
}

std::optional<double> TopEnd::truth(const stations::Finding& finding) const {
  if (!finding.where.cylinder || !finding.where.valve) {
    return std::nullopt;
  }
  const LobeKey key{*finding.where.cylinder, *finding.where.valve};
  const Valve& valve = valves_.at(key);
  const double open_height = valve.height - net_lift(key);
  const double pitch = inch / 24;
  const std::map<std::string, double> known{
      {"spring.installed_height", valve.height},
      {"spring.height_error", valve.height - shop_.plan().of(key.valve).installed_height},
      {"spring.seat_load", load(valve, valve.height)},
      {"spring.open_load", load(valve, open_height)},
      {"spring.rate", valve.rate},
      {"spring.coil_bind_margin", open_height - valve.solid},
      {"spring.retainer_margin", valve.retainer_gap - net_lift(key)},
      {"rocker.mark_offset", valve.mark_offset},
      {"rocker.mark_width", valve.mark_width},
      {"rocker.preload", valve.turns * pitch * (1 + 1 / shop_.plan().rocker_ratio)},
      {"piston_valve.drop", valve.drop},
      {"piston_valve.radial", valve.notch},
      {"lash.gap", valve.lash},
      {"lash.shim_wanted", valve.shim + valve.lash - shop_.plan().of(key.valve).lash},
  };
  if (finding.id == "piston_valve.clearance") {
    return clearance(key);
  }
  const auto found = known.find(finding.id);
  return found == known.end() ? std::nullopt : std::optional(found->second);
}

}  // namespace fettle::invented
