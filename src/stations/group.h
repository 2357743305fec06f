#pragma once

#include <functional>
#include <string>
#include <vector>

#include "stations/observed.h"
#include "stations/report.h"

namespace fettle::stations {

struct FindingKey {
  std::string id;
  Where where;
  std::string basis;  ///< how the value was come by

  bool operator==(const FindingKey&) const = default;
};

struct Valued {
  FindingKey key;
  double value = 0;
};

/// Findings that look at the same readings: a pure function from the readings to values. Which findings it
/// gives may depend on which readings there are, not on what they say.
struct Group {
  std::function<std::vector<Valued>(const Observed&)> evaluate;
};

/// A finding that cannot be given yet, and what is missing for it.
struct Missing {
  FindingKey key;
  std::string needs;
};

}  // namespace fettle::stations
