#include "metrology/uncertainty.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>

#include "metrology/second_order.h"
#include "metrology/student.h"

namespace fettle::metrology {
namespace {

void check_input(const Input& input) {
  if (!std::isfinite(input.estimate)) {
    throw std::invalid_argument("the estimate of input '" + input.label + "' is not finite");
  }
  for (const Component& c : input.components) {
    if (!(c.u >= 0.0) || !std::isfinite(c.u) || !(c.dof > 0.0)) {
      throw std::invalid_argument("component '" + c.name + "' of input '" + input.label +
                                  "' needs a finite u >= 0 and dof > 0");
    }
  }
}

void check_correlation(const Eigen::MatrixXd& r, std::size_t count) {
  const auto n = static_cast<Eigen::Index>(count);
  if (r.rows() != n || r.cols() != n) {
    throw std::invalid_argument("the correlation matrix needs one row and column for each input");
  }
  if (!r.allFinite() || r.cwiseAbs().maxCoeff() > 1.0 + 1e-9 || !r.isApprox(r.transpose(), 1e-9) ||
      (r.diagonal().array() - 1.0).abs().maxCoeff() > 1e-9) {
    throw std::invalid_argument("a correlation matrix is symmetric, within -1..1 and has a unit diagonal");
  }
}

/// Inputs that have an uncertainty and may matter, in order and without repeats.
std::vector<std::size_t> active_inputs(std::span<const Input> inputs, const PropagationOptions& options) {
  std::vector<std::size_t> out(inputs.size());
  std::iota(out.begin(), out.end(), std::size_t{0});
  if (options.which) {
    out = *options.which;
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    if (!out.empty() && out.back() >= inputs.size()) {
      throw std::invalid_argument("an index of the inputs that may matter is out of range");
    }
  }
  std::erase_if(out, [&](std::size_t i) { return !(inputs[i].u() > 0.0); });
  return out;
}

/// Outputs moved by one standard uncertainty of each active input, with what went wrong.
struct Sensitivities {
  std::vector<double> values;
  Eigen::MatrixXd contribution;  ///< [output, active input] = c_i u_i
  std::vector<std::string> problems;
  std::size_t one_sided = 0;
  std::string failure;  ///< why nothing at all could be obtained
};

/// c_i u_i of each output from the outputs at plus and minus one standard uncertainty.
void difference(Sensitivities& s, Eigen::Index column, const std::vector<double>& plus,
                const std::vector<double>& minus, const std::string& label) {
  for (std::size_t k = 0; k < s.values.size(); ++k) {
    if (!s.problems[k].empty()) {
      continue;
    }
    const bool above = std::isfinite(plus[k]);
    const bool below = std::isfinite(minus[k]);
    double change = 0.0;
    if (above && below) {
      change = 0.5 * (plus[k] - minus[k]);
    } else if (above || below) {
      change = above ? plus[k] - s.values[k] : s.values[k] - minus[k];
      ++s.one_sided;
    } else {
      s.problems[k] = "not obtained when '" + label + "' moves by its standard uncertainty";
      continue;
    }
    s.contribution(static_cast<Eigen::Index>(k), column) = change;
  }
}

Sensitivities differentiate(const Model& model, std::span<const Input> inputs, const std::vector<double>& u,
                            const std::vector<std::size_t>& active) {
  Sensitivities s;
  std::vector<double> x;
  x.reserve(inputs.size());
  for (const Input& input : inputs) {
    x.push_back(input.estimate);
  }
  s.values = model(x);
  s.problems.assign(s.values.size(), "");
  for (std::size_t k = 0; k < s.values.size(); ++k) {
    if (!std::isfinite(s.values[k])) {
      s.problems[k] = "not obtained at the estimates";
    }
  }
  s.contribution = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(s.values.size()),
                                         static_cast<Eigen::Index>(active.size()));
  for (std::size_t a = 0; a < active.size(); ++a) {
    const std::size_t i = active[a];
    x[i] = inputs[i].estimate + u[i];
    const std::vector<double> plus = model(x);
    x[i] = inputs[i].estimate - u[i];
    const std::vector<double> minus = model(x);
    x[i] = inputs[i].estimate;
    if (plus.size() != s.values.size() || minus.size() != s.values.size()) {
      s.failure =
          "the number of outputs changes when '" + inputs[i].label + "' moves by its standard uncertainty";
      return s;
    }
    difference(s, static_cast<Eigen::Index>(a), plus, minus, inputs[i].label);
  }
  return s;
}

/// Label of each active input's term in the Welch-Satterthwaite formula: inputs tied by correlation or by a
/// common scale group carry the same label.
std::vector<std::size_t> term_labels(std::span<const Input> inputs, const std::vector<std::size_t>& active,
                                     const std::optional<Eigen::MatrixXd>& correlation) {
  std::vector<std::size_t> label(active.size());
  std::iota(label.begin(), label.end(), std::size_t{0});
  for (std::size_t a = 0; a < active.size(); ++a) {
    for (std::size_t b = 0; b < a; ++b) {
      const bool same_scale =
          inputs[active[a]].scale_group && inputs[active[a]].scale_group == inputs[active[b]].scale_group;
      const bool tied = correlation && (*correlation)(static_cast<Eigen::Index>(active[a]),
                                                      static_cast<Eigen::Index>(active[b])) != 0.0;
      if ((same_scale || tied) && label[a] != label[b]) {
        std::replace(label.begin(), label.end(), std::max(label[a], label[b]), std::min(label[a], label[b]));
      }
    }
  }
  return label;
}

/// One independent term of the combined variance.
struct Term {
  double dof = Component::known;
  std::vector<std::size_t> members;  ///< columns of the contributions
};

std::vector<Term> group_terms(std::span<const Input> inputs, const std::vector<std::size_t>& active,
                              const std::vector<std::size_t>& label) {
  std::vector<Term> terms(active.size());
  for (std::size_t a = 0; a < active.size(); ++a) {
    Term& term = terms[label[a]];
    term.members.push_back(a);
    term.dof = std::min(term.dof, inputs[active[a]].dof());
  }
  std::erase_if(terms, [](const Term& term) { return term.members.empty(); });
  return terms;
}

/// Welch-Satterthwaite (JCGM 100:2008, G.4.1): a lone input's own degrees of freedom already hold that
/// formula over its components, and the formula nests.
double effective_dof(const Eigen::VectorXd& contribution, const Eigen::VectorXd& weighted,
                     const std::vector<Term>& terms, double variance) {
  double sum = 0.0;
  for (const Term& term : terms) {
    double part = 0.0;
    for (const std::size_t a : term.members) {
      part += contribution[static_cast<Eigen::Index>(a)] * weighted[static_cast<Eigen::Index>(a)];
    }
    sum += (part / variance) * (part / variance) / term.dof;
  }
  return 1.0 / sum;
}

/// Contributions, [output, active input], each row times the correlation between the inputs.
Eigen::MatrixXd weighted_by(const std::optional<Eigen::MatrixXd>& correlation,
                            const std::vector<std::size_t>& active, const Eigen::MatrixXd& contribution) {
  return correlation ? Eigen::MatrixXd(contribution * (*correlation)(active, active)) : contribution;
}

Estimate estimate(double value, const Eigen::VectorXd& contribution, const Eigen::VectorXd& weighted,
                  const std::vector<Term>& terms, const std::vector<std::size_t>& active,
                  std::size_t input_count, double coverage_probability) {
  Estimate out;
  out.value = value;
  out.contribution.assign(input_count, 0.0);
  out.share.assign(input_count, 0.0);
  const double variance = contribution.dot(weighted);
  if (variance < -1e-9 * contribution.squaredNorm()) {
    throw std::invalid_argument("the correlation matrix is not positive semidefinite");
  }
  const bool uncertain = variance > 0.0;
  out.u = uncertain ? std::sqrt(variance) : 0.0;
  if (uncertain) {
    out.dof = effective_dof(contribution, weighted, terms, variance);
  }
  for (std::size_t a = 0; a < active.size(); ++a) {
    const auto k = static_cast<Eigen::Index>(a);
    out.contribution[active[a]] = contribution[k];
    out.share[active[a]] = uncertain ? contribution[k] * weighted[k] / variance : 0.0;
  }
  out.coverage_factor = coverage_factor(coverage_probability, out.dof);
  out.expanded = out.coverage_factor * out.u;
  return out;
}

void add_second_order(Propagation& result, const Model& model, std::span<const Input> inputs,
                      const std::vector<double>& u, const std::vector<std::size_t>& active) {
  std::vector<double> x;
  for (const Input& input : inputs) {
    x.push_back(input.estimate);
  }
  const auto extra = second_order_variance(model, x, u, active);
  for (std::size_t k = 0; k < result.outputs.size(); ++k) {
    if (result.outputs[k] && extra[k]) {
      const double first = result.outputs[k]->u;
      result.outputs[k]->second_order_u = std::sqrt(std::max(first * first + *extra[k], 0.0));
    }
  }
}

}  // namespace

Propagation propagate(const Model& model, std::span<const Input> inputs, const PropagationOptions& options) {
  std::vector<double> u;
  for (const Input& input : inputs) {
    check_input(input);
    u.push_back(input.u());
  }
  if (options.correlation) {
    check_correlation(*options.correlation, inputs.size());
    if (options.second_order) {
      throw std::invalid_argument("the second-order terms hold for independent inputs only");
    }
  }
  const std::vector<std::size_t> active = active_inputs(inputs, options);
  const Sensitivities s = differentiate(model, inputs, u, active);

  Propagation result;
  result.outputs.resize(s.values.size());
  result.problems = s.problems;
  const auto count = static_cast<Eigen::Index>(s.values.size());
  result.covariance = Eigen::MatrixXd::Zero(count, count);
  if (!s.failure.empty()) {
    result.summary = s.failure;
    result.problems.assign(s.values.size(), s.failure);
    return result;
  }
  const std::vector<Term> terms =
      group_terms(inputs, active, term_labels(inputs, active, options.correlation));
  Eigen::MatrixXd contribution = s.contribution;
  const Eigen::MatrixXd weighted = weighted_by(options.correlation, active, contribution);
  std::size_t missing = 0;
  for (std::size_t k = 0; k < s.values.size(); ++k) {
    const auto row = static_cast<Eigen::Index>(k);
    if (!s.problems[k].empty()) {
      contribution.row(row).setZero();
      ++missing;
      continue;
    }
    result.outputs[k] =
        estimate(s.values[k], contribution.row(row).transpose(), weighted.row(row).transpose(), terms, active,
                 inputs.size(), options.coverage_probability);
  }
  result.covariance = weighted_by(options.correlation, active, contribution) * contribution.transpose();
  if (options.second_order) {
    add_second_order(result, model, inputs, u, active);
  }
  result.converged = missing == 0;
  result.summary = fmt::format("{} of {} outputs obtained, {} inputs perturbed, {} one-sided sensitivities",
                               s.values.size() - missing, s.values.size(), active.size(), s.one_sided);
  return result;
}

}  // namespace fettle::metrology
