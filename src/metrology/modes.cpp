#include <cmath>
#include <stdexcept>

#include <fmt/format.h>

#include "metrology/uncertainty.h"

namespace fettle::metrology {

Eigen::MatrixXd modes(const Eigen::MatrixXd& covariance) {
  const Eigen::Index n = covariance.rows();
  if (covariance.cols() != n || !covariance.allFinite() ||
      (n > 0 && !covariance.isApprox(covariance.transpose(), 1e-9))) {
    throw std::invalid_argument("a covariance matrix is square, symmetric and finite");
  }
  if (n == 0 || covariance.cwiseAbs().maxCoeff() == 0.0) {
    return Eigen::MatrixXd(n, 0);
  }
  Eigen::VectorXd u(n);
  Eigen::VectorXd inverse_u(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    u[i] = std::sqrt(std::max(covariance(i, i), 0.0));
    inverse_u[i] = u[i] > 0.0 ? 1.0 / u[i] : 0.0;
    if (u[i] == 0.0 && covariance.row(i).cwiseAbs().maxCoeff() > 0.0) {
      throw std::invalid_argument("a quantity without variance cannot covary with another");
    }
  }
  // What is left of the correlations as one quantity after the other is accounted for. Covariances reach here
  // through sums and solves: a variance below this share of its own is rounding, as is what goes with it.
  const double rounding = 1e-12 * static_cast<double>(n);
  constexpr double negative = 1e-8;
  constexpr double stray = 1e-4;
  Eigen::MatrixXd left = inverse_u.asDiagonal() * covariance * inverse_u.asDiagonal();
  Eigen::MatrixXd factor(n, n);
  Eigen::Index rank = 0;
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index rows = n - i;
    const double pivot = left(i, i);
    if (pivot > rounding) {
      factor.col(rank).head(i).setZero();
      factor.col(rank).tail(rows) = left.col(i).tail(rows) / std::sqrt(pivot);
      left.bottomRightCorner(rows, rows).noalias() -=
          factor.col(rank).tail(rows) * factor.col(rank).tail(rows).transpose();
      ++rank;
    } else if (pivot < -negative || left.col(i).tail(rows - 1).cwiseAbs().sum() > stray) {
      throw std::invalid_argument("the covariance matrix has a direction of negative variance");
    }
  }
  return u.asDiagonal() * factor.leftCols(rank);
}

BlockInputs independent_inputs(const CovarianceBlock& block, std::size_t scale_group) {
  if (block.estimate.size() != block.covariance.rows() || !block.estimate.allFinite()) {
    throw std::invalid_argument("block '" + block.label +
                                "' needs a finite estimate for each row of its covariance");
  }
  BlockInputs out{{}, block.estimate, modes(block.covariance)};
  for (Eigen::Index m = 0; m < out.factor.cols(); ++m) {
    Input input;
    input.label = fmt::format("{}, mode {}", block.label, m + 1);
    input.components.push_back(Component::normal(input.label, 1.0, block.dof));
    input.scale_group = scale_group;
    out.inputs.push_back(std::move(input));
  }
  return out;
}

Eigen::VectorXd BlockInputs::values(std::span<const double> mode_values) const {
  if (static_cast<Eigen::Index>(mode_values.size()) != factor.cols()) {
    throw std::invalid_argument("a block of inputs needs one value for each mode");
  }
  return estimate + factor * Eigen::Map<const Eigen::VectorXd>(mode_values.data(), factor.cols());
}

Eigen::Index BlockInputs::modes_of(Eigen::Index value) const {
  Eigen::Index last = factor.cols();
  while (last > 0 && factor(value, last - 1) == 0.0) {
    --last;
  }
  return last;
}

}  // namespace fettle::metrology
