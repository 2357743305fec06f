#pragma once

#include <cstddef>
#include <functional>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <Eigen/Core>

namespace fettle::metrology {

enum class Distribution { normal, rectangular, triangular, arcsine, student_t };

/// One source of uncertainty: a deviation of mean zero, standard uncertainty u and `dof` degrees of freedom.
struct Component {
  static constexpr double known =
      std::numeric_limits<double>::infinity();  ///< degrees of freedom of a u taken as exact

  std::string name;
  double u = 0.0;
  double dof = known;
  Distribution distribution = Distribution::normal;

  static Component normal(std::string name, double u, double dof = known);
  /// Of a Student t scaled so that the *scale* is u (JCGM 101:2008, 6.4.9); type A means come like this.
  static Component student(std::string name, double u, double dof);
  /// Anywhere within -a..a alike: u = a / sqrt(3) (JCGM 100:2008, 4.3.7).
  static Component rectangular_half_width(std::string name, double half_width, double dof = known);
  /// Most likely at zero, none beyond -a..a: u = a / sqrt(6) (JCGM 100:2008, 4.3.9).
  static Component triangular_half_width(std::string name, double half_width, double dof = known);
  /// A sine of amplitude a caught at a random moment: u = a / sqrt(2) (JCGM 100:2008, H.1.3.4;
  /// 101:2008, 6.4.6).
  static Component arcsine_half_width(std::string name, double half_width, double dof = known);
  /// A reading in steps of q: rectangular of half-width q / 2 (JCGM 100:2008, F.2.2.1).
  static Component resolution(std::string name, double step);
  /// Mean of n >= 2 repeats: experimental standard deviation over sqrt(n), n - 1 degrees of freedom (JCGM
  /// 100:2008, 4.2.3).
  static Component from_repeats(std::string name, std::span<const double> repeats);
};

/// An input quantity: an estimate and the components of its uncertainty, independent of each other.
struct Input {
  std::string label;
  std::vector<Component> components;
  double estimate = 0.0;
  /// Inputs of one group take their u from one estimated variance (the modes of a fit, say): their degrees of
  /// freedom are shared, not added. Empty: on its own.
  std::optional<std::size_t> scale_group = std::nullopt;

  double u() const;
  /// Welch-Satterthwaite over the components (JCGM 100:2008, G.4.1); infinite for an input without
  /// uncertainty.
  double dof() const;
};

/// From values of all inputs to the outputs. An output that is not finite counts as not obtained at those
/// inputs.
using Model = std::function<std::vector<double>(std::span<const double>)>;

struct PropagationOptions {
  std::optional<Eigen::MatrixXd>
      correlation;  ///< between inputs, unit diagonal; empty: independent (JCGM 100, 5.2.2)
  std::optional<std::vector<std::size_t>>
      which;                  ///< inputs that can matter; the others are not perturbed. Empty: all
  bool second_order = false;  ///< adds the terms of JCGM 100:2008, 5.1.2 note; independent inputs only
  double coverage_probability = 0.95;
};

/// One output with its doubt. `contribution[i]` = c_i u_i, signed; `share[i]` is its part of u^2, shares sum
/// to one (with correlated inputs c_i u_i sum_j r_ij c_j u_j / u^2, which may be negative; all zero where u
/// is zero).
struct Estimate {
  double value = 0.0;
  double u = 0.0;
  double dof = std::numeric_limits<double>::infinity();
  double coverage_factor = 0.0;
  double expanded = 0.0;
  std::vector<double> contribution;
  std::vector<double> share;
  std::optional<double> second_order_u;  ///< u with the second-order terms, where asked for
};

struct Propagation {
  bool converged = false;  ///< every output was obtained
  std::string summary;
  std::vector<std::optional<Estimate>>
      outputs;                        ///< empty where the output could not be obtained; `problems` says why
  std::vector<std::string> problems;  ///< one an output, empty text where there is none
  Eigen::MatrixXd covariance;         ///< between outputs; rows of missing outputs are zero
};

/// Law of propagation of uncertainty (JCGM 100:2008, 5.1.2, 5.2.2) with sensitivities from central
/// differences at plus and minus one standard uncertainty (5.1.3, note 2). Where one side gives no finite
/// output, the other side alone is used and said so. Degrees of freedom after Welch-Satterthwaite over the
/// components (G.4.1). Inputs that are correlated, or share a scale_group, form one term: its variance is
/// theirs together, its degrees of freedom those of its least known member. The model is called 2 N + 1 times
/// for the N inputs that have an uncertainty and may matter. Throws std::invalid_argument for a negative or
/// infinite u, an estimate that is not finite, dof <= 0, a correlation matrix of the wrong size, not
/// symmetric or not within -1..1, or an index out of range.
Propagation propagate(const Model& model, std::span<const Input> inputs,
                      const PropagationOptions& options = {});

/// F with F F^T = covariance, one column for each independent mode of unit variance; directions without
/// variance have none. By elimination in the order given (Cholesky of the correlation form, so that units may
/// differ): the first quantity depends on the first mode alone, each further one on those before it and one
/// of its own at most. Semidefinite within rounding is accepted; throws std::invalid_argument for a matrix
/// that is not square, symmetric and finite or has a truly negative direction.
Eigen::MatrixXd modes(const Eigen::MatrixXd& covariance);

/// Values known together, such as the features of a fit: estimates with their covariance and common degrees
/// of freedom.
struct CovarianceBlock {
  std::string label;
  Eigen::VectorXd estimate;
  Eigen::MatrixXd covariance;
  double dof = Component::known;
};

/// A block as independent inputs: unit-variance modes z of estimate zero, values = estimate + factor z.
struct BlockInputs {
  std::vector<Input> inputs;
  Eigen::VectorXd estimate;
  Eigen::MatrixXd factor;

  Eigen::VectorXd values(std::span<const double> mode_values) const;
  /// A value depends on the first so many modes alone.
  Eigen::Index modes_of(Eigen::Index value) const;
};

/// The modes share `scale_group`, so that the block's degrees of freedom count once.
BlockInputs independent_inputs(const CovarianceBlock& block, std::size_t scale_group);

}  // namespace fettle::metrology
