#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "quantity/dimension.h"
#include "quantity/quantity.h"
#include "quantity/unit.h"

namespace fettle::quantity {

enum class System { inch, metric };

// How a value is written. Without an uncertainty the unit's usual number of decimals is taken.
struct PrintOptions {
  // Standard or expanded uncertainty in SI (of a temperature: in kelvin), not negative: its first digits are
  // printed and the value is rounded to the same place (JCGM 100:2008, 7.2.6). Zero counts as not given.
  std::optional<double> uncertainty;
  int uncertainty_digits = 2;   // 1 or 2
  std::optional<int> decimals;  // 0 to 12; only where there is no uncertainty
};

// The unit of the trade for a dimension: in or mm, deg, lb or N, lb/in or N/mm, psi or kPa, cu in or cc, g,
// F or C, ft lb or N m, s, rpm. Chambers and domes are in cc in both systems: name the unit for them.
const Unit& default_unit(Dimension dimension, System system);

// The unit of that spelling; std::invalid_argument where the dimension has none.
const Unit& unit_named(Dimension dimension, std::string_view spelling);

// "0.0500 in", and with an uncertainty "0.05000 in ± 0.00040". Minus is '-', the decimal sign a point; the
// part before ± is understood by parse_si. std::invalid_argument for what is not finite, for a negative
// uncertainty and for options out of range.
std::string print(double si, const Unit& unit, const PrintOptions& options = {});
std::string print(double si, Dimension dimension, System system, const PrintOptions& options = {});
std::string print(double si, Dimension dimension, std::string_view unit, const PrintOptions& options = {});

template <Dimension D>
std::string print(const Quantity<D>& quantity, System system, const PrintOptions& options = {}) {
  return print(quantity.si(), D, system, options);
}
template <Dimension D>
std::string print(const Quantity<D>& quantity, std::string_view unit, const PrintOptions& options = {}) {
  return print(quantity.si(), D, unit, options);
}

}  // namespace fettle::quantity
