#pragma once

#include <optional>
#include <vector>

namespace fettle::stations {

/// The straight line of least squares through values at whole places along a bank.
struct BankLine {
  double middle = 0;  ///< value at the middle place of those given
  double centre = 0;  ///< that place
  double slope = 0;   ///< per place

  double at(double place) const { return middle + slope * (place - centre); }
};

/// Needs two different places at least.
inline std::optional<BankLine> bank_line(const std::vector<double>& places,
                                         const std::vector<double>& values) {
  const auto count = static_cast<double>(places.size());
  BankLine line;
  for (std::size_t i = 0; i < places.size(); ++i) {
    line.centre += places[i] / count;
    line.middle += values[i] / count;
  }
  double square = 0;
  double product = 0;
  for (std::size_t i = 0; i < places.size(); ++i) {
    square += (places[i] - line.centre) * (places[i] - line.centre);
    product += (places[i] - line.centre) * (values[i] - line.middle);
  }
  if (!(square > 0)) {
    return std::nullopt;
  }
  line.slope = product / square;
  return line;
}

}  // namespace fettle::stations
