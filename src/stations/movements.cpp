#include "stations/movements.h"

#include <algorithm>
#include <cmath>

#include "stations/cursor.h"

namespace fettle::stations {
namespace {

bool same_value(const std::optional<double>& a, const std::optional<double>& b) {
  // Two runs over the same numbers agree to the last digits, not always to the last bit.
  constexpr double rounding = 1e-9;
  if (!a || !b) {
    return a.has_value() == b.has_value();
  }
  return std::abs(*a - *b) <= rounding * std::max({std::abs(*a), std::abs(*b), 1e-3});
}

/// The same finding in another report.
const Finding* counterpart(const Report& report, Cursor& cursor, const Finding& finding) {
  const Finding* found = cursor.find(finding.id, finding.where);
  return found != nullptr ? found : find(report, finding.id, finding.where);
}

}  // namespace

std::vector<Movement> movements_between(const Report& from, const Report& to) {
  std::vector<Movement> moved;
  Cursor in_from(from.findings);
  Cursor in_to(to.findings);
  for (const Finding& finding : to.findings) {
    const Finding* before = counterpart(from, in_from, finding);
    if (before == nullptr || !same_value(before->value, finding.value) ||
        before->verdict != finding.verdict) {
      moved.push_back({before, &finding});
    }
  }
  for (const Finding& finding : from.findings) {
    if (counterpart(to, in_to, finding) == nullptr) {
      moved.push_back({&finding, nullptr});
    }
  }
  return moved;
}

}  // namespace fettle::stations
