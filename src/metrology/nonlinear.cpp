#include <cmath>
#include <stdexcept>

#include <Eigen/QR>
#include <fmt/format.h>
#include <unsupported/Eigen/NonLinearOptimization>

#include "metrology/least_squares.h"
#include "metrology/noise_scale.h"

namespace fettle::metrology {
namespace {

using Status = Eigen::LevenbergMarquardtSpace::Status;

/// What stands for residuals that are not finite: so large that the step is refused, so small that its square
/// is finite.
constexpr double refused_residual = 1e150;

/// The residuals in the form Eigen's Levenberg-Marquardt asks for.
class Functor {
 public:
  using Scalar = double;
  using InputType = Eigen::VectorXd;
  using ValueType = Eigen::VectorXd;
  using JacobianType = Eigen::MatrixXd;

  Functor(const Residuals& residuals, const Jacobian& jacobian, Eigen::Index inputs, Eigen::Index values)
      : residuals_(residuals), jacobian_(jacobian), inputs_(inputs), values_(values) {}

  // These two names and the signatures below are Eigen's.
  int inputs() const { return static_cast<int>(inputs_); }
  int values() const { return static_cast<int>(values_); }

  int operator()(const Eigen::VectorXd& parameters, Eigen::VectorXd& out) const {
    out = residuals_(parameters);
    if (out.size() != values_) {
      throw std::invalid_argument("the number of residuals changes between calls");
    }
    ++evaluations_;
    if (!out.allFinite()) {
      out.setConstant(refused_residual);
    }
    return 0;
  }

  int df(const Eigen::VectorXd& parameters, Eigen::MatrixXd& out) const {
    out = jacobian_ ? jacobian_(parameters) : central_differences(parameters);
    if (out.rows() != values_ || out.cols() != inputs_) {
      throw std::invalid_argument("the Jacobian has the wrong size");
    }
    return out.allFinite() ? 0 : -1;
  }

  int evaluations() const { return evaluations_; }

 private:
  Eigen::MatrixXd central_differences(const Eigen::VectorXd& parameters) const {
    Eigen::MatrixXd out(values_, inputs_);
    Eigen::VectorXd moved = parameters;
    const double relative_step = std::cbrt(std::numeric_limits<double>::epsilon());
    for (Eigen::Index j = 0; j < inputs_; ++j) {
      const double size = std::abs(parameters[j]);
      const double step = relative_step * (size > 0.0 ? size : 1.0);
      moved[j] = parameters[j] + step;
      const double above = moved[j];
      const Eigen::VectorXd plus = residuals_(moved);
      moved[j] = parameters[j] - step;
      const Eigen::VectorXd minus = residuals_(moved);
      out.col(j) = (plus - minus) / (above - moved[j]);
      moved[j] = parameters[j];
      evaluations_ += 2;
    }
    return out;
  }

  const Residuals& residuals_;
  const Jacobian& jacobian_;
  Eigen::Index inputs_;
  Eigen::Index values_;
  mutable int evaluations_ = 0;
};

const char* reason(Status status) {
  switch (status) {
    case Eigen::LevenbergMarquardtSpace::RelativeReductionTooSmall:
      return "the sum of squares no longer falls";
    case Eigen::LevenbergMarquardtSpace::RelativeErrorTooSmall:
    case Eigen::LevenbergMarquardtSpace::RelativeErrorAndReductionTooSmall:
      return "the parameters no longer move";
    case Eigen::LevenbergMarquardtSpace::CosinusTooSmall:
    case Eigen::LevenbergMarquardtSpace::GtolTooSmall:
      return "the gradient vanishes";
    case Eigen::LevenbergMarquardtSpace::FtolTooSmall:
    case Eigen::LevenbergMarquardtSpace::XtolTooSmall:
      return "no further digits can be gained";
    case Eigen::LevenbergMarquardtSpace::TooManyFunctionEvaluation:
      return "the evaluations ran out";
    case Eigen::LevenbergMarquardtSpace::UserAsked:
      return "the derivatives are not finite";
    default:
      return "the search could not start";
  }
}

bool is_success(Status status) {
  switch (status) {
    case Eigen::LevenbergMarquardtSpace::RelativeReductionTooSmall:
    case Eigen::LevenbergMarquardtSpace::RelativeErrorTooSmall:
    case Eigen::LevenbergMarquardtSpace::RelativeErrorAndReductionTooSmall:
    case Eigen::LevenbergMarquardtSpace::CosinusTooSmall:
    case Eigen::LevenbergMarquardtSpace::FtolTooSmall:
    case Eigen::LevenbergMarquardtSpace::XtolTooSmall:
    case Eigen::LevenbergMarquardtSpace::GtolTooSmall:
      return true;
    default:
      return false;
  }
}

/// (J^T J)^-1 by QR on scaled columns; false where a parameter is left undetermined to within `threshold`,
/// the relative error of the derivatives.
bool unit_covariance(const Eigen::MatrixXd& jacobian, double threshold, Eigen::MatrixXd& out) {
  const Eigen::Index p = jacobian.cols();
  Eigen::VectorXd unit(p);
  for (Eigen::Index j = 0; j < p; ++j) {
    const double length = jacobian.col(j).stableNorm();
    unit[j] = length > 0.0 ? 1.0 / length : 1.0;
  }
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(jacobian * unit.asDiagonal());
  qr.setThreshold(threshold);
  if (qr.rank() < p) {
    return false;
  }
  const Eigen::MatrixXd inverse_r =
      qr.matrixR().topLeftCorner(p, p).triangularView<Eigen::Upper>().solve(Eigen::MatrixXd::Identity(p, p));
  const Eigen::MatrixXd half = unit.asDiagonal() * (qr.colsPermutation() * inverse_r);
  out = half * half.transpose();
  return true;
}

}  // namespace

LeastSquaresFit nonlinear_least_squares(const Residuals& residuals, const Eigen::VectorXd& start,
                                        const NonlinearOptions& options, const Jacobian& jacobian) {
  if (start.size() == 0 || !start.allFinite()) {
    throw std::invalid_argument("a nonlinear fit needs a finite start");
  }
  if (options.most_evaluations < 1 || !(options.cost_tolerance > 0.0) || !(options.step_tolerance > 0.0)) {
    throw std::invalid_argument("an option of the nonlinear fit is out of its range");
  }
  LeastSquaresFit fit;
  fit.parameters = start;
  const Eigen::VectorXd first = residuals(start);
  const Eigen::Index n = first.size();
  const Eigen::Index p = start.size();
  fit.evaluations = 1;
  if (n < p) {
    fit.summary = fmt::format("{} residuals cannot determine {} parameters", n, p);
    return fit;
  }
  if (!first.allFinite()) {
    fit.summary = "the residuals are not finite at the start";
    return fit;
  }
  Functor functor(residuals, jacobian, p, n);
  Eigen::LevenbergMarquardt<Functor> search(functor);
  search.parameters.maxfev = options.most_evaluations;
  search.parameters.ftol = options.cost_tolerance;
  search.parameters.xtol = options.step_tolerance;
  const Status status = search.minimize(fit.parameters);
  fit.evaluations += functor.evaluations();
  const Eigen::VectorXd last = residuals(fit.parameters);
  fit.weighted_rss = last.squaredNorm();
  fit.converged = is_success(status) && last.allFinite();
  fit.summary = fmt::format("{}; {} evaluations", reason(status), fit.evaluations);
  if (!fit.converged) {
    return fit;
  }
  Eigen::MatrixXd derivatives;
  if (functor.df(fit.parameters, derivatives) != 0 ||
      !unit_covariance(derivatives, jacobian ? 1e-12 : 1e-8, fit.covariance)) {
    fit.converged = false;
    fit.summary += "; the readings leave a parameter undetermined";
    return fit;
  }
  set_scale(fit, options.scale, n, p);
  return fit;
}

}  // namespace fettle::metrology
