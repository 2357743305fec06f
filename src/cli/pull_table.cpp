#include "cli/pull_table.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "cli/table.h"
#include "quantity/unit.h"

namespace fettle::cli {
namespace {

using pull::Curve;
using pull::SpeedPoint;
using quantity::Dimension;

constexpr double rpm = 2.0 * std::numbers::pi / 60.0;
constexpr double degree = std::numbers::pi / 180.0;
constexpr std::size_t columns = 80;

double in_unit(double si, Dimension dimension, quantity::System system) {
  const quantity::Unit& unit = quantity::default_unit(dimension, system);
  return (si - unit.offset) / unit.factor;
}

std::string unit_of(Dimension dimension, quantity::System system) {
  return std::string(quantity::default_unit(dimension, system).symbol);
}

/// kg/J as g/kWh.
double grams_a_kilowatt_hour(double si) {
  return si * 1000.0 * 3.6e6;
}

std::string breathing_table(const Curve& curve, quantity::System system) {
  std::string text =
      fmt::format("{:>5} {:>7} {:>7} {:>6} {:>5} {:>6} {:>7} {:>5} {:>6} {:>6} {:>7}\n", "rpm", "torque",
                  "power", "BMEP", "VE", "left", "spark", "knock", "EGT", "fuel", "SAE");
  text += fmt::format("{:>5} {:>7} {:>7} {:>6} {:>5} {:>6} {:>7} {:>5} {:>6} {:>6} {:>7}\n", "",
                      unit_of(Dimension::torque, system), unit_of(Dimension::power, system),
                      unit_of(Dimension::pressure, system), "%", "over %", "BTDC", "",
                      unit_of(Dimension::temperature, system), "g/kWh", unit_of(Dimension::torque, system));
  for (const SpeedPoint& p : curve.points) {
    if (p.cylinders.empty()) {
      text += fmt::format("{:5.0f} not run\n", p.speed / rpm);
      continue;
    }
    text += fmt::format(
        "{:5.0f} {:7.1f} {:7.1f} {:6.0f} {:5.1f} {:6.1f} {:6.1f}{} {:5.2f} {:6.0f} {:>6} {:7.1f}{}\n",
        p.speed / rpm, in_unit(p.brake_torque, Dimension::torque, system),
        in_unit(p.brake_power, Dimension::power, system), in_unit(p.bmep, Dimension::pressure, system),
        100.0 * p.volumetric_efficiency, 100.0 * p.residual, p.advance / degree,
        p.spark_held_back ? '*' : ' ', p.knock_integral,
        in_unit(p.exhaust_temperature, Dimension::temperature, system),
        p.fuel_consumption ? fmt::format("{:.0f}", grams_a_kilowatt_hour(*p.fuel_consumption)) : "-",
        in_unit(p.torque_sae, Dimension::torque, system),
        p.alternates  ? " ~"
        : p.converged ? ""
                      : " !");
  }
  return text;
}

std::string notes_below(const pull::PullResult& result) {
  bool held_back = false;
  bool knocks = false;
  std::string text;
  for (const Curve& curve : result.curves) {
    for (const SpeedPoint& p : curve.points) {
      held_back = held_back || p.spark_held_back;
      knocks = knocks || (p.knock_integral >= 1.0 && !p.spark_held_back);
      if (p.alternates) {
        text += fmt::format("~ {:.0f} rpm: two cycles take turns; their mean is given\n", p.speed / rpm);
      }
      if (!p.converged && !p.cylinders.empty()) {
        text += wrapped(fmt::format("! {:.0f} rpm: {}", p.speed / rpm, p.why), columns, 2) + "\n";
      }
    }
  }
  if (held_back) {
    text += "* held back from the spark of best torque, where the fuel would knock\n";
  }
  if (knocks) {
    text += "knock at 1.00 and above: the fuel is likely to knock with this spark\n";
  }
  return text;
}

std::string peaks(const Curve& curve, quantity::System system) {
  const auto by_torque = [](const SpeedPoint& a, const SpeedPoint& b) {
    return a.brake_torque < b.brake_torque;
  };
  const auto by_power = [](const SpeedPoint& a, const SpeedPoint& b) {
    return a.brake_power < b.brake_power;
  };
  const auto torque = std::max_element(curve.points.begin(), curve.points.end(), by_torque);
  const auto power = std::max_element(curve.points.begin(), curve.points.end(), by_power);
  return fmt::format("Most torque {} at {:.0f} rpm, most power {} at {:.0f} rpm.\n",
                     quantity::print(torque->brake_torque, Dimension::torque, system), torque->speed / rpm,
                     quantity::print(power->brake_power, Dimension::power, system), power->speed / rpm);
}

/// Torque of every curve beside one another.
std::string cam_table(const pull::PullResult& result, quantity::System system) {
  std::string text =
      fmt::format("\nBrake torque, {}, by cam position (crank degrees earlier than fitted)\n{:>5}",
                  unit_of(Dimension::torque, system), "rpm");
  for (const Curve& curve : result.curves) {
    text +=
        fmt::format(" {:>8}", fmt::format("{:+g} deg", std::round(curve.cam_advance / degree * 100) / 100));
  }
  text += "\n";
  for (std::size_t i = 0; i < result.curves.front().points.size(); ++i) {
    text += fmt::format("{:5.0f}", result.curves.front().points[i].speed / rpm);
    for (const Curve& curve : result.curves) {
      text += fmt::format(" {:8.1f}", in_unit(curve.points[i].brake_torque, Dimension::torque, system));
    }
    text += "\n";
  }
  return text;
}

/// What the doubt of the readings comes to.
std::string doubt_table(const pull::PullResult& result, quantity::System system) {
  std::string text = fmt::format("\nWhat the readings leave open, {} of brake torque\n{:>5}",
                                 unit_of(Dimension::torque, system), "rpm");
  for (const pull::TorqueDoubt& doubt : result.doubts) {
    const bool angle = doubt.finding == "cam.phase_error";
    text += fmt::format(" {:>22} {:>6}", doubt.source + (angle ? " a degree" : " a tenth"), "u");
  }
  text += "\n";
  for (std::size_t i = 0; i < result.doubts.front().at.size(); ++i) {
    text += fmt::format("{:5.0f}", result.doubts.front().at[i].speed / rpm);
    for (const pull::TorqueDoubt& doubt : result.doubts) {
      const pull::TorqueDoubt::At& at = doubt.at[i];
      const double unit = doubt.finding == "cam.phase_error" ? degree : 0.1;
      text += fmt::format(
          " {:>22.2f} {:>6}", in_unit(at.per_unit * unit, Dimension::torque, system),
          at.torque_u ? fmt::format("{:.2f}", in_unit(*at.torque_u, Dimension::torque, system)) : "-");
    }
    text += "\n";
  }
  return text +
         wrapped(
             "u: standard uncertainty that the readings' doubt gives the torque; - where it was not "
             "read. How far the model itself is off comes on top, is larger, and is not known "
             "(docs/validation.md).",
             columns, 0) +
         "\n";
}

std::string assumptions(const pull::PullResult& result, quantity::System system) {
  std::string text = "\nThe build does not say, so it was taken:\n";
  for (const pull::Assumption& a : result.assumptions) {
    const bool convert = a.dimension && *a.dimension != Dimension::ratio && *a.dimension != Dimension::volume;
    const std::string value = convert ? quantity::print(a.si, *a.dimension, system) : a.value;
    text += wrapped(fmt::format("  {}: {}", a.text, value), columns, 4) + "\n";
  }
  return text;
}

}  // namespace

std::string pull_table(const build::Build& build, const pull::PullResult& result, quantity::System system) {
  std::string text = fmt::format("{}: pull at full throttle\n", build.name);
  text += fmt::format("{}, ratio {:.2f}; air as in SAE J1349 x {:.3f}, ISO 1585 x {:.3f}\n",
                      quantity::print(result.displacement, Dimension::volume,
                                      system == quantity::System::inch ? "cu in" : "L"),
                      result.compression_ratio, result.sae_factor, result.iso_factor);
  text += wrapped(result.cautions.front(), columns, 0) + "\n";
  for (const Curve& curve : result.curves) {
    text += "\n";
    if (result.curves.size() > 1) {
      text += fmt::format("Cam {:+g} deg\n", std::round(curve.cam_advance / degree * 100) / 100);
    }
    text += breathing_table(curve, system);
    text += peaks(curve, system);
  }
  text += notes_below(result);
  if (result.curves.size() > 1) {
    text += cam_table(result, system);
  }
  if (!result.doubts.empty()) {
    text += doubt_table(result, system);
  }
  text += assumptions(result, system);
  text += "\n";
  for (std::size_t i = 1; i < result.cautions.size(); ++i) {
    text += wrapped(result.cautions[i], columns, 0) + "\n";
  }
  return text;
}

}  // namespace fettle::cli
