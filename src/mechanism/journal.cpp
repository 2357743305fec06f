#include "mechanism/journal.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <stdexcept>
#include <vector>

#include <boost/math/tools/toms748_solve.hpp>

namespace fettle::mechanism {

namespace {

using std::numbers::pi;

constexpr std::size_t around = 120;  // intervals from thickest film to thickest film
constexpr std::size_t along = 10;    // intervals from mid-length to the end
constexpr std::size_t cells = (around - 1) * along;
constexpr double least_eccentricity = 0.01;
constexpr double greatest_eccentricity = 0.97;

/// Conductances of the discrete equation K P = f. Cell (i, j): i = 1..around − 1 about the journal, j =
/// 0..along − 1 from mid-length; beyond both, P = 0.
class Film {
 public:
  Film(double length_over_diameter, double eccentricity) : eccentricity_(eccentricity) {
    // dθ is proportional to 1 + κ cos t: fine where the film is thin.
    const double kappa = 0.85 * eccentricity;
    for (std::size_t i = 0; i <= around; ++i) {
      const double t = 2.0 * pi * static_cast<double>(i) / around;
      theta_[i] = t + kappa * std::sin(t);
    }
    const double end_ratio = 1.0 / (length_over_diameter * length_over_diameter);
    for (std::size_t i = 0; i < around; ++i) {
      const double height = gap(face(i));
      about_[i] = height * height * height / (theta_[i + 1] - theta_[i]);
    }
    for (std::size_t i = 1; i < around; ++i) {
      const double height = gap(theta_[i]);
      width_[i] = face(i) - face(i - 1);
      across_[i] = end_ratio * height * height * height * width_[i] / (spacing * spacing);
      source_[i] = gap(face(i - 1)) - gap(face(i));
    }
  }

  /// Pressures that are nowhere negative, with no flow out of a cell without pressure.
  std::vector<double> solve() const {
    std::vector<bool> pressed(cells);
    for (std::size_t i = 1; i < around; ++i) {
      for (std::size_t j = 0; j < along; ++j) {
        pressed[cell(i, j)] = source_[i] > 0.0;
      }
    }
    std::vector<double> pressure;
    for (int round = 0; round < 100; ++round) {
      pressure = solve_on(pressed);
      bool changed = false;
      for (std::size_t i = 1; i < around; ++i) {
        for (std::size_t j = 0; j < along; ++j) {
          const std::size_t c = cell(i, j);
          const bool now = pressed[c] ? pressure[c] > 0.0 : excess(pressure, i, j) > 1e-14;
          changed = changed || now != pressed[c];
          pressed[c] = now;
        }
      }
      if (!changed) {
        return pressure;
      }
    }
    throw std::logic_error("journal_film: the rupture line did not settle");
  }

  FilmPoint point(const std::vector<double>& pressure, double length_over_diameter) const {
    double toward = 0.0;
    double beside = 0.0;
    double peak = 0.0;
    double leak = 0.0;
    for (std::size_t i = 1; i < around; ++i) {
      double sum = 0.0;
      for (std::size_t j = 0; j < along; ++j) {
        sum += (j == 0 ? 1.0 : 2.0) * spacing * pressure[cell(i, j)];
        peak = std::max(peak, pressure[cell(i, j)]);
      }
      toward -= sum * width_[i] * std::cos(theta_[i]);
      beside += sum * width_[i] * std::sin(theta_[i]);
      const double slope =
          (4.0 * pressure[cell(i, along - 1)] - pressure[cell(i, along - 2)]) / (2.0 * spacing);
      const double height = gap(theta_[i]);
      leak += height * height * height * slope * width_[i];
    }
    const double carried = std::hypot(toward, beside);
    FilmPoint point;
    point.eccentricity = eccentricity_;
    point.sommerfeld = 1.0 / (3.0 * pi * carried);
    point.attitude = std::atan2(beside, toward);
    point.friction =
        2.0 * pi * pi * point.sommerfeld / std::sqrt((1.0 - eccentricity_) * (1.0 + eccentricity_)) +
        0.5 * eccentricity_ * std::sin(point.attitude);
    point.side_flow = pi * leak / (length_over_diameter * length_over_diameter);
    point.pressure_ratio = 0.25 * carried / peak;
    return point;
  }

 private:
  static constexpr double spacing = 1.0 / along;
  static std::size_t cell(std::size_t i, std::size_t j) { return (i - 1) * along + j; }
  double gap(double theta) const { return 1.0 + eccentricity_ * std::cos(theta); }
  double face(std::size_t i) const { return 0.5 * (theta_[i] + theta_[i + 1]); }
  // The cell at mid-length is a half one.
  static double share(std::size_t j) { return j == 0 ? 0.5 : 1.0; }

  double diagonal(std::size_t i, std::size_t j) const {
    return share(j) * (about_[i - 1] + about_[i]) + (j == 0 ? 1.0 : 2.0) * across_[i];
  }

  // f − K P
  double excess(const std::vector<double>& p, std::size_t i, std::size_t j) const {
    double sum = share(j) * source_[i] - diagonal(i, j) * p[cell(i, j)];
    if (i > 1) {
      sum += share(j) * about_[i - 1] * p[cell(i - 1, j)];
    }
    if (i + 1 < around) {
      sum += share(j) * about_[i] * p[cell(i + 1, j)];
    }
    if (j > 0) {
      sum += across_[i] * p[cell(i, j - 1)];
    }
    if (j + 1 < along) {
      sum += across_[i] * p[cell(i, j + 1)];
    }
    return sum;
  }

  // Banded Cholesky, half-bandwidth `along`; cells without pressure are rows of the identity.
  std::vector<double> solve_on(const std::vector<bool>& pressed) const {
    std::vector<std::array<double, along + 1>> lower(cells);  // lower[c][k]: entry (c, c − k)
    std::vector<double> x(cells, 0.0);
    for (std::size_t i = 1; i < around; ++i) {
      for (std::size_t j = 0; j < along; ++j) {
        const std::size_t c = cell(i, j);
        lower[c].fill(0.0);
        if (!pressed[c]) {
          lower[c][0] = 1.0;
          continue;
        }
        lower[c][0] = diagonal(i, j);
        x[c] = share(j) * source_[i];
        if (j > 0 && pressed[c - 1]) {
          lower[c][1] = -across_[i];
        }
        if (i > 1 && pressed[c - along]) {
          lower[c][along] = -share(j) * about_[i - 1];
        }
      }
    }
    for (std::size_t c = 0; c < cells; ++c) {
      const std::size_t first = c > along ? c - along : 0;
      for (std::size_t r = first; r <= c; ++r) {
        double sum = lower[c][c - r];
        for (std::size_t k = std::max(first, r > along ? r - along : 0); k < r; ++k) {
          sum -= lower[c][c - k] * lower[r][r - k];
        }
        lower[c][c - r] = r == c ? std::sqrt(sum) : sum / lower[r][0];
      }
      for (std::size_t k = first; k < c; ++k) {
        x[c] -= lower[c][c - k] * x[k];
      }
      x[c] /= lower[c][0];
    }
    for (std::size_t c = cells; c-- > 0;) {
      x[c] /= lower[c][0];
      for (std::size_t k = c > along ? c - along : 0; k < c; ++k) {
        x[k] -= lower[c][c - k] * x[c];
      }
    }
    return x;
  }

  double eccentricity_;
  std::array<double, around + 1> theta_{};
  std::array<double, around> about_{};   // between i and i + 1
  std::array<double, around> across_{};  // between neighbours along the length
  std::array<double, around> width_{};
  std::array<double, around> source_{};
};

}  // namespace

FilmPoint journal_film(double length_over_diameter, double eccentricity) {
  if (!(eccentricity >= least_eccentricity && eccentricity <= greatest_eccentricity &&
        length_over_diameter >= 0.1 && length_over_diameter <= 4.0)) {
    throw std::invalid_argument(
        "journal_film: eccentricity lies between 0.01 and 0.97, length over diameter between 0.1 and 4");
  }
  const Film film(length_over_diameter, eccentricity);
  return film.point(film.solve(), length_over_diameter);
}

std::optional<JournalState> journal_state(const JournalBearing& bearing) {
  for (const double number : {bearing.diameter, bearing.length, bearing.diametral_clearance,
                              bearing.viscosity, bearing.speed, bearing.load}) {
    if (!(number > 0.0 && std::isfinite(number))) {
      throw std::invalid_argument("journal_state: every number must be finite and greater than zero");
    }
  }
  const double shape = bearing.length / bearing.diameter;
  const double radius = 0.5 * bearing.diameter;
  const double clearance = 0.5 * bearing.diametral_clearance;
  const double turns = bearing.speed / (2.0 * pi);
  const double mean_pressure = bearing.load / (bearing.length * bearing.diameter);
  const double slenderness = radius / clearance;
  const double wanted = std::log(slenderness * slenderness * bearing.viscosity * turns / mean_pressure);
  const auto off = [&](double e) { return std::log(journal_film(shape, e).sommerfeld) - wanted; };
  const double light = off(least_eccentricity);
  const double heavy = off(greatest_eccentricity);
  if (!(light >= 0.0 && heavy <= 0.0)) {
    return std::nullopt;
  }
  std::uintmax_t iterations = 60;
  const auto close = [](double low, double high) { return high - low < 1e-11; };
  const auto [low, high] = boost::math::tools::toms748_solve(off, least_eccentricity, greatest_eccentricity,
                                                             light, heavy, close, iterations);
  JournalState state;
  state.film = journal_film(shape, 0.5 * (low + high));
  state.least_film = clearance * (1.0 - state.film.eccentricity);
  state.friction_torque = state.film.friction / slenderness * bearing.load * radius;
  state.power = state.friction_torque * bearing.speed;
  state.side_flow = state.film.side_flow * radius * clearance * turns * bearing.length;
  state.peak_pressure = mean_pressure / state.film.pressure_ratio;
  return state;
}

}  // namespace fettle::mechanism
