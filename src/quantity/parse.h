#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "quantity/dimension.h"
#include "quantity/quantity.h"
#include "quantity/result.h"

namespace fettle::quantity {

// Why a text is no quantity, in words for the person who typed it. All members are valid UTF-8 without
// control characters, whatever the input was; long input is cut.
struct ParseError {
  std::string given;     // what was typed
  std::string problem;   // what is wrong with it: "has no unit"
  std::string expected;  // what belongs here: "a length in in, thou, mm ..."
  std::string example;   // a right text, as near as possible to what was typed: "0.050 in"

  // "0.050" has no unit; a length is wanted (in, thou, ft, mm ...), for example "0.050 in"
  std::string message() const;
};

// Longest text that is looked at, in bytes; longer ones are refused unread.
inline constexpr std::size_t longest_quantity = 80;

// Reads a number with its unit as people write it ("0.050 in", "1-1/8\"", "50 thou", "1,27 mm", "37°",
// "65 ft lb", "20 °C"; docs/units.md has the whole list) and gives its SI value. The number may have a
// sign, a decimal point or comma, an exponent, thousands groups, or be a common fraction. The unit is never
// guessed: a bare number is refused, and so is whatever can be read in two ways ("1,270 in", "0.5 mil").
// Result: finite, of magnitude at most 1e15 in SI; temperatures are absolute and not below 0 K.
// Does not depend on the locale; takes time in proportion to the length of the text.
Result<double, ParseError> parse_si(std::string_view text, Dimension dimension);

// The same, keeping the text as typed.
template <Dimension D>
Result<Quantity<D>, ParseError> parse(std::string_view text) {
  Result<double, ParseError> si = parse_si(text, D);
  if (!si) {
    return std::move(si).error();
  }
  return Quantity<D>::typed(*si, std::string(text));
}

}  // namespace fettle::quantity
