// The part of Sources for volumes, weights, pressures, torques and lengths of parts.

#include "build/validate_readings.h"
#include "stations/again.h"
#include "stations/compression_state.h"
#include "stations/fastener_state.h"
#include "stations/sources.h"

namespace fettle::stations {
namespace {

using build::Reading;
using build::ReadingKind;
using quantity::Dimension;

constexpr double inch = 0.0254;

/// What stands in where a reading names no instrument (common practice, no source).
struct UsualTester {
  const char* name;
  const char* says;
  metrology::Tool tool;
};

metrology::Tool usual(const char* kind, double resolution, double permissible_error,
                      std::optional<double> range, double parallax) {
  return {.kind = kind,
          .error_form = range ? metrology::ErrorForm::proportional : metrology::ErrorForm::offset,
          .resolution = resolution,
          .permissible_error = permissible_error,
          .range = range,
          .drift = {},
          .parallax = parallax,
          .noise = {}};
}

UsualTester usual_tester_for(Dimension dimension) {
  constexpr double cc = 1e-6;
  constexpr double gram = 1e-3;
  constexpr double psi = 6894.757293168;
  constexpr double foot_pound = 1.3558179483314;
  switch (dimension) {
    case Dimension::volume:
      return {"unnamed burette",
              "Volumes that name no burette are taken as read to 0.2 cc, poured full within 0.3 cc, from a "
              "burette good to 0.2 cc (common practice).",
              usual("burette of common practice", 0.2 * cc, 0.2 * cc, {}, 0.3 * cc)};
    case Dimension::mass:
      return {"unnamed scale",
              "Weights that name no scale are taken as read to 0.5 g on a scale good to 0.5 g (common "
              "practice).",
              usual("scale of common practice", 0.5 * gram, 0.5 * gram, {}, 0.5 * gram)};
    case Dimension::pressure:
      return {"unnamed pressure gauge",
              "Cranking pressures that name no gauge are taken as read to 5 psi on a gauge good to 6 psi "
              "(common practice).",
              usual("pressure gauge of common practice", 5 * psi, 6 * psi, {}, 3 * psi)};
    default:
      return {"unnamed torque wrench",
              "Torques that name no wrench are taken as set to 1 ft lb with a wrench good to 4 % (common "
              "practice).",
              usual("torque wrench of common practice", 1 * foot_pound, 4 * foot_pound, 100 * foot_pound,
                    1 * foot_pound)};
  }
}

}  // namespace

const Sources::ToolInUse* Sources::tester_for(const Reading& reading, std::vector<std::string>& unnamed) {
  if (!reading.volume && !reading.mass && !reading.pressure && !reading.torque) {
    return nullptr;
  }
  if (reading.tester) {
    return &testers_.at(*reading.tester);
  }
  const Dimension dimension = build::tester_dimension(reading);
  auto& tools = usual_testers_[dimension];
  if (tools.empty()) {
    const UsualTester tester = usual_tester_for(dimension);
    add_tool(tools, "", tester.tool, false, tester.name, "error of the instrument");
    unnamed.emplace_back(tester.says);
  }
  return &tools.begin()->second;
}

void Sources::add_part_amounts(int place) {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  const auto add_one = [&](Amount amount, const ToolInUse* tool, double value, bool main, const char* label) {
    const auto values = main ? with_again(value, reading.again) : std::vector<double>{value};
    metrology::Input input = metrology::reading_input(tool->tool, label, values);
    if (amount == Amount::below &&
        (reading.place == build::PistonPlace::inboard || reading.place == build::PistonPlace::outboard)) {
      // Away from its pin a piston rocks by 0.003 to 0.008 in either way (common practice, no source).
      input.components.push_back(
          metrology::Component::rectangular_half_width("rock of the piston", 0.008 * inch));
    }
    amount_inputs_[{place, amount}] = add(std::move(input), {place, "", label});
  };
  const ToolInUse* gauge = gauge_of_[static_cast<std::size_t>(place)];
  const ToolInUse* tester = tester_of_[static_cast<std::size_t>(place)];
  if (reading.volume) {
    add_one(Amount::volume, tester, reading.volume->si(), true, "volume");
  }
  if (reading.mass) {
    add_one(Amount::mass, tester, reading.mass->si(), true, "weight");
  }
  if (reading.pressure) {
    add_one(Amount::pressure, tester, reading.pressure->si(), true, "pressure");
  }
  if (reading.size) {
    add_one(Amount::size, gauge, reading.size->si(), true, "length");
  }
  if (reading.below) {
    add_one(Amount::below, gauge, reading.below->si(), true, "deck clearance");
  }
  if (reading.angle) {
    // A protractor on the wrench is set to about two degrees either way (common practice, no source).
    constexpr double two_degrees = 2 * 0.017453292519943295;
    metrology::Input input{"angle", {}, reading.angle->si(), std::nullopt};
    input.components.push_back(
        metrology::Component::rectangular_half_width("setting of the wrench", two_degrees));
    amount_inputs_[{place, Amount::angle}] = add(std::move(input), {place, "", "angle"});
  }
  if (reading.torque) {
    add_one(Amount::torque, tester, reading.torque->si(), !reading.size, "torque");
    // At one torque the preload scatters by 25 to 30 % either way (Shigley, section 8-8): two u.
    const double factor = nut_factor_of(build_.fasteners.at(*reading.fastener));
    metrology::Input input{"nut factor", {}, factor, std::nullopt};
    input.components.push_back(metrology::Component::normal("friction of thread and face", 0.15 * factor));
    amount_inputs_[{place, Amount::nut_factor}] =
        add(std::move(input), {place, "", "friction of thread and face"});
  }
}

void Sources::add_exponent() {
  if (!compression_concerns(*this)) {
    return;
  }
  const auto& plan = build_.compression;
  const bool typed = plan && plan->exponent;
  constexpr double usual_exponent = 1.30;
  metrology::Input input{"polytropic exponent", {}, typed ? *plan->exponent : usual_exponent, std::nullopt};
  // A cold cylinder gives up heat: 1.26 to 1.34 by size and speed of cranking (common practice, no source).
  input.components.push_back(metrology::Component::rectangular_half_width("heat given up", 0.04));
  exponent_input_ = add(std::move(input), {std::nullopt, "cranking", "polytropic exponent"});
}

}  // namespace fettle::stations
