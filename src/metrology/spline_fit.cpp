#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>

#include <boost/math/tools/minima.hpp>
#include <fmt/format.h>

#include "metrology/periodic_spline.h"
#include "metrology/spline_basis.h"

namespace fettle::metrology {
namespace {

constexpr int most_automatic_knots = 400;
constexpr std::size_t least_places = 4;

/// One reading in terms of the spline space.
struct Row {
  std::size_t interval;
  std::array<double, 6> basis;
  double y;
  double weight;  ///< 1 / u^2
};

/// The data as the fit sees them; `kept` says which readings take part.
struct Problem {
  std::size_t knots;
  double spacing;
  std::vector<Row> rows;
  std::vector<bool> kept;
};

/// The penalised fit at one penalty.
struct Solution {
  CyclicBandCholesky factor;
  CyclicBandMatrix inverse;
  Eigen::VectorXd coefficients;
  double effective_parameters;
  double weighted_rss;
};

/// The parts of the normal equations that do not depend on the penalty.
struct Normal {
  CyclicBandMatrix gram;  ///< B^T W B over the kept readings
  Eigen::VectorXd right_side;
  std::size_t count;
};

void check(std::span<const double> x, std::span<const double> y, std::span<const double> u,
           const SmoothingOptions& o) {
  if (x.size() != y.size() || x.size() != u.size()) {
    throw std::invalid_argument("x, y and u of a spline fit must have the same length");
  }
  const auto finite = [](double v) { return std::isfinite(v); };
  if (!std::all_of(x.begin(), x.end(), finite) || !std::all_of(y.begin(), y.end(), finite)) {
    throw std::invalid_argument("readings of a spline fit must be finite");
  }
  if (!std::all_of(u.begin(), u.end(), [](double v) { return std::isfinite(v) && v > 0.0; })) {
    throw std::invalid_argument("standard uncertainties of a spline fit must be positive and finite");
  }
  if (!(o.period > 0.0) || !std::isfinite(o.period) || !std::isfinite(o.origin)) {
    throw std::invalid_argument("a spline fit needs a positive, finite period and a finite origin");
  }
  if (o.knots != 0 && o.knots < static_cast<int>(PeriodicSpline::least_knots)) {
    throw std::invalid_argument("a spline fit needs at least 12 knots");
  }
  if (o.penalty && (!(*o.penalty >= 0.0) || !std::isfinite(*o.penalty))) {
    throw std::invalid_argument("the penalty of a spline fit must be finite and not negative");
  }
  if (!(o.prior_dof >= 0.0) || !std::isfinite(o.prior_dof) || !(o.cross_validation_factor >= 1.0) ||
      !(o.outlier_limit > 0.0) || o.most_outlier_rounds < 1) {
    throw std::invalid_argument("an option of the spline fit is out of its range");
  }
}

/// Distinct places of the readings within the period, sorted, in 0..period.
std::vector<double> distinct_places(std::span<const double> x, const SmoothingOptions& o) {
  std::vector<double> places;
  places.reserve(x.size());
  for (const double value : x) {
    const double t = value - o.origin;
    places.push_back(t - o.period * std::floor(t / o.period));
  }
  std::sort(places.begin(), places.end());
  const double same = 1e-9 * o.period;
  const auto end =
      std::unique(places.begin(), places.end(), [&](double a, double b) { return b - a < same; });
  places.erase(end, places.end());
  return places;
}

std::size_t knot_count(const std::vector<double>& places, const SmoothingOptions& o) {
  if (o.knots != 0) {
    return static_cast<std::size_t>(o.knots);
  }
  std::vector<double> gaps;
  for (std::size_t i = 1; i < places.size(); ++i) {
    gaps.push_back(places[i] - places[i - 1]);
  }
  const auto middle = gaps.begin() + static_cast<std::ptrdiff_t>(gaps.size() / 2);
  std::nth_element(gaps.begin(), middle, gaps.end());
  const double wanted = std::round(o.period / *middle);
  return static_cast<std::size_t>(
      std::clamp(wanted, static_cast<double>(PeriodicSpline::least_knots), double{most_automatic_knots}));
}

Problem set_up(std::span<const double> x, std::span<const double> y, std::span<const double> u,
               std::size_t knots, const SmoothingOptions& o) {
  Problem problem{knots, o.period / static_cast<double>(knots), {}, std::vector<bool>(x.size(), true)};
  problem.rows.reserve(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    const auto place = spline_basis::locate((x[i] - o.origin) / problem.spacing, knots);
    problem.rows.push_back({place.interval, spline_basis::values(place.fraction), y[i], 1.0 / (u[i] * u[i])});
  }
  return problem;
}

Normal normal_equations(const Problem& problem) {
  Normal normal;
  normal.gram.column.assign(problem.knots, CyclicBandMatrix::Column{});
  normal.right_side = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(problem.knots));
  normal.count = 0;
  for (std::size_t i = 0; i < problem.rows.size(); ++i) {
    if (!problem.kept[i]) {
      continue;
    }
    const Row& row = problem.rows[i];
    ++normal.count;
    for (std::size_t a = 0; a < 6; ++a) {
      const std::size_t j = spline_basis::alive(row.interval, a, problem.knots);
      const double weighted = row.weight * row.basis[a];
      normal.right_side[static_cast<Eigen::Index>(j)] += weighted * row.y;
      for (std::size_t b = a; b < 6; ++b) {
        normal.gram.column[j][b - a] += weighted * row.basis[b];
      }
    }
  }
  return normal;
}

double fitted(const Row& row, const Eigen::VectorXd& coefficients) {
  const auto count = static_cast<std::size_t>(coefficients.size());
  double sum = 0.0;
  for (std::size_t a = 0; a < 6; ++a) {
    sum +=
        row.basis[a] * coefficients[static_cast<Eigen::Index>(spline_basis::alive(row.interval, a, count))];
  }
  return sum;
}

/// b^T A^-1 b for one reading's basis row.
double spread(const Row& row, const CyclicBandMatrix& inverse) {
  double sum = 0.0;
  for (std::size_t a = 0; a < 6; ++a) {
    const auto& column = inverse.column[spline_basis::alive(row.interval, a, inverse.size())];
    sum += row.basis[a] * row.basis[a] * column[0];
    for (std::size_t b = a + 1; b < 6; ++b) {
      sum += 2.0 * row.basis[a] * row.basis[b] * column[b - a];
    }
  }
  return sum;
}

/// The fit at one penalty; nothing where the penalty leaves the curve undetermined.
std::optional<Solution> solve(const Problem& problem, const Normal& normal, double penalty) {
  CyclicBandMatrix matrix = normal.gram;
  const double scaled = penalty / std::pow(problem.spacing, 5);
  for (auto& column : matrix.column) {
    for (std::size_t k = 0; k < column.size(); ++k) {
      column[k] += scaled * spline_basis::third_derivative_gram[k];
    }
  }
  auto factor = CyclicBandCholesky::factor(matrix);
  if (!factor) {
    return std::nullopt;
  }
  Solution solution{std::move(*factor), {}, {}, 0.0, 0.0};
  solution.coefficients = solution.factor.solve(normal.right_side);
  solution.inverse = solution.factor.selected_inverse();
  solution.effective_parameters = solution.inverse.inner_product(normal.gram);
  for (std::size_t i = 0; i < problem.rows.size(); ++i) {
    if (problem.kept[i]) {
      const double residual = problem.rows[i].y - fitted(problem.rows[i], solution.coefficients);
      solution.weighted_rss += problem.rows[i].weight * residual * residual;
    }
  }
  if (!solution.coefficients.allFinite() || !std::isfinite(solution.effective_parameters)) {
    return std::nullopt;
  }
  return solution;
}

/// Generalised cross-validation, infinite where the fit is undetermined or has no freedom left.
double cross_validation(const Problem& problem, const Normal& normal, double penalty, double factor) {
  const auto solution = solve(problem, normal, penalty);
  const auto n = static_cast<double>(normal.count);
  if (!solution || !(n - factor * solution->effective_parameters > 1e-6 * n)) {
    return std::numeric_limits<double>::infinity();
  }
  const double freedom = n - factor * solution->effective_parameters;
  return n * solution->weighted_rss / (freedom * freedom);
}

/// Least cross-validation: a grid over the penalty in steps that halve the number of waves the curve can
/// follow (a factor 2^6), from all waves of the knots down to none, then Brent's method around the best.
std::optional<double> choose_penalty(const Problem& problem, const Normal& normal, double factor) {
  double weight = 0.0;
  for (const auto& column : normal.gram.column) {
    weight += column[0];
  }
  const auto knots = static_cast<double>(problem.knots);
  const double unit =
      weight / (knots * spline_basis::third_derivative_gram[0]) * std::pow(problem.spacing, 5);
  constexpr double step = 6.0 * 0.6931471805599453;  // ln 2^6
  const int steps = static_cast<int>(std::lround(std::log2(knots)));
  const auto score = [&](double log_penalty) {
    return cross_validation(problem, normal, unit * std::exp(log_penalty), factor);
  };
  double best = 0.0;
  double least = std::numeric_limits<double>::infinity();
  for (int k = -1; k <= steps; ++k) {
    const double at = k * step;
    const double now = score(at);
    if (now < least) {
      least = now;
      best = at;
    }
  }
  if (!std::isfinite(least)) {
    return std::nullopt;
  }
  std::uintmax_t evaluations = 10;
  constexpr int bits =
      6;  // ln(penalty) to about 0.1: the score is flat there and the curve moves with its sixth root
  const auto refined =
      boost::math::tools::brent_find_minima(score, best - step, best + step, bits, evaluations);
  return unit * std::exp(refined.second <= least ? refined.first : best);
}

/// Residuals in stated standard deviations: deleted residuals for readings that took part (variance u^2 (1 -
/// h) of the residual itself), predicted ones for those left out (variance u^2 (1 + h)).
std::vector<double> standardise(const Problem& problem, const Solution& solution) {
  std::vector<double> out(problem.rows.size());
  for (std::size_t i = 0; i < out.size(); ++i) {
    const Row& row = problem.rows[i];
    const double leverage = row.weight * spread(row, solution.inverse);
    const double variance = problem.kept[i] ? std::max(1.0 - leverage, 1e-12) : 1.0 + leverage;
    out[i] = (row.y - fitted(row, solution.coefficients)) * std::sqrt(row.weight / variance);
  }
  return out;
}

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) {
    return *middle;
  }
  return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

/// Median-based scale of the standardised residuals, pooled with the stated noise (scale 1, prior_dof
/// degrees).
double robust_scale(const std::vector<double>& standardised, double freedom, double prior_dof) {
  std::vector<double> magnitudes(standardised.size());
  std::transform(standardised.begin(), standardised.end(), magnitudes.begin(),
                 [](double r) { return std::abs(r); });
  const double scale = 1.4826 * median(std::move(magnitudes));
  const double weight = std::max(freedom, 0.0);
  if (!(prior_dof + weight > 0.0)) {
    return scale;
  }
  return std::sqrt((prior_dof + weight * scale * scale) / (prior_dof + weight));
}

/// Which readings take part in the next round.
std::vector<bool> next_kept(const Problem& problem, const std::vector<double>& standardised, double limit) {
  double worst = 0.0;
  for (std::size_t i = 0; i < standardised.size(); ++i) {
    if (problem.kept[i]) {
      worst = std::max(worst, std::abs(standardised[i]));
    }
  }
  std::vector<bool> kept(standardised.size());
  for (std::size_t i = 0; i < kept.size(); ++i) {
    const double size = std::abs(standardised[i]);
    kept[i] = size <= limit || (problem.kept[i] && size < 0.5 * worst);
  }
  return kept;
}

SplineFit constant_fit(const Problem& problem, const SmoothingOptions& o, std::string reason) {
  double weight = 0.0;
  double sum = 0.0;
  for (const Row& row : problem.rows) {
    weight += row.weight;
    sum += row.weight * row.y;
  }
  const double mean = weight > 0.0 ? sum / weight : 0.0;
  SplineFit fit{PeriodicSpline(o.period, o.origin,
                               Eigen::VectorXd::Constant(static_cast<Eigen::Index>(problem.knots), mean))};
  for (const Row& row : problem.rows) {
    fit.standardised_residuals.push_back((row.y - mean) * std::sqrt(row.weight));
  }
  fit.outlier.assign(problem.rows.size(), false);
  fit.dof = o.prior_dof;
  fit.summary = std::move(reason);
  return fit;
}

struct RobustResult {
  std::optional<Solution> solution;
  double penalty = 0.0;
  std::vector<double> standardised;
  bool settled = false;
  int rounds = 0;
};

/// Fits, leaves out what does not belong and fits again until the set of readings stays the same.
RobustResult solve_robustly(Problem& problem, const SmoothingOptions& o) {
  RobustResult result;
  std::vector<bool> returned(problem.kept.size(), false);
  for (result.rounds = 1; result.rounds <= o.most_outlier_rounds; ++result.rounds) {
    const Normal normal = normal_equations(problem);
    const auto penalty = o.penalty ? o.penalty : choose_penalty(problem, normal, o.cross_validation_factor);
    result.solution = penalty ? solve(problem, normal, *penalty) : std::nullopt;
    if (!result.solution) {
      return result;
    }
    result.penalty = *penalty;
    result.standardised = standardise(problem, *result.solution);
    if (!o.reject_outliers) {
      result.settled = true;
      return result;
    }
    const double freedom = static_cast<double>(normal.count) - result.solution->effective_parameters;
    const double scale = robust_scale(result.standardised, freedom, o.prior_dof);
    auto kept = next_kept(problem, result.standardised, o.outlier_limit * scale);
    for (std::size_t i = 0; i < kept.size(); ++i) {
      // One that was left out and came back stays: two sets must not take turns for ever.
      returned[i] = returned[i] || (kept[i] && !problem.kept[i]);
      kept[i] = kept[i] || returned[i];
    }
    if (kept == problem.kept) {
      result.settled = true;
      return result;
    }
    const auto left = static_cast<std::size_t>(std::count(kept.begin(), kept.end(), true));
    if (4 * left < 3 * kept.size() || result.rounds == o.most_outlier_rounds) {
      return result;
    }
    problem.kept = std::move(kept);
  }
  return result;
}

}  // namespace

SplineFit fit_periodic_spline(std::span<const double> x, std::span<const double> y, std::span<const double> u,
                              const SmoothingOptions& options) {
  check(x, y, u, options);
  const auto places = distinct_places(x, options);
  if (places.size() < least_places) {
    const auto few = set_up(x, y, u, PeriodicSpline::least_knots, options);
    return constant_fit(few, options,
                        fmt::format("a curve needs readings at {} or more places, there are {}", least_places,
                                    places.size()));
  }
  Problem problem = set_up(x, y, u, knot_count(places, options), options);
  RobustResult robust = solve_robustly(problem, options);
  if (!robust.solution) {
    problem.kept.assign(problem.kept.size(), true);
    return constant_fit(problem, options, "the readings and the penalty leave the curve undetermined");
  }
  Solution& solution = *robust.solution;
  SplineFit fit{PeriodicSpline(options.period, options.origin, solution.coefficients)};
  const auto kept = static_cast<double>(std::count(problem.kept.begin(), problem.kept.end(), true));
  const double freedom = std::max(kept - solution.effective_parameters, 0.0);
  fit.effective_parameters = solution.effective_parameters;
  fit.dof = options.prior_dof + freedom;
  fit.residual_scale = fit.dof > 0.0 ? std::sqrt((options.prior_dof + solution.weighted_rss) / fit.dof) : 1.0;
  fit.penalty = robust.penalty;
  fit.weighted_rss = solution.weighted_rss;
  fit.standardised_residuals = std::move(robust.standardised);
  fit.outlier.resize(problem.kept.size());
  std::transform(problem.kept.begin(), problem.kept.end(), fit.outlier.begin(), [](bool k) { return !k; });
  fit.converged = robust.settled;
  fit.factor = std::move(solution.factor);
  fit.summary = fmt::format(
      "{}{} readings, {} left out, {:.1f} effective parameters on {} knots, scale {:.3g}",
      robust.settled ? "" : "the set of outliers did not settle: ", x.size(),
      x.size() - static_cast<std::size_t>(kept), fit.effective_parameters, problem.knots, fit.residual_scale);
  return fit;
}

}  // namespace fettle::metrology
