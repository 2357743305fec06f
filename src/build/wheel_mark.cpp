#include "build/wheel_mark.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <numbers>
#include <string>

#include "quantity/angle.h"
#include "quantity/parse.h"

namespace fettle::build {
namespace {

struct DeadCentre {
  std::string_view mark;
  double degrees;
  double sign;
};

constexpr std::array<DeadCentre, 6> dead_centres{
    {{"BTDC", 0, -1}, {"ATDC", 0, 1}, {"BBDC", 180, -1}, {"ABDC", 180, 1}, {"TDC", 0, 0}, {"BDC", 180, 0}}};
constexpr double most_degrees = 1e4;

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(' ');
  const auto last = text.find_last_not_of(' ');
  return first == std::string_view::npos ? std::string_view{} : text.substr(first, last - first + 1);
}

bool ends_with_mark(std::string_view text, std::string_view mark) {
  if (text.size() < mark.size()) {
    return false;
  }
  const std::string_view tail = text.substr(text.size() - mark.size());
  return std::equal(tail.begin(), tail.end(), mark.begin(),
                    [](unsigned char typed, char letter) { return std::toupper(typed) == letter; });
}

/// Degrees with their unit, or bare: a degree wheel has no other unit.
std::optional<double> parse_degrees(std::string_view text) {
  using quantity::Dimension;
  auto radians = quantity::parse_si(text, Dimension::angle);
  if (!radians && text.find_first_not_of("0123456789.+- ") == std::string_view::npos) {
    radians = quantity::parse_si(std::string(text) + " deg", Dimension::angle);
  }
  if (!radians || std::abs(*radians) > most_degrees * quantity::radians_per_degree) {
    return std::nullopt;
  }
  return *radians;
}

}  // namespace

std::optional<WheelMark> parse_wheel(std::string_view text) {
  if (const auto plain = parse_degrees(text)) {
    return WheelMark{*plain, std::string(text), false};
  }
  const std::string_view typed = trimmed(text);
  for (const DeadCentre& centre : dead_centres) {
    if (!ends_with_mark(typed, centre.mark)) {
      continue;
    }
    const std::string_view number = trimmed(typed.substr(0, typed.size() - centre.mark.size()));
    const double base = centre.degrees * quantity::radians_per_degree;
    if (centre.sign == 0) {
      return number.empty() ? std::optional(WheelMark{base, std::string(text), true}) : std::nullopt;
    }
    const auto from_centre = parse_degrees(number);
    if (!from_centre || *from_centre < 0 || *from_centre > std::numbers::pi) {
      return std::nullopt;
    }
    return WheelMark{base + centre.sign * *from_centre, std::string(text), true};
  }
  return std::nullopt;
}

}  // namespace fettle::build
