#pragma once

#include <vector>

#include "build/types.h"

namespace fettle::stations {

/// The value and those of the same reading taken again.
inline std::vector<double> with_again(double value, const std::vector<build::Measure>& again) {
  std::vector<double> values{value};
  for (const build::Measure& measure : again) {
    values.push_back(measure.si);
  }
  return values;
}

}  // namespace fettle::stations
