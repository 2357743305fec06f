#pragma once

#include <array>
#include <string_view>

namespace fettle::quantity {

// What kind of thing a number measures. The comment gives the SI unit in which its value is held.
enum class Dimension {
  length,                  // m
  angle,                   // rad
  force,                   // N
  rate,                    // N/m, of a spring
  pressure,                // Pa
  volume,                  // m3
  mass,                    // kg
  temperature,             // K, absolute
  temperature_difference,  // K: a step, a tolerance or an uncertainty of a temperature
  torque,                  // N m
  time,                    // s
  speed,                   // rad/s, of a shaft
  velocity,                // m/s
  area,                    // m2
  flow,                    // m3/s
  power,                   // W
  ratio,                   // 1: one quantity over another of its kind
  viscosity,               // Pa s, dynamic
};

inline constexpr std::array all_dimensions = {
    Dimension::length,   Dimension::angle,       Dimension::force,
    Dimension::rate,     Dimension::pressure,    Dimension::volume,
    Dimension::mass,     Dimension::temperature, Dimension::temperature_difference,
    Dimension::torque,   Dimension::time,        Dimension::speed,
    Dimension::velocity, Dimension::area,        Dimension::flow,
    Dimension::power,    Dimension::ratio,       Dimension::viscosity,
};

// As a message says it: "length", "spring rate", "shaft speed".
std::string_view name(Dimension dimension);

// With its article: "a length", "an angle".
std::string_view name_with_article(Dimension dimension);

// The unit the SI value is in: "m", "rad", "N/m".
std::string_view si_unit(Dimension dimension);

// The dimension in which differences and uncertainties of this one are expressed: itself, but for an
// absolute temperature, whose differences have no zero point.
Dimension difference_of(Dimension dimension);

}  // namespace fettle::quantity
