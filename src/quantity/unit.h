#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "quantity/dimension.h"

namespace fettle::quantity {

// Exact by definition. NIST Special Publication 811 (2008), Appendix B.8 and B.6: the international inch
// and pound of 1959, and the standard acceleration of free fall.
inline constexpr double metres_per_inch = 0.0254;
inline constexpr double kilograms_per_pound = 0.45359237;
inline constexpr double standard_gravity = 9.80665;  // m/s2
inline constexpr double newtons_per_pound_force = kilograms_per_pound * standard_gravity;

// One unit of one dimension: si = value * factor + offset. Only temperatures have an offset.
struct Unit {
  Dimension dimension;
  std::string_view symbol;     // as printed; always among the spellings
  double factor;               // SI per unit
  double offset;               // SI value of zero
  int decimals;                // usual in the trade when nothing is known of the uncertainty
  std::string_view spellings;  // accepted, separated by '|'; a blank may be left out or be a dot or hyphen
  bool case_matters;           // where another case would mean another prefix
};

// All units, in the order of the dimensions.
std::span<const Unit> all_units();

// The unit of this dimension with this spelling ("in", "inches", "\"", "ft-lb"), or nullptr.
const Unit* find_unit(Dimension dimension, std::string_view spelling);

// A spelling that is understood but refused, since people mean different things by it, or since it says
// something that this dimension cannot keep; with the words that say so.
struct RefusedUnit {
  Dimension dimension;
  std::string_view spellings;
  std::string_view reason;         // "can mean 0.001 in or a millimetre"
  std::string_view write_instead;  // unit in which the same number is right; empty where it is in none
};
const RefusedUnit* find_refused_unit(Dimension dimension, std::string_view spelling);

// Every dimension that has a unit of this spelling.
std::vector<Dimension> dimensions_with(std::string_view spelling);

// The accepted spelling of this dimension nearest to a mistyped one, if any is near.
std::optional<std::string> nearest_spelling(Dimension dimension, std::string_view mistyped);

// Symbols of this dimension's units for a message: "in, thou, ft, mm, cm, um, m".
std::string list_symbols(Dimension dimension);

double to_si(double value, const Unit& unit);
double from_si(double si, const Unit& unit);

}  // namespace fettle::quantity
