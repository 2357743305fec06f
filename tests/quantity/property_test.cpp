#include <cmath>
#include <cstdlib>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "quantity/parse.h"
#include "quantity/print.h"
#include "quantity/unit.h"
#include "quantity/valve_event.h"

namespace fettle::quantity {
namespace {

double signed_value() {
  return *rc::gen::inRange(-9'999'999, 9'999'999) / 1000.0;
}

// Half a unit of the last printed place, with room for the rounding of a double.
double half_step(int decimals, double value) {
  return 0.5 * std::pow(10.0, -decimals) * (1 + 1e-9) + 1e-12 * std::abs(value);
}

RC_GTEST_PROP(QuantityProperty, WhatIsPrintedIsReadBackWithinThePrintedDigits, ()) {
  const auto index = *rc::gen::inRange<std::size_t>(0, all_units().size());
  const Unit& unit = all_units()[index];
  const double value = unit.dimension == Dimension::temperature ? std::abs(signed_value()) : signed_value();
  const int decimals = *rc::gen::inRange(0, 8);
  PrintOptions options;
  options.decimals = decimals;
  const std::string text = print(to_si(value, unit), unit, options);
  const auto parsed = parse_si(text, unit.dimension);
  RC_ASSERT(parsed.has_value());
  RC_ASSERT(std::abs(from_si(*parsed, unit) - value) <=
            half_step(decimals, value + unit.offset / unit.factor));
}

RC_GTEST_PROP(QuantityProperty, AnInchIs25Point4Millimetres, ()) {
  const std::string number = fmt::format("{:.3f}", signed_value());
  const auto inches = parse_si(number + " in", Dimension::length);
  const auto millimetres = parse_si(number + " mm", Dimension::length);
  RC_ASSERT(inches.has_value() && millimetres.has_value());
  RC_ASSERT(std::abs(*inches - 25.4 * *millimetres) <= 1e-15 * std::abs(*inches));
}

RC_GTEST_PROP(QuantityProperty, DecimalCommaAndPointAgreeUnlessAThousandsGroupIsPossible, ()) {
  const int decimals = *rc::gen::inRange(1, 7);
  const std::string with_point = fmt::format("{:.{}f}", signed_value(), decimals);
  std::string with_comma = with_point;
  with_comma[with_comma.find('.')] = ',';
  const auto point = parse_si(with_point + " mm", Dimension::length);
  const auto comma = parse_si(with_comma + " mm", Dimension::length);
  const std::size_t start = with_point.front() == '-' ? 1 : 0;
  const std::size_t whole = with_point.find('.') - start;
  const bool ambiguous = decimals == 3 && whole <= 3 && with_point[start] != '0';
  RC_ASSERT(point.has_value());
  RC_ASSERT(comma.has_value() == !ambiguous);
  const bool agree = ambiguous || *comma == *point;
  RC_ASSERT(agree);
}

// The C library reads the same digits, in the "C" locale that a program starts with.
RC_GTEST_PROP(QuantityProperty, NumbersAgreeWithTheCLibrary, ()) {
  const double value = signed_value();
  const int exponent = *rc::gen::inRange(-12, 9);
  const std::string number = fmt::format("{:.4f}e{}", value, exponent);
  const auto parsed = parse_si(number + " m", Dimension::length);
  RC_ASSERT(parsed.has_value());
  RC_ASSERT(*parsed == std::strtod(number.c_str(), nullptr));
}

RC_GTEST_PROP(QuantityProperty, MixedNumbersAreTheirSum, ()) {
  const int whole = *rc::gen::inRange(0, 1000);
  const int below = *rc::gen::inRange(2, 129);
  const int above = *rc::gen::inRange(0, below);
  const char* joint = *rc::gen::element(" ", "-");
  const auto parsed = parse_si(fmt::format("{}{}{}/{} m", whole, joint, above, below), Dimension::length);
  RC_ASSERT(parsed.has_value());
  RC_ASSERT(std::abs(*parsed - (whole + static_cast<double>(above) / below)) <= 1e-13 * (whole + 1));
}

RC_GTEST_PROP(QuantityProperty, ThePrintedUncertaintyHasTwoDigitsAndTheValueItsPlace, ()) {
  const double uncertainty = *rc::gen::inRange(1, 999'999) / 1e6;
  const double value = signed_value();
  PrintOptions options;
  options.uncertainty = uncertainty;
  const std::string text = print(value, Dimension::force, "N", options);
  const std::size_t unit_at = text.find(" N ± ");
  RC_ASSERT(unit_at != std::string::npos);
  const std::string shown_value = text.substr(0, unit_at);
  const std::string shown_uncertainty = text.substr(unit_at + std::string(" N ± ").size());
  const auto decimals = [](const std::string& s) { return s.size() - s.find('.') - 1; };
  RC_ASSERT(decimals(shown_value) == decimals(shown_uncertainty));
  RC_ASSERT(std::abs(std::strtod(shown_uncertainty.c_str(), nullptr) - uncertainty) <= 0.05 * uncertainty);
  const std::string digits = shown_uncertainty.substr(shown_uncertainty.find_first_of("123456789"));
  RC_ASSERT(digits.size() == 2U || (digits.size() == 3U && digits[1] == '.'));
}

RC_GTEST_PROP(QuantityProperty, AnyTextIsReadOrRefusedWithAMessage, (const std::string& text)) {
  for (const Dimension dimension : all_dimensions) {
    const auto parsed = parse_si(text, dimension);
    const bool answered = parsed ? std::isfinite(*parsed) : !parsed.error().message().empty();
    RC_ASSERT(answered);
  }
}

RC_GTEST_PROP(EventProperty, WhatIsPrintedIsReadBackWithinThePrintedDigits, ()) {
  const auto event = *rc::gen::element(ValveEvent::intake_opening, ValveEvent::intake_closing,
                                       ValveEvent::exhaust_opening, ValveEvent::exhaust_closing);
  const EventRange range = allowed_range(event);
  const double share = *rc::gen::inRange(0, 100'001) / 100'000.0;
  const CrankAngle angle = range.earliest + share * (range.latest - range.earliest);
  const int decimals = *rc::gen::inRange(0, 7);
  const auto parsed = parse_event(print_event(angle, event, decimals), event);
  RC_ASSERT(parsed.has_value());
  RC_ASSERT(std::abs((*parsed - angle).degrees()) <= half_step(decimals, 360));
}

RC_GTEST_PROP(AngleProperty, WrappingMovesByWholeTurnsIntoRange, ()) {
  const CrankAngle angle = CrankAngle::from_degrees(signed_value());
  const auto whole_turns = [&](CrankAngle wrapped, double period) {
    const double turns = (wrapped - angle).degrees() / period;
    return std::abs(turns - std::round(turns)) < 1e-12 * (1 + std::abs(angle.degrees()));
  };
  RC_ASSERT(whole_turns(wrap_360(angle), 360) && wrap_360(angle).radians() >= 0 &&
            wrap_360(angle).degrees() < 360);
  RC_ASSERT(whole_turns(wrap_720(angle), 720) && wrap_720(angle).radians() >= 0 &&
            wrap_720(angle).degrees() < 720);
  RC_ASSERT(whole_turns(wrap_signed(angle), 360) && wrap_signed(angle).degrees() > -180 &&
            wrap_signed(angle).radians() <= std::numbers::pi);
  const CrankAngle reference = CrankAngle::from_degrees(signed_value());
  const CrankAngle near = nearest_turn(angle, reference);
  RC_ASSERT(whole_turns(near, 360) && std::abs((near - reference).degrees()) <= 180 + 1e-9);
}

}  // namespace
}  // namespace fettle::quantity
