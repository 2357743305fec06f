#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "metrology/least_squares.h"

namespace fettle::metrology {

/// A fitted value with its standard uncertainty and degrees of freedom.
struct Prediction {
  double value = 0.0;
  double u = 0.0;
  double dof = 0.0;
};

/// Straight line y = intercept + slope x.
struct LineFit {
  bool converged = false;
  std::string summary;
  double intercept = 0.0;
  double slope = 0.0;
  double u_intercept = 0.0;
  double u_slope = 0.0;
  double correlation = 0.0;     ///< of intercept and slope
  double residual_scale = 0.0;  ///< s, see NoiseScale
  double dof = 0.0;
  double weighted_rss = 0.0;
  std::vector<double> residuals;      ///< y - line, in the unit of y
  std::vector<double> robust_weight;  ///< 0..1 of each reading, robust fits only
  std::vector<bool> outlier;          ///< robust fits only: beyond 3.5 robust standard deviations

  /// The line at x (the doubt of the line itself, not of a new reading).
  Prediction at(double x) const;
  /// Where the line reaches y, to first order in the uncertainties (JCGM 100:2008, 5.2.2); nothing where the
  /// slope is zero.
  std::optional<Prediction> x_at(double y) const;
};

/// Weighted line through readings with standard uncertainties u (empty: all one). `scale` as for all fits.
/// Fewer than two distinct x, or no degrees of freedom for s, give converged = false and the reason.
/// Throws std::invalid_argument for spans of different length, numbers that are not finite or u <= 0.
LineFit fit_line(std::span<const double> x, std::span<const double> y, std::span<const double> u = {},
                 const NoiseScale& scale = {});

/// The same through the origin: y = slope x.
LineFit fit_line_through_origin(std::span<const double> x, std::span<const double> y,
                                std::span<const double> u = {}, const NoiseScale& scale = {});

/// Line that a minority of wrong readings cannot pull: starts from the median of all pairwise slopes (Theil
/// and Sen; Sen, J. Am. Statist. Assoc. 63, 1968; up to 29 % wrong readings) and reweights with Tukey's
/// bisquare, c = 4.685 (95 % efficient for normal noise), and scale 1.4826 median |r| (Holland and Welsch,
/// Commun. Statist. A 6, 1977). Readings of weight zero drop out; over the n others the covariance is after
/// Huber, *Robust Statistics* (1981), section 7.6: K^2 [sum psi^2 / (n - 2)] / [mean psi']^2 (X^T X)^-1, K =
/// 1 + 2 var(psi') / (n mean(psi')^2), with n - 2 degrees of freedom. With fewer than 4 readings it is the
/// ordinary fit and says so.
LineFit fit_line_robust(std::span<const double> x, std::span<const double> y, std::span<const double> u = {});

}  // namespace fettle::metrology
