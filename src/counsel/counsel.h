#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "build/types.h"
#include "counsel/settling.h"
#include "stations/report.h"

/// What to do with an engine whose findings do not all hold: every correction weighed by what it mends and
/// what it harms, and the fewest of them that mend everything.
namespace fettle::counsel {

/// A correction that makes one finding hold, and what else comes of it.
struct Remedy {
  std::size_t correction = 0;            ///< its place among the report's corrections
  int mended = 0;                        ///< findings that do not hold now and would
  std::vector<stations::Effect> harmed;  ///< findings whose verdict would be worse than now
};

/// A finding that fails or is too close to call.
struct Trouble {
  stations::Finding finding;
  std::vector<Remedy> remedies;      ///< best first: least harm, then most mended
  std::optional<Settling> settling;  ///< of a finding too close to call
};

/// Corrections made together, and what they come to. As the effects of one correction, those of several are
/// predicted: each finding is worked out anew from the same readings with all of them made, its doubt is left
/// as it is.
struct Plan {
  std::vector<std::size_t> corrections;   ///< places among the report's corrections, rising
  int fails = 0;                          ///< findings that would fail
  int too_close = 0;                      ///< findings that would be too close to call
  std::vector<stations::Effect> effects;  ///< every finding that moves

  bool all_hold() const { return fails == 0 && too_close == 0; }
};

struct Counsel {
  stations::Report report;
  std::vector<Trouble> troubles;  ///< failing first, in the order of the report
  /// Sets that leave less to mend than now, best first: all that make everything hold before others, the
  /// fewer corrections the better; then by what is left. The parts allow each: a correction is only ever one
  /// that its station offers, and two that write the same place are not taken together.
  std::vector<Plan> plans;
  bool complete = true;  ///< no set of up to `most_together` that could be better was left out
  int tried = 0;         ///< sets worked out
};

struct CounselOptions {
  int most_together = 3;  ///< corrections in one set; 1 to 4
  int most_tried = 400;   ///< sets worked out at most, likely ones first; >= 1
  int most_plans = 5;     ///< handed back at most; >= 1
};

/// Weighs the corrections of a build, which must have passed build::validate(). Sets are taken in the order
/// of their number, and of one number in the order of what their corrections' effects, added up, would leave.
/// Throws std::invalid_argument for options out of range.
Counsel counsel(const build::Build& build, const CounselOptions& options = {});

}  // namespace fettle::counsel
