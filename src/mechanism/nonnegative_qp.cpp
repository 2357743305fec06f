#include "mechanism/nonnegative_qp.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>
#include <Eigen/SparseCholesky>

namespace fettle::mechanism {

namespace {

struct Direction {
  Eigen::VectorXd x;  // primal
  Eigen::VectorXd y;  // multipliers of A x = b
  Eigen::VectorXd z;  // multipliers of x >= 0
};

using Sparse = Eigen::SparseMatrix<double>;
using Factor = Eigen::SimplicialLDLT<Sparse, Eigen::Lower, Eigen::NaturalOrdering<int>>;

Sparse diagonal(const Eigen::VectorXd& values) {
  Sparse matrix(values.size(), values.size());
  matrix.setIdentity();
  matrix.diagonal() = values;
  return matrix;
}

/// The Newton system with Q + Z/X factored once for both steps of an iteration.
class NewtonSystem {
 public:
  NewtonSystem(const Sparse& q, const Eigen::MatrixXd& a, const Direction& at)
      : a_(a),
        at_(at),
        hessian_(Sparse(q + diagonal(at.z.cwiseQuotient(at.x)))),
        solved_(hessian_.solve(a.transpose())),
        schur_(a * solved_) {}

  /// Q dx − Aᵀ dy − dz = −dual, A dx = −primal, Z dx + X dz = −complement.
  Direction solve(const Eigen::VectorXd& dual, const Eigen::VectorXd& primal,
                  const Eigen::VectorXd& complement) const {
    const Eigen::VectorXd reduced = hessian_.solve((-dual - complement.cwiseQuotient(at_.x)).eval());
    Direction step;
    step.y = schur_.solve((-primal - a_ * reduced).eval());
    step.x = reduced + solved_ * step.y;
    step.z = (-complement - at_.z.cwiseProduct(step.x)).cwiseQuotient(at_.x);
    return step;
  }

 private:
  const Eigen::MatrixXd& a_;
  const Direction& at_;
  Factor hessian_;
  Eigen::MatrixXd solved_;
  Eigen::LDLT<Eigen::MatrixXd> schur_;
};

/// Largest sum of absolute values in a row.
double norm(const Sparse& lower) {
  Eigen::VectorXd sums = Eigen::VectorXd::Zero(lower.rows());
  for (Eigen::Index column = 0; column < lower.outerSize(); ++column) {
    for (Sparse::InnerIterator entry(lower, column); entry; ++entry) {
      sums[entry.row()] += std::abs(entry.value());
      if (entry.row() != column) {
        sums[column] += std::abs(entry.value());
      }
    }
  }
  return sums.maxCoeff();
}

double longest_step(const Eigen::VectorXd& from, const Eigen::VectorXd& step) {
  double longest = 1.0;
  for (Eigen::Index i = 0; i < from.size(); ++i) {
    if (step[i] < 0.0) {
      longest = std::min(longest, -from[i] / step[i]);
    }
  }
  return longest;
}

}  // namespace

QuadraticProgrammeResult minimise_nonnegative(const Sparse& given, const Eigen::MatrixXd& a,
                                              const Eigen::VectorXd& b, int most_iterations) {
  const Sparse q = given.triangularView<Eigen::Lower>();
  const Eigen::Index count = q.rows();
  const auto unknowns = static_cast<double>(count);
  const double scale_b = 1.0 + b.lpNorm<Eigen::Infinity>();
  const double scale_q = 1.0 + norm(q);
  Direction at{Eigen::VectorXd::Constant(count, b.lpNorm<Eigen::Infinity>() / unknowns + 1e-3),
               Eigen::VectorXd::Zero(a.rows()), Eigen::VectorXd::Constant(count, scale_q * 1e-3)};
  QuadraticProgrammeResult result;
  for (result.iterations = 0; result.iterations < most_iterations; ++result.iterations) {
    const Eigen::VectorXd dual = q.selfadjointView<Eigen::Lower>() * at.x - a.transpose() * at.y - at.z;
    const Eigen::VectorXd primal = a * at.x - b;
    const double gap = at.x.dot(at.z) / unknowns;
    if (!std::isfinite(gap)) {
      break;
    }
    if (primal.lpNorm<Eigen::Infinity>() < 1e-12 * scale_b &&
        dual.lpNorm<Eigen::Infinity>() < 1e-9 * scale_q && gap < 1e-12 * scale_q) {
      result.converged = true;
      break;
    }
    const NewtonSystem system(q, a, at);
    const Direction predictor = system.solve(dual, primal, at.x.cwiseProduct(at.z));
    const double predicted = std::min(longest_step(at.x, predictor.x), longest_step(at.z, predictor.z));
    const double reached = (at.x + predicted * predictor.x).dot(at.z + predicted * predictor.z) / unknowns;
    const double centring = std::pow(reached / gap, 3);
    const Eigen::VectorXd complement = at.x.cwiseProduct(at.z) + predictor.x.cwiseProduct(predictor.z) -
                                       Eigen::VectorXd::Constant(count, centring * gap);
    const Direction step = system.solve(dual, primal, complement);
    const double longest = std::min(longest_step(at.x, step.x), longest_step(at.z, step.z));
    const double taken = longest < 1.0 ? 0.995 * longest : 1.0;
    at.x += taken * step.x;
    at.y += taken * step.y;
    at.z += taken * step.z;
  }
  result.x = at.x;
  return result;
}

}  // namespace fettle::mechanism
