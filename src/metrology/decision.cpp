#include "metrology/decision.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "metrology/student.h"

namespace fettle::metrology {
namespace {

void check(const LimitInterval& limit) {
  if ((limit.min && !std::isfinite(*limit.min)) || (limit.max && !std::isfinite(*limit.max))) {
    throw std::invalid_argument("a limit must be finite; leave an unbounded side empty");
  }
  if (limit.min && limit.max && *limit.min > *limit.max) {
    throw std::invalid_argument("the lower limit lies above the upper one");
  }
}

}  // namespace

std::string_view name(Verdict verdict) {
  switch (verdict) {
    case Verdict::holds:
      return "holds";
    case Verdict::fails:
      return "fails";
    case Verdict::too_close:
      return "too close";
    case Verdict::open:
      break;
  }
  return "open";
}

Verdict decide(std::optional<double> value, std::optional<double> expanded, const LimitInterval& limit) {
  check(limit);
  if ((value && !std::isfinite(*value)) || (expanded && !(*expanded >= 0.0 && std::isfinite(*expanded)))) {
    throw std::invalid_argument(
        "a verdict needs a finite value and a finite expanded uncertainty that is not negative");
  }
  if (!value || !expanded || !limit.bounded()) {
    return Verdict::open;
  }
  const double y = *value;
  const double guard = *expanded;
  if ((limit.min && y < *limit.min - guard) || (limit.max && y > *limit.max + guard)) {
    return Verdict::fails;
  }
  if ((!limit.min || y >= *limit.min + guard) && (!limit.max || y <= *limit.max - guard)) {
    return Verdict::holds;
  }
  return Verdict::too_close;
}

double conformity_probability(double value, double standard_uncertainty, double dof,
                              const LimitInterval& limit) {
  check(limit);
  const double u = standard_uncertainty;
  if (!std::isfinite(value) || !(u >= 0.0) || !std::isfinite(u) || !(dof > 0.0)) {
    throw std::invalid_argument("a probability of conformity needs a finite value, u >= 0 and dof > 0");
  }
  if (u == 0.0) {
    const bool inside = (!limit.min || value >= *limit.min) && (!limit.max || value <= *limit.max);
    return inside ? 1.0 : 0.0;
  }
  // Both as probabilities of lying outside, so that the small ones keep their digits.
  const double below = limit.min ? student_cdf((*limit.min - value) / u, dof) : 0.0;
  const double above = limit.max ? student_cdf((value - *limit.max) / u, dof) : 0.0;
  return std::clamp(1.0 - below - above, 0.0, 1.0);
}

}  // namespace fettle::metrology
