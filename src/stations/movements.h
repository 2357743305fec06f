#pragma once

#include <vector>

#include "stations/report.h"

namespace fettle::stations {

/// One finding in two reports; null where it is not in one of them.
struct Movement {
  const Finding* from = nullptr;
  const Finding* to = nullptr;
};

/// Findings of `to` whose value or verdict differs from that of `from` by more than rounding, in its order,
/// then those that are gone. Check lifts are the same whatever unit they were typed in. Both reports must
/// outlive the movements.
std::vector<Movement> movements_between(const Report& from, const Report& to);

}  // namespace fettle::stations
