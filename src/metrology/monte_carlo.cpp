#include "metrology/monte_carlo.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <limits>
#include <stdexcept>

#include <fmt/format.h>

#include "metrology/random.h"

namespace fettle::metrology {
namespace {

void check(const MonteCarloOptions& o) {
  if (!(o.coverage_probability > 0.0 && o.coverage_probability < 1.0) || !(o.most_lost_share >= 0.0)) {
    throw std::invalid_argument("a Monte Carlo option is out of its range");
  }
  if (o.adaptive) {
    if (o.adaptive->significant_digits < 1 || o.adaptive->block < 10000 ||
        static_cast<double>(o.adaptive->block) < 100.0 / (1.0 - o.coverage_probability) - 1e-6 ||
        o.adaptive->most_trials <= 2 * o.adaptive->block) {
      throw std::invalid_argument("an option of the adaptive number of trials is out of its range");
    }
  } else if (o.trials < 1000) {
    throw std::invalid_argument("a Monte Carlo propagation needs 1000 or more trials");
  }
}

/// Samples of all outputs, output by output.
struct Samples {
  std::vector<std::vector<double>> of;
  bool steady = true;  ///< the number of outputs stayed the same
};

void run_trials(Samples& samples, const Model& model, std::span<const Input> inputs, std::uint64_t seed,
                std::size_t from, std::size_t to) {
  std::vector<double> x(inputs.size());
  for (std::size_t trial = from; trial < to; ++trial) {
    std::uint32_t index = 0;
    for (std::size_t i = 0; i < inputs.size(); ++i) {
      x[i] = inputs[i].estimate;
      for (const Component& component : inputs[i].components) {
        x[i] += draw(component, {seed, trial, index++});
      }
    }
    const std::vector<double> y = model(x);
    if (trial == 0) {
      samples.of.resize(y.size());
    }
    if (y.size() != samples.of.size()) {
      samples.steady = false;
      return;
    }
    for (std::size_t k = 0; k < y.size(); ++k) {
      samples.of[k].push_back(y[k]);
    }
  }
}

/// Half a unit of the last significant digit of u (JCGM 101:2008, 7.9.2).
double numerical_tolerance(double u, int significant_digits) {
  if (!(u > 0.0)) {
    return 0.0;
  }
  return 0.5 * std::pow(10.0, std::floor(std::log10(u)) - (significant_digits - 1));
}

/// Mean, u, low and high of each block of an output's sample.
class BlockRecord {
 public:
  void add(const SampleStatistics& s) { blocks_.push_back({s.mean, s.u, s.shortest.low, s.shortest.high}); }
  /// Average u of the blocks.
  double u() const {
    double sum = 0.0;
    for (const auto& b : blocks_) {
      sum += b[1];
    }
    return sum / static_cast<double>(blocks_.size());
  }
  /// Twice the largest standard deviation of the averages of the four.
  double spread() const {
    const auto h = static_cast<double>(blocks_.size());
    if (blocks_.size() < 2) {
      return std::numeric_limits<double>::infinity();
    }
    double worst = 0.0;
    for (std::size_t q = 0; q < 4; ++q) {
      double mean = 0.0;
      for (const auto& b : blocks_) {
        mean += b[q] / h;
      }
      double squares = 0.0;
      for (const auto& b : blocks_) {
        squares += (b[q] - mean) * (b[q] - mean);
      }
      worst = std::max(worst, std::sqrt(squares / (h * (h - 1.0))));
    }
    return 2.0 * worst;
  }

 private:
  std::vector<std::array<double, 4>> blocks_;
};

bool enough_finite(std::span<const double> sample) {
  return std::count_if(sample.begin(), sample.end(), [](double v) { return std::isfinite(v); }) >= 20;
}

/// Runs blocks until every output is stable; false where the most trials did not suffice.
bool run_adaptively(Samples& samples, const Model& model, std::span<const Input> inputs,
                    const MonteCarloOptions& options, std::size_t& trials) {
  const AdaptiveTrials& rule = *options.adaptive;
  std::vector<BlockRecord> records;
  for (std::size_t blocks = 1; trials + rule.block <= rule.most_trials; ++blocks) {
    run_trials(samples, model, inputs, options.seed, trials, trials + rule.block);
    if (!samples.steady) {
      return false;
    }
    records.resize(samples.of.size());
    bool stable = blocks > 1;
    for (std::size_t k = 0; k < samples.of.size(); ++k) {
      const auto block = std::span(samples.of[k]).subspan(trials);
      if (!enough_finite(block)) {
        continue;  // reported as lost at the end
      }
      records[k].add(sample_statistics(block, options.coverage_probability));
      stable = stable && records[k].spread() <= numerical_tolerance(records[k].u(), rule.significant_digits);
    }
    trials += rule.block;
    if (stable) {
      return true;
    }
  }
  return false;
}

Eigen::MatrixXd sample_covariance(const Samples& samples, std::size_t trials) {
  const auto count = static_cast<Eigen::Index>(samples.of.size());
  Eigen::VectorXd mean = Eigen::VectorXd::Zero(count);
  Eigen::MatrixXd squares = Eigen::MatrixXd::Zero(count, count);
  Eigen::VectorXd y(count);
  double n = 0.0;
  for (std::size_t t = 0; t < trials; ++t) {
    for (Eigen::Index k = 0; k < count; ++k) {
      y[k] = samples.of[static_cast<std::size_t>(k)][t];
    }
    if (y.allFinite()) {
      n += 1.0;
      const Eigen::VectorXd change = y - mean;
      mean += change / n;
      squares += (n - 1.0) / n * change * change.transpose();
    }
  }
  return n > 1.0 ? Eigen::MatrixXd(squares / (n - 1.0)) : Eigen::MatrixXd::Zero(count, count);
}

}  // namespace

SampleStatistics sample_statistics(std::span<const double> sample, double coverage_probability) {
  if (!(coverage_probability > 0.0 && coverage_probability < 1.0)) {
    throw std::invalid_argument("a coverage probability lies between 0 and 1");
  }
  std::vector<double> y;
  y.reserve(sample.size());
  std::copy_if(sample.begin(), sample.end(), std::back_inserter(y),
               [](double v) { return std::isfinite(v); });
  if (y.size() < 20) {
    throw std::invalid_argument("a sample needs 20 or more finite values");
  }
  SampleStatistics out;
  out.lost = sample.size() - y.size();
  std::sort(y.begin(), y.end());
  const auto m = static_cast<double>(y.size());
  // About the middle value, so that a large mean takes no digits from u.
  const double middle = y[y.size() / 2];
  double sum = 0.0;
  for (const double v : y) {
    sum += v - middle;
  }
  out.mean = middle + sum / m;
  double squares = 0.0;
  for (const double v : y) {
    squares += (v - out.mean) * (v - out.mean);
  }
  out.u = std::sqrt(squares / (m - 1.0));

  const auto q = std::min(static_cast<std::size_t>(coverage_probability * m + 0.5), y.size() - 1);
  const std::size_t central = (y.size() - q) / 2 + (y.size() - q) % 2;
  const std::size_t first =
      std::min(std::max<std::size_t>(central, 1), y.size() - q) - 1;  // the standard counts from one
  out.symmetric = {y[first], y[first + q]};
  std::size_t best = 0;
  for (std::size_t r = 0; r + q < y.size(); ++r) {
    if (y[r + q] - y[r] < y[best + q] - y[best]) {
      best = r;
    }
  }
  out.shortest = {y[best], y[best + q]};
  return out;
}

MonteCarloResult propagate_distributions(const Model& model, std::span<const Input> inputs,
                                         const MonteCarloOptions& options) {
  check(options);
  Samples samples;
  MonteCarloResult result;
  bool stable = true;
  if (options.adaptive) {
    stable = run_adaptively(samples, model, inputs, options, result.trials);
  } else {
    run_trials(samples, model, inputs, options.seed, 0, options.trials);
    result.trials = options.trials;
  }
  result.outputs.resize(samples.of.size());
  result.problems.resize(samples.of.size());
  if (!samples.steady) {
    result.summary = "the number of outputs changes between trials";
    result.problems.assign(samples.of.size(), result.summary);
    return result;
  }
  std::size_t given = 0;
  for (std::size_t k = 0; k < samples.of.size(); ++k) {
    const auto finite =
        std::count_if(samples.of[k].begin(), samples.of[k].end(), [](double v) { return std::isfinite(v); });
    const double lost = 1.0 - static_cast<double>(finite) / static_cast<double>(samples.of[k].size());
    if (finite < 20 || lost > options.most_lost_share) {
      result.problems[k] = fmt::format("not obtained in {:.1f} % of the trials", 100.0 * lost);
      continue;
    }
    result.outputs[k] = sample_statistics(samples.of[k], options.coverage_probability);
    ++given;
  }
  result.covariance = sample_covariance(samples, result.trials);
  result.converged = stable && given == samples.of.size();
  result.summary = fmt::format("{} of {} outputs obtained in {} trials{}", given, samples.of.size(),
                               result.trials, stable ? "" : ", not yet stable to the digits asked for");
  return result;
}

}  // namespace fettle::metrology
