#include "stations/sources.h"

#include <cmath>
#include <stdexcept>

#include <fmt/format.h>

#include "build/names.h"
#include "build/validate_readings.h"
#include "mechanism/circular.h"
#include "quantity/angle.h"

namespace fettle::stations {
namespace {

using build::Build;
using build::Reading;
using build::ReadingKind;
using mechanism::full_turn;
using mechanism::wrap_centred;

constexpr double degree = quantity::radians_per_degree;
constexpr double inch = 0.0254;

mechanism::SliderCrank crank_of(const build::Engine& engine) {
  return mechanism::SliderCrank({.crank_throw = engine.stroke.si() / 2,
                                 .rod_length = engine.rod_length.si(),
                                 .pin_offset = engine.pin_offset ? engine.pin_offset->si() : 0});
}

mechanism::CylinderPhases phases_of(const build::Engine& engine) {
  mechanism::FiringPlan plan{engine.firing_order, {}};
  for (const auto& interval : engine.firing_intervals) {
    plan.intervals.push_back(interval.si());
  }
  return mechanism::CylinderPhases(plan);
}

std::optional<double> si(const std::optional<build::Measure>& measure) {
  return measure ? std::optional(measure->si) : std::nullopt;
}

/// The tool as metrology sees it. A wheel's error goes round once a turn (centring, division); another's is
/// the same at every reading, or grows with it where the tool has a range.
metrology::Tool tool_of(const build::Tool& tool) {
  using metrology::ErrorForm;
  return {.kind = std::string(build::word(tool.kind)),
          .error_form = build::measures_angle(tool.kind) ? ErrorForm::once_a_turn
                        : tool.range                     ? ErrorForm::proportional
                                                         : ErrorForm::offset,
          .resolution = si(tool.resolution),
          .permissible_error = si(tool.permissible_error),
          .range = si(tool.range),
          .drift = si(tool.drift),
          .parallax = si(tool.parallax),
          .noise = si(tool.noise)};
}

/// Stand-ins where a reading names no tool (common practice, no source).
metrology::Tool usual_wheel() {
  return {.kind = "wheel of common practice",
          .error_form = metrology::ErrorForm::once_a_turn,
          .resolution = 0.5 * degree,
          .permissible_error = 0.25 * degree,
          .range = {},
          .drift = {},
          .parallax = 0.25 * degree,
          .noise = {}};
}
metrology::Tool usual_indicator() {
  return {.kind = "indicator of common practice",
          .error_form = metrology::ErrorForm::offset,
          .resolution = 0.001 * inch,
          .permissible_error = 0.001 * inch,
          .range = {},
          .drift = {},
          .parallax = {},
          .noise = {}};
}

/// A reading and its repeats, each brought to within half a turn of the first.
std::vector<double> near_first(const build::WheelMark& first, const std::vector<build::WheelMark>& repeats,
                               double counting) {
  const double number = first.number(counting);
  std::vector<double> values{number};
  for (const auto& repeat : repeats) {
    values.push_back(number + wrap_centred(repeat.number(counting) - number, full_turn));
  }
  return values;
}

}  // namespace

Sources::Sources(const Build& build, std::shared_ptr<Memory> memory)
    : build_(build),
      memory_(memory ? std::move(memory) : std::make_shared<Memory>()),
      inventory_(take_inventory(build)),
      crank_(crank_of(build.engine)),
      phases_(phases_of(build.engine)) {
  add_tools();
  add_gauges();
  add_slopes();
  fit_lobe_sweeps();
  add_sheet();
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    add_reading(static_cast<int>(i));
  }
  for (const auto& [key, readings] : inventory_.lobes) {
    add_slack(readings);
  }
  add_exponent();
  add_train();
}

std::optional<std::size_t> Sources::find(const Places& places, int reading) {
  const auto found = places.find(reading);
  return found == places.end() ? std::nullopt : std::optional(found->second);
}

const FittedSweep* Sources::sweep(int reading) const {
  const auto found = sweeps_.find(reading);
  return found == sweeps_.end() ? nullptr : &found->second;
}

const FittedTdc* Sources::tdc_sweep(int reading) const {
  const auto found = tdc_sweeps_.find(reading);
  return found == tdc_sweeps_.end() ? nullptr : &found->second;
}

const Sources::ToolInUse& Sources::wheel_of(int reading) const {
  return *wheel_of_[static_cast<std::size_t>(reading)];
}

const Sources::ToolInUse& Sources::indicator_of(int reading) const {
  return *indicator_of_[static_cast<std::size_t>(reading)];
}

const LobeSlopes& Sources::slopes(build::Valve valve) const {
  return slopes_.at(valve);
}

double Sources::wheel_u(int reading) const {
  constexpr double least = 0.001 * degree;
  return std::max(metrology::own_u(wheel_of(reading).tool), least);
}

double Sources::indicator_u(int reading) const {
  constexpr double least = 1e-7;
  return std::max(metrology::own_u(indicator_of(reading).tool), least);
}

double Sources::counting(const std::string& wheel) const {
  const auto found = build_.tools.find(wheel);
  const bool falls = found != build_.tools.end() && found->second.counts == build::Turning::backward;
  return falls ? -1 : 1;
}

std::size_t Sources::add(metrology::Input input, Origin origin) {
  estimates_.push_back(input.estimate);
  inputs_.push_back(std::move(input));
  origins_.push_back(std::move(origin));
  return inputs_.size() - 1;
}

Sources::ToolInUse& Sources::add_tool(std::map<std::string, ToolInUse>& tools, const std::string& name,
                                      const metrology::Tool& tool, bool stated, const std::string& owner,
                                      const std::string& error) {
  ToolInUse in_use{tool, inputs_.size(), 0, stated};
  for (metrology::Input& bias : metrology::bias_inputs(tool, name)) {
    add(std::move(bias), {std::nullopt, owner, error});
    ++in_use.biases;
  }
  return tools.emplace(name, std::move(in_use)).first->second;
}

void Sources::add_tools() {
  const auto add_named = [this](const std::string& name, const metrology::Tool& tool, bool stated,
                                quantity::Dimension measures) {
    switch (measures) {
      case quantity::Dimension::angle:
        add_tool(wheels_, name, tool, stated, name.empty() ? "unnamed wheel" : name,
                 "centring and division of the wheel");
        break;
      case quantity::Dimension::force:
        add_tool(testers_, name, tool, stated, name.empty() ? "unnamed load tester" : name,
                 "error of the load tester");
        break;
      case quantity::Dimension::volume:
      case quantity::Dimension::mass:
      case quantity::Dimension::torque:
      case quantity::Dimension::pressure:
        add_tool(testers_, name, tool, stated, name, "error of the " + tool.kind);
        break;
      default:
        add_tool(indicators_, name, tool, stated, name.empty() ? "unnamed indicator" : name,
                 "error of the indicator");
    }
  };
  for (const auto& [name, tool] : build_.tools) {
    add_named(name, tool_of(tool), true, build::measured_by(tool.kind));
  }
  set_tools_on_others();
  bool unnamed_wheel = false;
  bool unnamed_indicator = false;
  for (const Reading& reading : build_.readings) {
    const bool swept = !reading.points.empty();
    const bool uses_wheel = swept || reading.wheel || reading.slack;
    const bool uses_indicator = swept || reading.drop || reading.lift || reading.below_max;
    unnamed_wheel = unnamed_wheel || (!reading.tool && uses_wheel);
    unnamed_indicator = unnamed_indicator || (!reading.lift_tool && uses_indicator);
  }
  add_named("", usual_wheel(), false, quantity::Dimension::angle);
  add_named("", usual_indicator(), false, quantity::Dimension::length);
  for (const Reading& reading : build_.readings) {
    wheel_of_.push_back(&wheels_.at(reading.tool.value_or("")));
    indicator_of_.push_back(&indicators_.at(reading.lift_tool.value_or("")));
    counting_.push_back(counting(reading.tool.value_or("")));
  }
  if (unnamed_wheel) {
    assumptions_.emplace_back(
        "Wheel readings that name no tool are taken as good to 1/4 deg parallax, read to 1/2 deg, on a wheel "
        "centred "
        "within 1/4 deg (common practice).");
  }
  if (unnamed_indicator) {
    assumptions_.emplace_back(
        "Indicator readings that name no tool are taken as read to 0.001 in on an indicator good to 0.001 in "
        "(common "
        "practice).");
  }
}

metrology::Component Sources::flat_nose(int place) const {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  const LiftBasis basis =
      lift_basis(build_, *reading.valve, reading.measured_at.value_or(build::MeasuredAt::lifter));
  const double unseen = std::max(indicator_u(place), 0.0002 * inch);
  return metrology::Component::rectangular_half_width(
      "flat nose of the lobe", slopes(*reading.valve).nose_half_width(unseen * basis.factor));
}

void Sources::add_slopes() {
  bool usual = false;
  for (const Reading& reading : build_.readings) {
    const bool single =
        reading.kind == ReadingKind::lobe_point || (reading.kind == ReadingKind::lobe_top && reading.wheel);
    if (single && !slopes_.contains(*reading.valve)) {
      const LobeSlopes& slopes =
          slopes_.emplace(*reading.valve, LobeSlopes(build_, *reading.valve, *memory_)).first->second;
      usual = usual || !slopes.from_card();
    }
  }
  if (usual) {
    assumptions_.emplace_back(
        "Doubt of an indicator is turned into crank degrees by the slope of a usual lobe, since the card "
        "gives no lift "
        "with durations.");
  }
}

void Sources::add_reading(int place) {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  if (reading.kind == ReadingKind::lobe_sweep) {
    if (reading.turning != build::Turning::backward) {
      add_lobe_sweep(place);
    }
    return;
  }
  if (reading.kind == ReadingKind::tdc_sweep) {
    add_tdc_sweep(place);
    return;
  }
  if (reading.wheel) {
    const auto values = near_first(*reading.wheel, reading.repeats, counting(place));
    metrology::Input wheel = metrology::reading_input(wheel_of(place).tool, "wheel reading", values);
    if (reading.kind == ReadingKind::lobe_top) {
      wheel.components.push_back(flat_nose(place));
    }
    wheel_inputs_[place] = add(std::move(wheel), {place, "", "wheel reading"});
  }
  if (reading.slack) {
    std::vector<double> slacks{reading.slack->si()};
    for (const auto& repeat : reading.repeats) {
      slacks.push_back(repeat.radians);
    }
    // A slack is the difference of two readings of the wheel.
    metrology::Input slack = metrology::reading_input(wheel_of(place).tool, "slack", slacks);
    const auto end_points = slack.components;
    slack.components.insert(slack.components.end(), end_points.begin(), end_points.end());
    slack_inputs_[place] = add(std::move(slack), {place, "", "slack reading"});
  }
  add_amounts(place);
  for (const auto* length : {&reading.drop, &reading.lift, &reading.below_max}) {
    if (*length) {
      const double lift = (*length)->si();
      lift_inputs_[place] =
          add(metrology::reading_input(indicator_of(place).tool, "indicator reading", std::span(&lift, 1)),
              {place, "", "indicator reading"});
    }
  }
}

}  // namespace fettle::stations
