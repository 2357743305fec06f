#include "quantity/parse.h"

#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "quantity/number.h"
#include "quantity/text.h"
#include "quantity/unit.h"

namespace fettle::quantity {
namespace {

using Parsed = Result<double, ParseError>;

constexpr double greatest_si = 1e15;

// A usual text of the dimension, where what was typed gives no hint.
std::string_view usual_example(Dimension dimension) {
  switch (dimension) {
    case Dimension::length:
      return "0.050 in";
    case Dimension::angle:
      return "41 deg";
    case Dimension::force:
      return "110 lb";
    case Dimension::rate:
      return "350 lb/in";
    case Dimension::pressure:
      return "14.7 psi";
    case Dimension::volume:
      return "64 cc";
    case Dimension::mass:
      return "620 g";
    case Dimension::temperature:
      return "68 F";
    case Dimension::temperature_difference:
      return "2 F";
    case Dimension::torque:
      return "65 ft lb";
    case Dimension::time:
      return "1.2 s";
    case Dimension::speed:
      return "6500 rpm";
    case Dimension::velocity:
      return "12 m/s";
    case Dimension::area:
      return "2.5 sq in";
    case Dimension::flow:
      return "250 cfm";
    case Dimension::power:
      return "300 hp";
    case Dimension::ratio:
      return "1.5 :1";
    case Dimension::viscosity:
      return "12 mPa s";
  }
  return "";
}

// One text being read as one dimension: what was typed, and how its errors are worded.
class Reading {
 public:
  Reading(std::string_view given, Dimension dimension)
      : given_(given.substr(0, longest_quantity + 1)), plain_(plain_text(given_)), dimension_(dimension) {}

  Parsed parse() const;

 private:
  ParseError error(std::string problem, std::optional<std::string> example = {}) const {
    return {shown_text(given_), std::move(problem),
            fmt::format("{} ({})", name_with_article(dimension_), list_symbols(dimension_)),
            example ? std::move(*example) : std::string(usual_example(dimension_))};
  }
  // The number with that unit, if that is a right text.
  std::optional<std::string> suggestion(std::string_view number, std::string_view unit_text) const;

  Parsed in_unit(const ScannedNumber& number, std::string_view unit_text) const;
  Parsed in_two_units(const ScannedNumber& number, std::string_view rest) const;
  Parsed bounded(double si) const;
  ParseError number_error(const NumberProblem& problem) const;
  ParseError no_unit() const;
  ParseError unit_error(std::string_view number, std::string_view unit_text) const;

  std::string_view given_;
  std::string plain_;
  Dimension dimension_;
};

Parsed Reading::bounded(double si) const {
  if (!(std::abs(si) <= greatest_si)) {
    return error("is too large to be meant");
  }
  if (dimension_ == Dimension::temperature && si < 0) {
    return error("is below absolute zero");
  }
  return si;
}

std::optional<std::string> Reading::suggestion(std::string_view number, std::string_view unit_text) const {
  const Unit* unit = find_unit(dimension_, unit_text);
  const Result<ScannedNumber, NumberProblem> scanned = scan_number(number);
  if (unit == nullptr || !scanned || scanned->length != number.size() ||
      !bounded(to_si(scanned->value, *unit))) {
    return std::nullopt;
  }
  std::string text = fmt::format("{} {}", number, unit_text);
  return text.size() <= longest_quantity ? std::optional(text) : std::nullopt;
}

ParseError Reading::number_error(const NumberProblem& problem) const {
  const std::string_view unit_text = trim(std::string_view(plain_).substr(problem.length));
  const bool usually_whole = dimension_ == Dimension::speed && !problem.better_whole.empty();
  return error(problem.problem, suggestion(usually_whole ? problem.better_whole : problem.better, unit_text));
}

// The example is what was typed with the unit that most people here would mean.
ParseError Reading::no_unit() const {
  const std::string_view usual = usual_example(dimension_);
  return error("has no unit", suggestion(plain_, usual.substr(usual.find(' ') + 1)));
}

ParseError Reading::unit_error(std::string_view number, std::string_view unit_text) const {
  if (const RefusedUnit* refused = find_refused_unit(dimension_, unit_text)) {
    return error(fmt::format("has the unit \"{}\", which {}", unit_text, refused->reason),
                 suggestion(number, refused->write_instead));
  }
  const std::vector<Dimension> others = dimensions_with(unit_text);
  if (!others.empty()) {
    std::string known_as;
    for (const Dimension other : others) {
      known_as += known_as.empty() ? "" : " or ";
      known_as += name_with_article(other);
    }
    return error(fmt::format("is {}, not {}", known_as, name_with_article(dimension_)));
  }
  const std::string problem = fmt::format("has the unknown unit \"{}\"", shown_text(unit_text));
  if (const auto near = nearest_spelling(dimension_, unit_text)) {
    return error(fmt::format("{} (did you mean \"{}\"?)", problem, *near), suggestion(number, *near));
  }
  return error(problem);
}

// Degrees with minutes and seconds, or feet with inches: each unit once, from the larger to the smaller.
Parsed Reading::in_two_units(const ScannedNumber& number, std::string_view rest) const {
  double total = 0;
  double sign = number.value < 0 ? -1 : 1;
  const bool minus_zero = number.value == 0 && plain_.front() == '-';
  sign = minus_zero ? -1 : sign;
  ScannedNumber part = number;
  part.value = std::abs(part.value);
  const Unit* larger = nullptr;
  while (true) {
    std::size_t unit_length = 0;
    while (unit_length < rest.size() && !is_digit(rest[unit_length]) && rest[unit_length] != '.') {
      ++unit_length;
    }
    const std::string_view unit_text = trim(rest.substr(0, unit_length));
    const Unit* unit = find_unit(dimension_, unit_text);
    if (unit == nullptr || unit->symbol == "turn" || unit->symbol == "rad") {
      return error("has more than one number and its units do not belong together");
    }
    if (larger != nullptr) {
      const double ratio = std::round(larger->factor / unit->factor);
      if ((ratio != 60 && ratio != 12) || part.value >= ratio || part.has_sign) {
        return error("has more than one number and its units do not belong together");
      }
    }
    total += to_si(part.value, *unit);
    rest.remove_prefix(unit_length);
    if (rest.empty()) {
      return bounded(sign * total);
    }
    if (!part.is_whole) {
      return error("has a part of a unit before a smaller unit");
    }
    larger = unit;
    const Result<ScannedNumber, NumberProblem> next = scan_number(rest);
    if (!next) {
      return error(next.error().problem);
    }
    part = *next;
    rest.remove_prefix(part.length);
  }
}

Parsed Reading::in_unit(const ScannedNumber& number, std::string_view unit_text) const {
  if (const Unit* unit = find_unit(dimension_, unit_text)) {
    return bounded(to_si(number.value, *unit));
  }
  const bool may_have_two_units = dimension_ == Dimension::angle || dimension_ == Dimension::length;
  if (may_have_two_units && !is_digit(unit_text.front()) &&
      unit_text.find_first_of("0123456789") != std::string_view::npos &&
      find_unit(dimension_, trim(unit_text.substr(0, unit_text.find_first_of("0123456789.")))) != nullptr) {
    return in_two_units(number, unit_text);
  }
  return unit_error(trim(std::string_view(plain_).substr(0, number.length)), unit_text);
}

Parsed Reading::parse() const {
  if (given_.size() > longest_quantity) {
    return error(fmt::format("is longer than {} characters", longest_quantity));
  }
  if (plain_.empty()) {
    return error("is empty");
  }
  const Result<ScannedNumber, NumberProblem> number = scan_number(plain_);
  if (!number) {
    return number_error(number.error());
  }
  const std::string_view unit_text = trim(std::string_view(plain_).substr(number->length));
  if (unit_text.empty()) {
    return no_unit();
  }
  return in_unit(*number, unit_text);
}

}  // namespace

std::string ParseError::message() const {
  return fmt::format("\"{}\" {}; wanted: {}, for example \"{}\"", given, problem, expected, example);
}

Parsed parse_si(std::string_view text, Dimension dimension) {
  return Reading(text, dimension).parse();
}

}  // namespace fettle::quantity
