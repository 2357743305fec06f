#include "metrology/second_order.h"

#include <cmath>

#include <Eigen/Core>

namespace fettle::metrology {
namespace {

/// The model around the estimates; outputs become NaN where their number changes, and are told by that later.
class Around {
 public:
  Around(const std::function<std::vector<double>(std::span<const double>)>& model,
         std::span<const double> estimates, std::span<const double> u)
      : model_(model), x_(estimates.begin(), estimates.end()), u_(u) {
    centre_ = evaluate();
  }

  const Eigen::ArrayXd& centre() const { return centre_; }

  /// Outputs with input i moved by a, and input j by b, standard uncertainties.
  Eigen::ArrayXd at(std::size_t i, double a, std::size_t j, double b) {
    const double xi = x_[i];
    const double xj = x_[j];
    x_[i] += a * u_[i];
    x_[j] += b * u_[j];
    Eigen::ArrayXd out = evaluate();
    x_[j] = xj;
    x_[i] = xi;
    return out;
  }

 private:
  Eigen::ArrayXd evaluate() {
    const std::vector<double> out = model_(x_);
    if (centre_.size() != 0 && static_cast<Eigen::Index>(out.size()) != centre_.size()) {
      return Eigen::ArrayXd::Constant(centre_.size(), std::nan(""));
    }
    return Eigen::Map<const Eigen::ArrayXd>(out.data(), static_cast<Eigen::Index>(out.size()));
  }

  const std::function<std::vector<double>(std::span<const double>)>& model_;
  std::vector<double> x_;
  std::span<const double> u_;
  Eigen::ArrayXd centre_;
};

}  // namespace

std::vector<std::optional<double>> second_order_variance(
    const std::function<std::vector<double>(std::span<const double>)>& model,
    std::span<const double> estimates, std::span<const double> u, std::span<const std::size_t> active) {
  Around f(model, estimates, u);
  const Eigen::ArrayXd& centre = f.centre();
  Eigen::ArrayXd sum = Eigen::ArrayXd::Zero(centre.size());
  std::vector<Eigen::ArrayXd> plus;
  std::vector<Eigen::ArrayXd> minus;
  for (const std::size_t i : active) {
    plus.push_back(f.at(i, 1.0, i, 0.0));
    minus.push_back(f.at(i, -1.0, i, 0.0));
  }
  for (std::size_t a = 0; a < active.size(); ++a) {
    const std::size_t i = active[a];
    const Eigen::ArrayXd slope_i = 0.5 * (plus[a] - minus[a]);
    const Eigen::ArrayXd second = plus[a] - 2.0 * centre + minus[a];
    const Eigen::ArrayXd third =
        0.5 * (f.at(i, 2.0, i, 0.0) - 2.0 * plus[a] + 2.0 * minus[a] - f.at(i, -2.0, i, 0.0));
    sum += 0.5 * second.square() + slope_i * third;
    for (std::size_t b = a + 1; b < active.size(); ++b) {
      const std::size_t j = active[b];
      const Eigen::ArrayXd pp = f.at(i, 1.0, j, 1.0);
      const Eigen::ArrayXd pm = f.at(i, 1.0, j, -1.0);
      const Eigen::ArrayXd mp = f.at(i, -1.0, j, 1.0);
      const Eigen::ArrayXd mm = f.at(i, -1.0, j, -1.0);
      const Eigen::ArrayXd slope_j = 0.5 * (plus[b] - minus[b]);
      const Eigen::ArrayXd mixed = 0.25 * (pp - pm - mp + mm);
      const Eigen::ArrayXd third_ijj = 0.5 * ((pp - 2.0 * plus[a] + pm) - (mp - 2.0 * minus[a] + mm));
      const Eigen::ArrayXd third_jii = 0.5 * ((pp - 2.0 * plus[b] + mp) - (pm - 2.0 * minus[b] + mm));
      sum += mixed.square() + slope_i * third_ijj + slope_j * third_jii;  // the pair counts twice
    }
  }
  std::vector<std::optional<double>> out(static_cast<std::size_t>(sum.size()));
  for (std::size_t k = 0; k < out.size(); ++k) {
    const double value = sum[static_cast<Eigen::Index>(k)];
    if (std::isfinite(value)) {
      out[k] = value;
    }
  }
  return out;
}

}  // namespace fettle::metrology
