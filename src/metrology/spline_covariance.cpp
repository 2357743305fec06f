#include <cmath>
#include <stdexcept>

#include "metrology/periodic_spline.h"
#include "metrology/spline_basis.h"

namespace fettle::metrology {
namespace {

/// P c, P the Gram matrix of third derivatives over unit knot spacing.
Eigen::VectorXd roughness_product(const Eigen::VectorXd& coefficients) {
  const Eigen::Index count = coefficients.size();
  Eigen::VectorXd product = spline_basis::third_derivative_gram[0] * coefficients;
  for (Eigen::Index lag = 1; lag <= PeriodicSpline::degree; ++lag) {
    const double entry = spline_basis::third_derivative_gram[static_cast<std::size_t>(lag)];
    for (Eigen::Index j = 0; j < count; ++j) {
      product[j] += entry * (coefficients[(j + lag) % count] + coefficients[(j - lag + count) % count]);
    }
  }
  return product;
}

}  // namespace

Eigen::MatrixXd SplineFit::covariance_of_rows(const Eigen::MatrixXd& rows) const {
  if (factor.size() == 0) {
    throw std::logic_error("a spline fit that found no curve has no covariance: " + summary);
  }
  if (rows.cols() != curve.coefficients().size()) {
    throw std::invalid_argument("functionals of a spline fit need one column for each coefficient");
  }
  const double scaled_penalty = penalty / std::pow(curve.knot_spacing(), 5);
  Eigen::MatrixXd solved(rows.cols(), rows.rows());
  Eigen::MatrixXd rough(rows.cols(), rows.rows());
  for (Eigen::Index i = 0; i < rows.rows(); ++i) {
    solved.col(i) = factor.solve(rows.row(i).transpose());
    rough.col(i) = scaled_penalty * roughness_product(solved.col(i));
  }
  // A^-1 B^T W B A^-1 = A^-1 - A^-1 P A^-1: what the noise of the readings does.
  const Eigen::MatrixXd noise = rows * solved - solved.transpose() * rough;
  // -A^-1 P c: what the penalty does to the true curve c. The fitted curve is itself flattened by it, so that
  // c is taken as the fitted curve with its own bias put back (twicing).
  const Eigen::VectorXd& fitted = curve.coefficients();
  const Eigen::VectorXd unflattened = fitted + factor.solve(scaled_penalty * roughness_product(fitted));
  const Eigen::VectorXd bias = rough.transpose() * unflattened;
  const Eigen::MatrixXd covariance = residual_scale * residual_scale * noise + bias * bias.transpose();
  return 0.5 * (covariance + covariance.transpose());
}

Eigen::MatrixXd SplineFit::covariance(std::span<const Functional> functionals) const {
  Eigen::MatrixXd rows(static_cast<Eigen::Index>(functionals.size()), curve.coefficients().size());
  for (std::size_t i = 0; i < functionals.size(); ++i) {
    rows.row(static_cast<Eigen::Index>(i)) =
        curve.basis(functionals[i].x, functionals[i].derivative).transpose();
  }
  return covariance_of_rows(rows);
}

}  // namespace fettle::metrology
