#include "quantity/print.h"

#include <charconv>
#include <cmath>
#include <stdexcept>

#include <fmt/format.h>

namespace fettle::quantity {
namespace {

constexpr int most_decimals = 12;

void require(bool holds, const char* message) {
  if (!holds) {
    throw std::invalid_argument(message);
  }
}

// Decimal place of the last of so many significant digits: 0.0004 with two digits gives 5 decimals, 1234
// gives -2. Taken from the rounded digits, so that 0.0996 counts as 0.10.
int decimals_for(double uncertainty, int digits) {
  const std::string scientific = fmt::format("{:.{}e}", uncertainty, digits - 1);
  const std::size_t e = scientific.find('e');
  const std::size_t start = e + (scientific[e + 1] == '+' ? 2 : 1);
  int exponent = 0;
  std::from_chars(scientific.data() + start, scientific.data() + scientific.size(), exponent);
  return digits - 1 - exponent;
}

// Rounded to that many decimals; negative ones round to tens, hundreds ...
std::string fixed(double value, int decimals) {
  if (decimals < 0) {
    const double step = std::pow(10.0, -decimals);
    value = std::round(value / step) * step;
    decimals = 0;
  }
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.front() == '-' && text.find_first_of("123456789") == std::string::npos) {
    text.erase(0, 1);  // no minus zero
  }
  return text;
}

std::string_view default_symbol(Dimension dimension, bool inch_system) {
  switch (dimension) {
    case Dimension::length:
      return inch_system ? "in" : "mm";
    case Dimension::angle:
      return "deg";
    case Dimension::force:
      return inch_system ? "lb" : "N";
    case Dimension::rate:
      return inch_system ? "lb/in" : "N/mm";
    case Dimension::pressure:
      return inch_system ? "psi" : "kPa";
    case Dimension::volume:
      return inch_system ? "cu in" : "cc";
    case Dimension::mass:
      return "g";
    case Dimension::temperature:
    case Dimension::temperature_difference:
      return inch_system ? "F" : "C";
    case Dimension::torque:
      return inch_system ? "ft lb" : "N m";
    case Dimension::time:
      return "s";
    case Dimension::speed:
      return "rpm";
    case Dimension::velocity:
      return inch_system ? "ft/s" : "m/s";
    case Dimension::area:
      return inch_system ? "sq in" : "cm2";
    case Dimension::flow:
      return inch_system ? "cfm" : "L/s";
    case Dimension::power:
      return inch_system ? "hp" : "kW";
    case Dimension::ratio:
      return ":1";
    case Dimension::viscosity:
      return "mPa s";
  }
  throw std::invalid_argument("default_unit: not a dimension");
}

}  // namespace

const Unit& default_unit(Dimension dimension, System system) {
  return unit_named(dimension, default_symbol(dimension, system == System::inch));
}

const Unit& unit_named(Dimension dimension, std::string_view spelling) {
  const Unit* unit = find_unit(dimension, spelling);
  if (unit == nullptr) {
    throw std::invalid_argument(
        fmt::format("unit_named: \"{}\" is no unit of {}", spelling, name(dimension)));
  }
  return *unit;
}

std::string print(double si, const Unit& unit, const PrintOptions& options) {
  require(std::isfinite(si), "print: the value must be finite");
  require(options.uncertainty_digits == 1 || options.uncertainty_digits == 2,
          "print: an uncertainty is printed with one or two digits");
  require(!options.decimals || (*options.decimals >= 0 && *options.decimals <= most_decimals),
          "print: decimals must lie between 0 and 12");
  const double value = from_si(si, unit);
  const double uncertainty = options.uncertainty.value_or(0) / unit.factor;
  require(std::isfinite(uncertainty) && uncertainty >= 0,
          "print: an uncertainty must be finite and not negative");
  if (uncertainty == 0) {
    return fmt::format("{} {}", fixed(value, options.decimals.value_or(unit.decimals)), unit.symbol);
  }
  const int decimals = std::min(decimals_for(uncertainty, options.uncertainty_digits), most_decimals);
  return fmt::format("{} {} ± {}", fixed(value, decimals), unit.symbol, fixed(uncertainty, decimals));
}

std::string print(double si, Dimension dimension, System system, const PrintOptions& options) {
  return print(si, default_unit(dimension, system), options);
}

std::string print(double si, Dimension dimension, std::string_view unit, const PrintOptions& options) {
  return print(si, unit_named(dimension, unit), options);
}

}  // namespace fettle::quantity
