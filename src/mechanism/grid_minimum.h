#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <stdexcept>
#include <vector>

#include <boost/math/tools/minima.hpp>

namespace fettle::mechanism {

struct GridMinimum {
  double x = 0.0;
  double value = 0.0;
  bool at_edge = false;  ///< at an end of the range
};

/// Least value of f over [from, to]: every local minimum of a grid whose steps are at most `step` is refined
/// by Brent's method between its neighbours. Valleys narrower than the grid may be missed. Throws
/// std::invalid_argument for an empty or infinite range or one of more than 10 000 steps.
template <typename Function>
GridMinimum grid_minimum(const Function& f, double from, double to, double step = 0.0175) {
  const double steps = std::ceil((to - from) / step);
  if (!(to > from && std::isfinite(steps) && steps <= 1e4)) {
    throw std::invalid_argument("grid_minimum: the range to search must be finite and not empty");
  }
  const auto last = static_cast<std::size_t>(std::max(2.0, steps));
  const auto place = [&](std::size_t i) {
    return from + (to - from) * static_cast<double>(i) / static_cast<double>(last);
  };
  std::vector<double> values(last + 1);
  for (std::size_t i = 0; i <= last; ++i) {
    values[i] = f(place(i));
  }
  const bool first_end = values.front() <= values.back();
  GridMinimum best{first_end ? from : to, std::min(values.front(), values.back()), true};
  for (std::size_t i = 0; i <= last; ++i) {
    const std::size_t before = i == 0 ? 0 : i - 1;
    const std::size_t after = std::min(i + 1, last);
    if (values[i] > values[before] || values[i] > values[after]) {
      continue;
    }
    if (values[i] == values[before] && values[i] == values[after]) {
      // Level ground, as of a base circle: nothing to refine.
      if (values[i] < best.value) {
        best = {place(i), values[i], i == 0 || i == last};
      }
      continue;
    }
    std::uintmax_t iterations = 60;
    const auto [x, value] =
        boost::math::tools::brent_find_minima(f, place(before), place(after), 40, iterations);
    if (value < best.value) {
      best = {x, value, false};
    }
    if (values[i] < best.value) {
      best = {place(i), values[i], i == 0 || i == last};
    }
  }
  return best;
}

}  // namespace fettle::mechanism
