#pragma once

#include <Eigen/Core>
#include <Eigen/SparseCore>

namespace fettle::mechanism {

struct QuadraticProgrammeResult {
  Eigen::VectorXd x;
  int iterations = 0;
  bool converged = false;
};

/// Minimum of ½ xᵀ Q x subject to A x = b, x >= 0, with Q symmetric positive semidefinite and A of full row
/// rank, by Mehrotra's predictor-corrector interior-point method (Nocedal and Wright, *Numerical
/// Optimization*, 2nd ed., section 16.6 and algorithm 14.3). Of Q the lower triangle is looked at; its factor
/// is taken in the order given, so that a band stays one. Meant for a few hundred unknowns and some tens of
/// constraints. Not converged: most often no x meets the constraints.
QuadraticProgrammeResult minimise_nonnegative(const Eigen::SparseMatrix<double>& q, const Eigen::MatrixXd& a,
                                              const Eigen::VectorXd& b, int most_iterations);

}  // namespace fettle::mechanism
