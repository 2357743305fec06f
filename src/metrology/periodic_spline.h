#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "metrology/cyclic_band.h"

namespace fettle::metrology {

/// Periodic spline of degree 5 (four continuous derivatives) on equally spaced knots
///   s(x) = sum_j c_j b((x - origin) / h - j),  h = period / number of coefficients,
/// b the cardinal B-spline of degree 5 centred at zero; coefficient j belongs to the knot origin + j h.
/// Every real x is valid and is wrapped into the period. Source: de Boor, *A Practical Guide to Splines*, ch.
/// IX.
class PeriodicSpline {
 public:
  static constexpr int degree = 5;
  static constexpr std::size_t least_knots = 12;

  /// Throws std::invalid_argument for a period that is not positive and finite, fewer than 12 coefficients,
  /// or a coefficient or origin that is not finite.
  PeriodicSpline(double period, double origin, Eigen::VectorXd coefficients);

  double value(double x) const;
  /// Derivative of order 0 to 4 (0 is the value); throws std::invalid_argument outside that.
  double derivative(double x, int order) const;
  /// Integral from `from` to `to` (negative when `to` lies before `from`); any number of periods.
  double integral(double from, double to) const;

  /// The row r with r . coefficients = derivative(x, order).
  Eigen::VectorXd basis(double x, int order = 0) const;
  /// The row r with r . coefficients = integral(from, to).
  Eigen::VectorXd integral_basis(double from, double to) const;
  /// The same spline space with other coefficients.
  PeriodicSpline with_coefficients(Eigen::VectorXd coefficients) const;

  double period() const { return period_; }
  double origin() const { return origin_; }
  double knot_spacing() const { return spacing_; }
  std::size_t knots() const { return pieces_.size(); }
  const Eigen::VectorXd& coefficients() const { return coefficients_; }

 private:
  using Piece = std::array<double, 6>;  ///< coefficients of the powers of the place within the interval, 0..1
  double integral_from_origin(double x) const;

  double period_;
  double origin_;
  double spacing_;
  double inverse_spacing_;
  Eigen::VectorXd coefficients_;
  std::vector<Piece> pieces_;
  std::vector<double> cumulative_;  ///< integral from the origin to each knot, one longer than pieces_
};

/// What is asked of a fitted curve: one value (derivative 0) or derivative at a place.
struct Functional {
  double x = 0.0;
  int derivative = 0;
};

struct SmoothingOptions {
  double period = 0.0;  ///< > 0, in the unit of x
  double origin = 0.0;  ///< place of the first knot
  int knots = 0;        ///< >= 12, or 0: the period over the data's median spacing, within 12..400
  std::optional<double>
      penalty;             ///< >= 0, in (unit of x)^5 / (unit of y)^2; empty: chosen by cross-validation
  double prior_dof = 8.0;  ///< >= 0, degrees of freedom of the stated noise (JCGM 100:2008 G.4.2)
  double cross_validation_factor = 1.4;  ///< >= 1, see fit_periodic_spline
  bool reject_outliers = true;
  double outlier_limit = 3.5;    ///< > 0, in robust standard deviations
  int most_outlier_rounds = 10;  ///< >= 1
};

struct SplineFit {
  PeriodicSpline curve;
  double effective_parameters = 0.0;  ///< trace of the hat matrix
  double residual_scale = 1.0;        ///< s, pooled: about 1 when the stated noise is right
  double dof = 0.0;                   ///< degrees of freedom of s
  double penalty = 0.0;
  double weighted_rss = 0.0;  ///< sum of ((y - s(x)) / u)^2 over the readings that were kept
  std::vector<double> standardised_residuals =
      {};  ///< (y - s(x)) / (u sqrt(1 -/+ leverage)), in stated standard deviations
  std::vector<bool> outlier = {};
  bool converged = false;
  std::string summary = {};
  CyclicBandCholesky factor = {};  ///< of the penalised normal matrix; empty where not converged

  /// Covariance of values and derivatives of the curve about the true one: what the noise of the readings
  /// does, s^2 r^T (A^-1 - A^-1 P A^-1) r, and what the penalty does, the product of the biases -r^T A^-1 P
  /// c, with the fitted coefficients and their own bias put back in place of the true ones c (the mean
  /// squared error of a linear smoother; Hastie and Tibshirani, *Generalized Additive Models*, section 3.8,
  /// from memory). The posterior of Wahba (1983), s^2 r^T A^-1 r, is right on the average along the curve
  /// only; this is right at each place. Throws std::logic_error on a fit that did not converge.
  Eigen::MatrixXd covariance(std::span<const Functional> functionals) const;
  /// The same for any linear functionals of the coefficients, one a row (see PeriodicSpline::basis,
  /// integral_basis).
  Eigen::MatrixXd covariance_of_rows(const Eigen::MatrixXd& rows) const;
};

/// Smoothing spline through readings y at x with standard uncertainties u (independent): the minimum of
///   sum ((y_i - s(x_i)) / u_i)^2 + penalty * integral over the period of s'''(x)^2 dx.
/// Without a given penalty, it minimises generalised cross-validation n RSS / (n - g p)^2, p the trace of the
/// hat matrix (Craven and Wahba, Numer. Math. 31, 1979; Golub, Heath and Wahba, Technometrics 21, 1979), with
/// g = cross_validation_factor: 1 is the original, 1.4 guards against its known occasional undersmoothing
/// (Kim and Gu, J. R. Statist. Soc. B 66, 2004). The scale pools the stated noise with the residuals: s^2 =
/// (d0 + RSS) / (d0 + n - p), dof = d0 + n - p, d0 = prior_dof. Outliers: a reading whose deleted residual
/// exceeds `outlier_limit` times the robust scale (1.4826 median |r|, pooled with the stated noise in the
/// same way) is left out and the fit repeated; one left out that fits again is taken back in. Within a round
/// only readings at least half as far off as the worst are left out, since a bad reading spoils its
/// neighbours. Fewer than 4 distinct places, or a penalty that leaves the curve undetermined, give converged
/// = false, a constant curve (weighted mean, zero without readings) and the reason. Throws
/// std::invalid_argument for spans of different length, numbers that are not finite, u <= 0 and options out
/// of range.
SplineFit fit_periodic_spline(std::span<const double> x, std::span<const double> y, std::span<const double> u,
                              const SmoothingOptions& options);

}  // namespace fettle::metrology
