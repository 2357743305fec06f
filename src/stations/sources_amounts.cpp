// The part of Sources for readings taken without a wheel: heights, loads, gaps, diameters and turns.

#include <array>
#include <stdexcept>

#include "build/names.h"
#include "stations/again.h"
#include "stations/sources.h"

namespace fettle::stations {
namespace {

using build::Reading;
using build::ReadingKind;

constexpr double inch = 0.0254;
constexpr double pound_force = 4.4482216152605;

/// What a reading without a named instrument is good to (common practice, no source): the greatest error of
/// the instrument, shared by all such readings, the step that is read, and how far one reading may be off by
/// itself.
struct UsualGauge {
  ReadingKind kind;
  double permissible_error_in, resolution_in, parallax_in;
};
constexpr std::array usual_gauges{
    UsualGauge{ReadingKind::spring_load, 0.003, 0.001, 0},
    UsualGauge{ReadingKind::installed_height, 0.003, 0.001, 0.002},
    UsualGauge{ReadingKind::solid_height, 0.003, 0.001, 0.003},
    UsualGauge{ReadingKind::retainer_gap, 0.002, 0.005, 0.003},
    UsualGauge{ReadingKind::clay, 0.001, 0.001, 0.0075},
    UsualGauge{ReadingKind::notch_gap, 0.001, 0.005, 0.0075},
    UsualGauge{ReadingKind::tip_mark, 0, 0.005, 0.005},
    UsualGauge{ReadingKind::plunger_depth, 0.001, 0.005, 0.005},
    UsualGauge{ReadingKind::valve_lash, 0.0002, 0.001, 0.0005},
    UsualGauge{ReadingKind::bucket_shim, 0.00016, 0.0004, 0.0001},
    UsualGauge{ReadingKind::piston_fill, 0.0005, 0.001, 0.001},
    UsualGauge{ReadingKind::gasket_crush, 0.0002, 0.001, 0.001},
    UsualGauge{ReadingKind::gasket_bore, 0.001, 0.001, 0.005},
    UsualGauge{ReadingKind::deck_clearance, 0.0003, 0.0005, 0.0005},
    UsualGauge{ReadingKind::bolt_length, 0.0001, 0.0005, 0.0002},
    UsualGauge{ReadingKind::journal_diameter, 0.0001, 0.0001, 0.0001},
    UsualGauge{ReadingKind::housing_bore, 0.0002, 0.0001, 0.0002},
    UsualGauge{ReadingKind::bearing_bore, 0.0002, 0.0001, 0.0002},
    UsualGauge{ReadingKind::shell_wall, 0.0001, 0.0001, 0.0001},
    UsualGauge{ReadingKind::film_strip, 0.0002, 0.0005, 0.0003},
    UsualGauge{ReadingKind::end_play, 0.0005, 0.0005, 0.0003},
    UsualGauge{ReadingKind::rod_side, 0.0002, 0.001, 0.0005},
    UsualGauge{ReadingKind::bore_diameter, 0.0002, 0.0001, 0.0002},
    UsualGauge{ReadingKind::piston_diameter, 0.0001, 0.0001, 0.0001},
    UsualGauge{ReadingKind::ring_gap, 0.0002, 0.001, 0.0005},
    UsualGauge{ReadingKind::ring_side, 0.0002, 0.0005, 0.0005},
};

std::optional<metrology::Tool> usual_gauge(ReadingKind kind) {
  for (const UsualGauge& gauge : usual_gauges) {
    if (gauge.kind == kind) {
      return metrology::Tool{.kind = "gauge of common practice",
                             .error_form = metrology::ErrorForm::offset,
                             .resolution = gauge.resolution_in * inch,
                             .permissible_error = gauge.permissible_error_in * inch,
                             .range = {},
                             .drift = {},
                             .parallax = gauge.parallax_in * inch,
                             .noise = {}};
    }
  }
  return std::nullopt;
}

/// A tester good to 3 % that is read to a pound (common practice, no source).
metrology::Tool usual_tester() {
  constexpr double range = 300 * pound_force;
  return {.kind = "load tester of common practice",
          .error_form = metrology::ErrorForm::proportional,
          .resolution = 1 * pound_force,
          .permissible_error = 0.03 * range,
          .range = range,
          .drift = {},
          .parallax = {},
          .noise = {}};
}

}  // namespace

/// A gauge set to size on another tool carries that tool's errors, and what the one setting missed by: a
/// reading of both.
void Sources::set_tools_on_others() {
  for (const auto& [name, tool] : build_.tools) {
    if (!tool.set_on) {
      continue;
    }
    ToolInUse& gauge = indicators_.at(name);
    gauge.set_on = &indicators_.at(*tool.set_on);
    const double zero = 0;
    metrology::Input setting =
        metrology::reading_input(gauge.set_on->tool, name + ", setting", std::span(&zero, 1));
    const metrology::Input own = metrology::reading_input(gauge.tool, "", std::span(&zero, 1));
    setting.components.insert(setting.components.end(), own.components.begin(), own.components.end());
    if (!setting.components.empty()) {
      gauge.setting = add(std::move(setting), {std::nullopt, name, "setting on " + *tool.set_on});
    }
  }
}

void Sources::add_gauges() {
  bool unnamed_tester = false;
  std::vector<std::string_view> unnamed;
  std::vector<std::string> unnamed_testers;
  for (const Reading& reading : build_.readings) {
    const ToolInUse* gauge = nullptr;
    if (reading.gauge) {
      gauge = &indicators_.at(*reading.gauge);
    } else if (const auto usual = usual_gauge(reading.kind)) {
      auto& tools = usual_gauges_[reading.kind];
      if (tools.empty()) {
        const std::string kind(build::word(reading.kind));
        add_tool(tools, "", *usual, false, "unnamed gauge for " + kind, "error of the gauge");
        unnamed.push_back(build::word(reading.kind));
      }
      gauge = &tools.begin()->second;
    }
    gauge_of_.push_back(gauge);
    if (reading.load && !reading.tester && testers_.find("") == testers_.end()) {
      add_tool(testers_, "", usual_tester(), false, "unnamed load tester", "error of the load tester");
      unnamed_tester = true;
    }
    tester_of_.push_back(reading.load ? &testers_.at(reading.tester.value_or(""))
                                      : tester_for(reading, unnamed_testers));
  }
  assumptions_.insert(assumptions_.end(), unnamed_testers.begin(), unnamed_testers.end());
  for (const std::string_view kind : unnamed) {
    assumptions_.push_back(
        "Readings of kind " + std::string(kind) +
        " that name no gauge are taken as good as common practice has it (docs/format.md).");
  }
  if (unnamed_tester) {
    assumptions_.emplace_back(
        "Spring loads that name no tester are taken as read to 1 lbf on a tester good to 3 % (common "
        "practice).");
  }
}

void Sources::add_amounts(int place) {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  const auto add_one = [&](Amount amount, const ToolInUse* tool, double value, bool main, const char* label) {
    const auto values = main ? with_again(value, reading.again) : std::vector<double>{value};
    metrology::Input input = metrology::reading_input(tool->tool, label, values);
    amount_inputs_[{place, amount}] = add(std::move(input), {place, "", label});
  };
  if (reading.load) {
    add_one(Amount::load, tester_of_[static_cast<std::size_t>(place)], reading.load->si(), true, "load");
  }
  const ToolInUse* gauge = gauge_of_[static_cast<std::size_t>(place)];
  if (reading.height) {
    add_one(Amount::height, gauge, reading.height->si(), !reading.load, "height");
  }
  if (reading.gap) {
    add_one(Amount::gap, gauge, reading.gap->si(), true, "gap");
  }
  if (reading.offset) {
    add_one(Amount::offset, gauge, reading.offset->si(), true, "place of the mark");
  }
  if (reading.width) {
    add_one(Amount::width, gauge, reading.width->si(), false, "width of the mark");
  }
  if (reading.depth) {
    add_one(Amount::depth, gauge, reading.depth->si(), !reading.volume, "depth");
  }
  if (reading.thickness) {
    add_one(Amount::thickness, gauge, reading.thickness->si(), true, "thickness");
  }
  if (reading.diameter) {
    add_one(Amount::diameter, gauge, reading.diameter->si(), true, "diameter");
  }
  if (reading.wall) {
    add_one(Amount::wall, gauge, reading.wall->si(), true, "wall");
  }
  if (reading.temperature) {
    // A part lying on the bench is known to a degree either way (common practice, no source); what is missed
    // is the same at all its readings.
    const auto known = part_temperatures_.find(spot_of(reading));
    if (known == part_temperatures_.end()) {
      metrology::Input input{"temperature", {}, 0, std::nullopt};
      input.components.push_back(metrology::Component::rectangular_half_width("of the part", 1.0));
      part_temperatures_[spot_of(reading)] = add(std::move(input), {place, "", "temperature"});
    }
    amount_inputs_[{place, Amount::temperature}] = part_temperatures_.at(spot_of(reading));
  }
  if (reading.turns) {
    // A wrench is set to about a sixteenth of a turn either way (common practice, no source).
    metrology::Input input{"turns", {}, *reading.turns, std::nullopt};
    input.components.push_back(
        metrology::Component::rectangular_half_width("setting of the wrench", 1.0 / 16));
    amount_inputs_[{place, Amount::turns}] = add(std::move(input), {place, "", "turns"});
  }
  add_part_amounts(place);
}

std::optional<std::size_t> Sources::amount_input(int reading, Amount amount) const {
  const auto found = amount_inputs_.find({reading, amount});
  return found == amount_inputs_.end() ? std::nullopt : std::optional(found->second);
}

const Sources::ToolInUse& Sources::gauge_of(int reading) const {
  return *gauge_of_[static_cast<std::size_t>(reading)];
}

const Sources::ToolInUse& Sources::tester_of(int reading) const {
  return *tester_of_[static_cast<std::size_t>(reading)];
}

}  // namespace fettle::stations
