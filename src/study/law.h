#pragma once

#include <vector>

#include "study/study.h"

namespace fettle::study {

/// How one number is spread. All in SI of the number.
struct Law {
  enum class Kind { values, rectangular, triangular, normal };
  Kind kind = Kind::rectangular;
  std::vector<double> values;     ///< Kind::values: each as likely as the others, at least one
  double low = 0.0, high = 0.0;   ///< bounds of rectangular and triangular, low < high
  double middle = 0.0, sd = 0.0;  ///< of normal, sd > 0

  /// Inverse of the distribution function at u in (0, 1).
  double at(double u) const;
  /// Least and greatest value that is drawn; of a normal spread six standard deviations away.
  double least() const;
  double greatest() const;
};

/// Within low .. high as the document's spread says; normal: with the bounds at two standard deviations.
Law between(double low, double high, Spread spread);
Law normal(double middle, double sd);

}  // namespace fettle::study
