#include "stations/tally.h"

#include "stations/report_json.h"

namespace fettle::stations {

Tally tally(const Report& report, std::string_view station) {
  Tally counts;
  for (const Finding& finding : report.findings) {
    if (!station.empty() && station_of(finding.id) != station) {
      continue;
    }
    if (!finding.verdict) {
      ++counts.without_limit;
      continue;
    }
    switch (*finding.verdict) {
      case metrology::Verdict::holds:
        ++counts.holds;
        break;
      case metrology::Verdict::fails:
        ++counts.fails;
        break;
      case metrology::Verdict::too_close:
        ++counts.too_close;
        break;
      case metrology::Verdict::open:
        ++counts.open;
        break;
    }
  }
  return counts;
}

}  // namespace fettle::stations
