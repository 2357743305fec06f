#include "counsel/settling.h"

#include <algorithm>
#include <cmath>

namespace fettle::counsel {
namespace {

/// From the value to the nearest end of the limit.
double margin_of(const stations::Finding& finding) {
  double margin = INFINITY;
  for (const auto& end : {finding.limit->min, finding.limit->max}) {
    if (end) {
      margin = std::min(margin, std::abs(*finding.value - *end));
    }
  }
  return margin;
}

/// The first share that belongs to a reading, or to anything else: shares come largest first.
const stations::Share* largest(const stations::Finding& finding, bool of_reading) {
  const auto found =
      std::find_if(finding.shares.begin(), finding.shares.end(),
                   [&](const stations::Share& share) { return share.reading.has_value() == of_reading; });
  return found == finding.shares.end() ? nullptr : &*found;
}

}  // namespace

std::optional<Settling> settling_of(const build::Build& build, const stations::Finding& finding) {
  constexpr int most_times = 20;
  if (finding.verdict != metrology::Verdict::too_close || !finding.value || !finding.limit) {
    return std::nullopt;
  }
  Settling settling;
  settling.wanted = margin_of(finding);
  if (const stations::Share* other = largest(finding, false)) {
    settling.label = other->label;
    settling.tool = build.tools.contains(other->tool) ? other->tool : "";
  }
  const stations::Share* reading = largest(finding, true);
  if (reading == nullptr) {
    return settling;
  }
  settling.reading = reading->reading;
  // Repeats to n times as many leave 1 - s + s/n of the variance; wanted is a part f squared of it.
  const double part = settling.wanted / finding.expanded;
  const double to_go = (1 - part * part) / reading->share;
  if (to_go < 1) {
    const auto place = static_cast<std::size_t>(*reading->reading);
    const auto taken = 1 + static_cast<double>(build.readings[place].repeats.size());
    const double times = std::floor(taken / (1 - to_go)) + 1;
    if (times <= most_times) {
      settling.times = static_cast<int>(times);
    }
  }
  return settling;
}

}  // namespace fettle::counsel
