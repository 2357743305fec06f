#include "quantity/number.h"

#include <charconv>
#include <cmath>
#include <optional>
#include <system_error>
#include <vector>

#include <fmt/format.h>

#include "quantity/text.h"

namespace fettle::quantity {
namespace {

using Scanned = Result<ScannedNumber, NumberProblem>;

constexpr int greatest_exponent = 30;
constexpr std::size_t longest_fraction_part = 9;  // digits, so that it is exact in a double

std::size_t count_digits(std::string_view text) {
  std::size_t count = 0;
  while (count < text.size() && is_digit(text[count])) {
    ++count;
  }
  return count;
}

// Plain ASCII digits with a point and an exponent, whatever the locale.
std::optional<double> to_double(std::string_view text) {
  double value = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (fault != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

// The number's digits and the points and commas between them: "1,234.5".
std::string_view take_mantissa(std::string_view text) {
  std::size_t length = 0;
  while (length < text.size() && (is_digit(text[length]) || text[length] == '.' || text[length] == ',')) {
    ++length;
  }
  return text.substr(0, length);
}

struct Separators {
  std::size_t points = 0;
  std::size_t commas = 0;
  char last = 0;
  std::vector<std::size_t> runs = {0};  // lengths of the runs of digits between them
};

Separators count_separators(std::string_view mantissa) {
  Separators found;
  for (const char c : mantissa) {
    if (is_digit(c)) {
      ++found.runs.back();
      continue;
    }
    (c == '.' ? found.points : found.commas) += 1;
    found.last = c;
    found.runs.push_back(0);
  }
  return found;
}

std::string without(std::string_view text, char unwanted) {
  std::string kept;
  for (const char c : text) {
    if (c != unwanted) {
      kept += c;
    }
  }
  return kept;
}

// Thousands: one to three digits, then groups of exactly three.
bool are_groups(const std::vector<std::size_t>& runs, std::size_t groups) {
  if (runs[0] < 1 || runs[0] > 3) {
    return false;
  }
  for (std::size_t i = 1; i < groups; ++i) {
    if (runs[i] != 3) {
      return false;
    }
  }
  return true;
}

NumberProblem unreadable(std::string_view mantissa) {
  return {fmt::format("has a number that cannot be read, {}", mantissa), "1.25", mantissa.size()};
}

// The mantissa with a decimal point and nothing else, or what is wrong with it.
Result<std::string, NumberProblem> to_point_form(std::string_view mantissa) {
  const Separators found = count_separators(mantissa);
  const std::size_t separators = found.points + found.commas;
  if (mantissa.size() == separators) {
    return NumberProblem{"has no number", "1.25", mantissa.size()};
  }
  if (found.commas == 0 && found.points <= 1) {
    return std::string(mantissa);
  }
  if (found.commas == 1 && found.points == 0) {
    const bool three_follow = found.runs[1] == 3;
    const bool group_may_precede = found.runs[0] >= 1 && found.runs[0] <= 3 && mantissa.front() != '0';
    std::string as_decimal(mantissa);
    as_decimal[found.runs[0]] = '.';
    if (three_follow && group_may_precede) {
      return NumberProblem{fmt::format("can be read as {} and as {}", without(mantissa, ','), as_decimal),
                           as_decimal, mantissa.size()};
    }
    return as_decimal;
  }
  // Several separators: those before the last one group thousands; the last one too if all are alike.
  const bool all_alike = found.points == 0 || found.commas == 0;
  const bool last_is_decimal = !all_alike && (found.last == '.' ? found.points : found.commas) == 1;
  if (!are_groups(found.runs, all_alike ? found.runs.size() : found.runs.size() - 1) ||
      (!all_alike && !last_is_decimal)) {
    return unreadable(mantissa);
  }
  const char grouping = all_alike ? found.last : (found.last == '.' ? ',' : '.');
  std::string number = without(mantissa, grouping);
  for (char& c : number) {
    c = c == ',' ? '.' : c;
  }
  return number;
}

// Length of "e-3" at the start of the text; 0 where the e belongs to something else.
std::size_t exponent_length(std::string_view text) {
  if (text.empty() || lower(text[0]) != 'e') {
    return 0;
  }
  const std::size_t sign = text.size() > 1 && (text[1] == '+' || text[1] == '-') ? 1 : 0;
  const std::size_t digits = count_digits(text.substr(1 + sign));
  return digits == 0 ? 0 : 1 + sign + digits;
}

bool exponent_is_huge(std::string_view exponent) {
  if (exponent.size() > 8) {
    return true;
  }
  const std::size_t start = exponent[1] == '+' || exponent[1] == '-' ? 2 : 1;
  int value = 0;
  std::from_chars(exponent.data() + start, exponent.data() + exponent.size(), value);
  return value > greatest_exponent;
}

struct Fraction {
  std::string_view numerator;
  std::string_view denominator;
  std::size_t length;
};

// "1/8" at the start of the text.
std::optional<Fraction> take_fraction(std::string_view text) {
  const std::size_t above = count_digits(text);
  if (above == 0) {
    return std::nullopt;
  }
  std::size_t at = above;
  const auto skip_blank = [&] { at += at < text.size() && text[at] == ' ' ? 1 : 0; };
  skip_blank();
  if (at >= text.size() || text[at] != '/') {
    return std::nullopt;
  }
  ++at;
  skip_blank();
  const std::size_t below = count_digits(text.substr(at));
  if (below == 0) {
    return std::nullopt;
  }
  return Fraction{text.substr(0, above), text.substr(at, below), at + below};
}

Scanned fraction_value(std::string_view whole, const Fraction& fraction, std::size_t length) {
  if (whole.size() > longest_fraction_part || fraction.numerator.size() > longest_fraction_part ||
      fraction.denominator.size() > longest_fraction_part) {
    return NumberProblem{"has a fraction with too many digits", "1 1/8", length};
  }
  const double above = to_double(fraction.numerator).value_or(0);
  const double below = to_double(fraction.denominator).value_or(0);
  if (below == 0) {
    return NumberProblem{"divides by zero", "1/8", length};
  }
  if (!whole.empty() && above >= below) {
    return NumberProblem{"has a fraction that is not less than one after a whole number", "1 1/8", length};
  }
  const double value = (whole.empty() ? 0 : to_double(whole).value_or(0)) + above / below;
  return ScannedNumber{value, false, false, length};
}

// "1/8", "1 1/8" or "1-1/8", if that is what the text starts with.
std::optional<Scanned> scan_fraction(std::string_view text) {
  if (const auto fraction = take_fraction(text)) {
    return fraction_value({}, *fraction, fraction->length);
  }
  const std::size_t whole = count_digits(text);
  if (whole == 0 || whole >= text.size() || (text[whole] != ' ' && text[whole] != '-')) {
    return std::nullopt;
  }
  std::size_t at = whole + 1;
  at += text[whole] == '-' && at < text.size() && text[at] == ' ' ? 1 : 0;
  if (const auto fraction = take_fraction(text.substr(at))) {
    return fraction_value(text.substr(0, whole), *fraction, at + fraction->length);
  }
  return std::nullopt;
}

Scanned scan_decimal(std::string_view text) {
  const std::string_view mantissa = take_mantissa(text);
  if (mantissa.empty()) {
    return NumberProblem{"has no number", "1.25", 0};
  }
  Result<std::string, NumberProblem> number = to_point_form(mantissa);
  if (!number) {
    return std::move(number).error();
  }
  const std::string_view exponent =
      text.substr(mantissa.size(), exponent_length(text.substr(mantissa.size())));
  const std::size_t length = mantissa.size() + exponent.size();
  if (!exponent.empty() && exponent_is_huge(exponent)) {
    return NumberProblem{fmt::format("has an exponent beyond {}", greatest_exponent), "1.5e-3", length};
  }
  const std::string_view rest = text.substr(length);
  if (rest.size() > 1 && rest[0] == ' ' && (is_digit(rest[1]) || rest[1] == '.' || rest[1] == ',')) {
    return NumberProblem{"has a blank between its digits", *number, length};
  }
  const std::optional<double> value = to_double(*number + std::string(exponent));
  if (!value) {
    return unreadable(text.substr(0, length));
  }
  return ScannedNumber{*value, false, mantissa.size() == length && count_digits(mantissa) == length, length};
}

}  // namespace

Scanned scan_number(std::string_view plain) {
  const bool has_sign = !plain.empty() && (plain[0] == '+' || plain[0] == '-');
  const bool negative = has_sign && plain[0] == '-';
  std::size_t start = has_sign ? 1 : 0;
  start += has_sign && plain.size() > 1 && plain[1] == ' ' ? 1 : 0;
  const std::string_view text = plain.substr(start);

  const std::optional<Scanned> fraction = scan_fraction(text);
  Scanned scanned = fraction ? *fraction : scan_decimal(text);
  if (!scanned) {
    NumberProblem problem = std::move(scanned).error();
    if (negative) {
      problem.better = fmt::format("-{}", problem.better);
    }
    problem.length += start;
    return problem;
  }
  ScannedNumber number = *scanned;
  number.value = negative ? -number.value : number.value;
  number.has_sign = has_sign;
  number.length += start;
  return number;
}

}  // namespace fettle::quantity
