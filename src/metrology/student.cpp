#include "metrology/student.h"

#include <cmath>
#include <stdexcept>

#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

namespace fettle::metrology {
namespace {

/// Beyond this the Student t is the normal to double precision, and its series would only lose digits.
constexpr double nearly_infinite_dof = 1e15;

/// Double precision throughout: long double would cost several times as much for digits nobody asks for.
using InDouble = boost::math::policies::policy<boost::math::policies::promote_double<false>>;
using Student = boost::math::students_t_distribution<double, InDouble>;

}  // namespace

double coverage_factor(double probability, double dof) {
  if (!(probability > 0.0 && probability < 1.0)) {
    throw std::invalid_argument("a coverage probability lies between 0 and 1");
  }
  if (!(dof > 0.0)) {
    throw std::invalid_argument("degrees of freedom must be positive");
  }
  const double upper_tail = 0.5 * (1.0 - probability);
  if (dof > nearly_infinite_dof) {
    return boost::math::quantile(boost::math::complement(boost::math::normal(), upper_tail));
  }
  return boost::math::quantile(boost::math::complement(Student(dof), upper_tail));
}

double student_cdf(double t, double dof) {
  if (!(dof > 0.0) || std::isnan(t)) {
    throw std::invalid_argument("a Student t needs positive degrees of freedom and a number");
  }
  if (std::isinf(t)) {
    return t > 0.0 ? 1.0 : 0.0;
  }
  if (dof > nearly_infinite_dof) {
    return boost::math::cdf(boost::math::normal(), t);
  }
  return boost::math::cdf(Student(dof), t);
}

}  // namespace fettle::metrology
