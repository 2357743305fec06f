#include "study/law.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <boost/math/special_functions/erf.hpp>

namespace fettle::study {

double Law::at(double u) const {
  switch (kind) {
    case Kind::values: {
      const auto n = static_cast<double>(values.size());
      return values[std::min(values.size() - 1, static_cast<std::size_t>(u * n))];
    }
    case Kind::rectangular:
      return low + (high - low) * u;
    case Kind::triangular: {
      const double half = (high - low) / 2;
      return u < 0.5 ? low + half * std::sqrt(2 * u) : high - half * std::sqrt(2 * (1 - u));
    }
    case Kind::normal:
      break;
  }
  return middle - sd * std::numbers::sqrt2 * boost::math::erfc_inv(2 * u);
}

double Law::least() const {
  switch (kind) {
    case Kind::values:
      return *std::min_element(values.begin(), values.end());
    case Kind::normal:
      return middle - 6 * sd;
    default:
      return low;
  }
}

double Law::greatest() const {
  switch (kind) {
    case Kind::values:
      return *std::max_element(values.begin(), values.end());
    case Kind::normal:
      return middle + 6 * sd;
    default:
      return high;
  }
}

Law between(double low, double high, Spread spread) {
  if (spread == Spread::normal) {
    return normal((low + high) / 2, (high - low) / 4);
  }
  return {spread == Spread::triangular ? Law::Kind::triangular : Law::Kind::rectangular, {}, low, high, 0, 0};
}

Law normal(double middle, double sd) {
  return {Law::Kind::normal, {}, 0, 0, middle, sd};
}

}  // namespace fettle::study
