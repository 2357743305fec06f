#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "quantity/result.h"

namespace fettle::quantity {

// A number at the start of a text, and how much of the text it takes.
struct ScannedNumber {
  double value;
  bool has_sign;
  bool is_whole;       // digits alone: no fraction, no decimals, no exponent
  std::size_t length;  // of the text, including blanks inside the number
};

struct NumberProblem {
  std::string problem;     // completes `"..." `: "can be read as 1270 and as 1.270"
  std::string better;      // a number that would have been right: "1.270"
  std::size_t length = 0;  // how much of the text it would have taken, if known
};

// Reads a decimal number (point or comma, thousands groups, exponent up to 30) or a common fraction ("1/8",
// "1 1/8", "1-1/8") from plain text. Refused: a comma before exactly three digits, which may be a decimal
// comma or a thousands group (but not "0,050" or "1234,500", where no group can be meant), blanks between
// digits, a denominator of zero, and a mixed number whose fraction is not less than one.
Result<ScannedNumber, NumberProblem> scan_number(std::string_view plain);

}  // namespace fettle::quantity
