#include "mechanism/journal_table.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <stdexcept>
#include <vector>

#include <boost/math/interpolators/cardinal_cubic_b_spline.hpp>
#include <boost/math/tools/toms748_solve.hpp>

namespace fettle::mechanism {
namespace {

constexpr int films = 49;
constexpr double least_eccentricity = 0.01;
constexpr double greatest_eccentricity = 0.97;

double odds(double eccentricity) {
  return std::log(eccentricity / (1 - eccentricity));
}
double eccentricity_at(double log_odds) {
  return 1 / (1 + std::exp(-log_odds));
}

}  // namespace

struct JournalTable::Spline {
  double first, last;
  boost::math::interpolators::cardinal_cubic_b_spline<double> log_sommerfeld;
};

JournalTable::JournalTable(double length_over_diameter) {
  const double first = odds(least_eccentricity);
  const double last = odds(greatest_eccentricity);
  const double step = (last - first) / (films - 1);
  const auto log_sommerfeld = [&](double log_odds) {
    // The ends are met exactly: rounding must not leave the range of the films.
    const double eccentricity =
        std::clamp(eccentricity_at(log_odds), least_eccentricity, greatest_eccentricity);
    return std::log(journal_film(length_over_diameter, eccentricity).sommerfeld);
  };
  std::vector<double> values;
  values.reserve(films);
  for (int i = 0; i < films; ++i) {
    values.push_back(log_sommerfeld(first + i * step));
  }
  // Slope at the heavy end from films close to it (one-sided, second order): a spline left to guess it is off
  // by some 5e-4 in the last step.
  const double near = step / 16;
  const double slope =
      (3 * values.back() - 4 * log_sommerfeld(last - near) + log_sommerfeld(last - 2 * near)) / (2 * near);
  const double guessed = std::numeric_limits<double>::quiet_NaN();
  spline_ = std::make_shared<const Spline>(
      Spline{first, last, {values.begin(), values.end(), first, step, guessed, slope}});
}

std::optional<double> JournalTable::least_film(const JournalBearing& bearing) const {
  for (const double number :
       {bearing.diameter, bearing.length, bearing.viscosity, bearing.speed, bearing.load}) {
    if (!(number > 0 && std::isfinite(number))) {
      throw std::invalid_argument("JournalTable: every number must be finite and greater than zero");
    }
  }
  if (!(bearing.diametral_clearance > 0)) {
    return std::nullopt;
  }
  const double slenderness = bearing.diameter / bearing.diametral_clearance;
  const double mean_pressure = bearing.load / (bearing.length * bearing.diameter);
  const double turns = bearing.speed / (2 * std::numbers::pi);
  const double wanted = std::log(slenderness * slenderness * bearing.viscosity * turns / mean_pressure);
  const auto off = [&](double log_odds) { return spline_->log_sommerfeld(log_odds) - wanted; };
  const double light = off(spline_->first);
  const double heavy = off(spline_->last);
  if (!(light >= 0 && heavy <= 0)) {
    return std::nullopt;
  }
  std::uintmax_t iterations = 60;
  const auto close = [](double low, double high) { return high - low < 1e-12; };
  const auto [low, high] =
      boost::math::tools::toms748_solve(off, spline_->first, spline_->last, light, heavy, close, iterations);
  return bearing.diametral_clearance / 2 * (1 - eccentricity_at((low + high) / 2));
}

}  // namespace fettle::mechanism
