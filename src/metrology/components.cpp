#include <cmath>
#include <numeric>
#include <stdexcept>
#include <utility>

#include "metrology/uncertainty.h"

namespace fettle::metrology {
namespace {

Component make(std::string name, double size, double divisor, double dof, Distribution distribution) {
  if (!(size >= 0.0) || !std::isfinite(size)) {
    throw std::invalid_argument("the size of uncertainty component '" + name +
                                "' must be finite and not negative");
  }
  if (!(dof > 0.0)) {
    throw std::invalid_argument("the degrees of freedom of uncertainty component '" + name +
                                "' must be positive");
  }
  return {std::move(name), size / divisor, dof, distribution};
}

}  // namespace

Component Component::normal(std::string name, double u, double dof) {
  return make(std::move(name), u, 1.0, dof, Distribution::normal);
}

Component Component::student(std::string name, double u, double dof) {
  return make(std::move(name), u, 1.0, dof, Distribution::student_t);
}

Component Component::rectangular_half_width(std::string name, double half_width, double dof) {
  return make(std::move(name), half_width, std::sqrt(3.0), dof, Distribution::rectangular);
}

Component Component::triangular_half_width(std::string name, double half_width, double dof) {
  return make(std::move(name), half_width, std::sqrt(6.0), dof, Distribution::triangular);
}

Component Component::arcsine_half_width(std::string name, double half_width, double dof) {
  return make(std::move(name), half_width, std::sqrt(2.0), dof, Distribution::arcsine);
}

Component Component::resolution(std::string name, double step) {
  return rectangular_half_width(std::move(name), 0.5 * step);
}

Component Component::from_repeats(std::string name, std::span<const double> repeats) {
  if (repeats.size() < 2) {
    throw std::invalid_argument("a type A evaluation of '" + name + "' needs two or more repeats");
  }
  const auto n = static_cast<double>(repeats.size());
  const double mean = std::accumulate(repeats.begin(), repeats.end(), 0.0) / n;
  double squares = 0.0;
  for (const double value : repeats) {
    squares += (value - mean) * (value - mean);
  }
  return student(std::move(name), std::sqrt(squares / (n - 1.0) / n), n - 1.0);
}

double Input::u() const {
  double variance = 0.0;
  for (const Component& c : components) {
    variance += c.u * c.u;
  }
  return std::sqrt(variance);
}

double Input::dof() const {
  const double total = u();
  if (!(total > 0.0)) {
    return Component::known;
  }
  double sum = 0.0;
  for (const Component& c : components) {
    sum += std::pow(c.u / total, 4) / c.dof;
  }
  return 1.0 / sum;  // infinite where every component is known
}

}  // namespace fettle::metrology
