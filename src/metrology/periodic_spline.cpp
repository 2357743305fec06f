#include "metrology/periodic_spline.h"

#include <cmath>
#include <stdexcept>
#include <utility>

#include "metrology/spline_basis.h"

namespace fettle::metrology {

spline_basis::Place spline_basis::locate(double t, std::size_t count) {
  const auto size = static_cast<double>(count);
  const double periods = std::floor(t / size);
  const double wrapped = t - size * periods;
  if (wrapped >= 0.0 && wrapped < size) {
    const auto interval = static_cast<std::size_t>(wrapped);
    return {periods, interval, wrapped - static_cast<double>(interval)};
  }
  if (!std::isfinite(t)) {
    throw std::invalid_argument("a spline has no value where x is not finite");
  }
  return {periods + 1.0, 0, 0.0};  // a tiny negative t rounds up to a whole period
}

PeriodicSpline::PeriodicSpline(double period, double origin, Eigen::VectorXd coefficients)
    : period_(period),
      origin_(origin),
      spacing_(0.0),
      inverse_spacing_(0.0),
      coefficients_(std::move(coefficients)) {
  const auto count = static_cast<std::size_t>(coefficients_.size());
  if (!(period > 0.0) || !std::isfinite(period) || !std::isfinite(origin)) {
    throw std::invalid_argument("a periodic spline needs a positive, finite period and a finite origin");
  }
  if (count < least_knots) {
    throw std::invalid_argument("a periodic spline needs at least 12 coefficients");
  }
  if (!coefficients_.allFinite()) {
    throw std::invalid_argument("a periodic spline needs finite coefficients");
  }
  spacing_ = period / static_cast<double>(count);
  inverse_spacing_ = static_cast<double>(count) / period;
  pieces_.resize(count);
  cumulative_.assign(count + 1, 0.0);
  for (std::size_t i = 0; i < count; ++i) {
    Piece piece{};
    for (std::size_t a = 0; a < 6; ++a) {
      const double c = coefficients_[static_cast<Eigen::Index>(spline_basis::alive(i, a, count))] / 120.0;
      for (std::size_t k = 0; k < 6; ++k) {
        piece[k] += c * spline_basis::polynomials_times_120[a][k];
      }
    }
    pieces_[i] = piece;
    cumulative_[i + 1] = cumulative_[i] + spacing_ * spline_basis::polynomial_integral(piece, 1.0);
  }
}

PeriodicSpline PeriodicSpline::with_coefficients(Eigen::VectorXd coefficients) const {
  return {period_, origin_, std::move(coefficients)};
}

double PeriodicSpline::value(double x) const {
  const auto [periods, interval, f] = spline_basis::locate((x - origin_) * inverse_spacing_, pieces_.size());
  const Piece& p = pieces_[interval];
  return p[0] + f * (p[1] + f * (p[2] + f * (p[3] + f * (p[4] + f * p[5]))));
}

double PeriodicSpline::derivative(double x, int order) const {
  if (order < 0 || order > 4) {
    throw std::invalid_argument("a spline of degree 5 has continuous derivatives of order 0 to 4");
  }
  const auto [periods, interval, f] = spline_basis::locate((x - origin_) * inverse_spacing_, pieces_.size());
  const Piece& p = pieces_[interval];
  const double r = inverse_spacing_;
  switch (order) {
    case 0:
      return p[0] + f * (p[1] + f * (p[2] + f * (p[3] + f * (p[4] + f * p[5]))));
    case 1:
      return r * (p[1] + f * (2.0 * p[2] + f * (3.0 * p[3] + f * (4.0 * p[4] + f * 5.0 * p[5]))));
    case 2:
      return r * r * (2.0 * p[2] + f * (6.0 * p[3] + f * (12.0 * p[4] + f * 20.0 * p[5])));
    case 3:
      return r * r * r * (6.0 * p[3] + f * (24.0 * p[4] + f * 60.0 * p[5]));
    default:
      return r * r * r * r * (24.0 * p[4] + f * 120.0 * p[5]);
  }
}

double PeriodicSpline::integral_from_origin(double x) const {
  const auto place = spline_basis::locate((x - origin_) * inverse_spacing_, pieces_.size());
  return place.periods * cumulative_.back() + cumulative_[place.interval] +
         spacing_ * spline_basis::polynomial_integral(pieces_[place.interval], place.fraction);
}

double PeriodicSpline::integral(double from, double to) const {
  return integral_from_origin(to) - integral_from_origin(from);
}

Eigen::VectorXd PeriodicSpline::basis(double x, int order) const {
  if (order < 0 || order > 4) {
    throw std::invalid_argument("a spline of degree 5 has continuous derivatives of order 0 to 4");
  }
  const auto place = spline_basis::locate((x - origin_) * inverse_spacing_, pieces_.size());
  const double scale = std::pow(inverse_spacing_, order) / 120.0;
  Eigen::VectorXd row = Eigen::VectorXd::Zero(coefficients_.size());
  for (std::size_t a = 0; a < 6; ++a) {
    row[static_cast<Eigen::Index>(spline_basis::alive(place.interval, a, pieces_.size()))] =
        scale *
        spline_basis::polynomial_derivative(spline_basis::polynomials_times_120[a], place.fraction, order);
  }
  return row;
}

Eigen::VectorXd PeriodicSpline::integral_basis(double from, double to) const {
  const auto count = pieces_.size();
  // Integral of each spline from the origin to x; over a whole period each of them integrates to the knot
  // spacing.
  const auto from_origin = [&](double x) {
    const auto place = spline_basis::locate((x - origin_) * inverse_spacing_, count);
    Eigen::VectorXd row = Eigen::VectorXd::Constant(coefficients_.size(), place.periods * spacing_);
    for (std::size_t i = 0; i <= place.interval; ++i) {
      const double end = i < place.interval ? 1.0 : place.fraction;
      for (std::size_t a = 0; a < 6; ++a) {
        row[static_cast<Eigen::Index>(spline_basis::alive(i, a, count))] +=
            spacing_ / 120.0 * spline_basis::polynomial_integral(spline_basis::polynomials_times_120[a], end);
      }
    }
    return row;
  };
  return from_origin(to) - from_origin(from);
}

}  // namespace fettle::metrology
