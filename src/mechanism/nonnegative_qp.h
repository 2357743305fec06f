#pragma once

#include <Eigen/Core>

namespace fettle::mechanism {

struct QuadraticProgrammeResult {
  Eigen::VectorXd x;
  int iterations = 0;
  bool converged = false;
};

/// Minimum of ½ xᵀ Q x subject to A x = b, x >= 0, with Q symmetric positive semidefinite and A of full row
/// rank, by Mehrotra's predictor-corrector interior-point method (Nocedal and Wright, *Numerical
/// Optimization*, 2nd ed., section 16.6 and algorithm 14.3). Meant for a few hundred unknowns (dense). Not
/// converged: most often no x meets the constraints.
QuadraticProgrammeResult minimise_nonnegative(const Eigen::MatrixXd& q, const Eigen::MatrixXd& a,
                                              const Eigen::VectorXd& b, int most_iterations);

}  // namespace fettle::mechanism
