#pragma once

#include <string_view>

#include "stations/report.h"

namespace fettle::stations {

/// How many findings have each verdict.
struct Tally {
  int holds = 0;
  int fails = 0;
  int too_close = 0;
  int open = 0;
  int without_limit = 0;  ///< a value and nothing to hold it against

  int all() const { return holds + fails + too_close + open + without_limit; }
};

/// Of all findings, or of those of one station.
Tally tally(const Report& report, std::string_view station = {});

}  // namespace fettle::stations
