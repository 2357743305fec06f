#pragma once

#include <functional>
#include <limits>
#include <optional>
#include <string>

#include <Eigen/Core>

namespace fettle::metrology {

/// How the scale of the noise is found. The stated standard uncertainties count as `prior_dof` degrees of
/// freedom beside the residuals: s^2 = (d0 + RSS) / (d0 + n - p) with dof d0 + n - p (JCGM 100:2008, 4.2.4
/// and G.4.2). Zero lets the residuals alone decide (only the ratios of the u matter), infinity takes the
/// stated u as exact (s = 1).
struct NoiseScale {
  double prior_dof = 0.0;  ///< >= 0
};

/// Solution of a least-squares problem: parameters with covariance s^2 (J^T W J)^-1.
struct LeastSquaresFit {
  bool converged = false;
  std::string summary;
  Eigen::VectorXd parameters;
  Eigen::MatrixXd covariance;
  double weighted_rss = 0.0;    ///< sum of (residual / u)^2
  double residual_scale = 1.0;  ///< s
  double dof = std::numeric_limits<double>::infinity();
  int evaluations = 0;  ///< of the residuals, nonlinear fits only

  /// Standard uncertainty of parameter i.
  double u(Eigen::Index i) const;
  /// Correlation of parameters i and k; zero where either has no variance.
  double correlation(Eigen::Index i, Eigen::Index k) const;
};

/// y ~ design * parameters with standard uncertainties u (empty: all one), by Householder QR with column
/// pivoting on scaled columns (Golub and Van Loan, *Matrix Computations*, ch. 5). A design without full
/// column rank, or too few readings for a scale, gives converged = false and the reason (parameters then have
/// no covariance). Throws std::invalid_argument for sizes that do not fit, numbers that are not finite, u <=
/// 0.
LeastSquaresFit linear_least_squares(const Eigen::MatrixXd& design, const Eigen::VectorXd& y,
                                     const Eigen::VectorXd& u = {}, const NoiseScale& scale = {});

struct NonlinearOptions {
  int most_evaluations = 2000;    ///< >= 1
  double cost_tolerance = 1e-14;  ///< > 0, relative change of the sum of squares
  double step_tolerance = 1e-12;  ///< > 0, relative change of the parameters
  NoiseScale scale = {};
};

/// Residuals divided by their standard uncertainties, as many at every call.
using Residuals = std::function<Eigen::VectorXd(const Eigen::VectorXd& parameters)>;
/// Their derivatives by the parameters.
using Jacobian = std::function<Eigen::MatrixXd(const Eigen::VectorXd& parameters)>;

/// Levenberg-Marquardt (Moré 1978, as in MINPACK, through Eigen) from `start`; central differences without a
/// Jacobian. Residuals that are not finite make a step refused; at the start they end the fit. converged =
/// false with the reason also where the evaluations run out, there are fewer residuals than parameters, or
/// the result leaves a parameter undetermined. Throws std::invalid_argument for options out of range or a
/// start that is not finite or empty.
LeastSquaresFit nonlinear_least_squares(const Residuals& residuals, const Eigen::VectorXd& start,
                                        const NonlinearOptions& options = {}, const Jacobian& jacobian = {});

}  // namespace fettle::metrology
