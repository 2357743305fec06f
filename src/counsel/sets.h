#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "stations/observed.h"
#include "stations/report.h"

namespace fettle::counsel {

/// What is left to mend: failing counts before too close.
struct Left {
  int fails = 0;
  int too_close = 0;

  auto operator<=>(const Left&) const = default;
  void count(const stations::Finding& finding, int sign);
};
Left left_to_mend(const stations::Report& report);

/// Corrections that may be made together, and what the effects of each, added up, would leave to mend.
struct CandidateSet {
  std::vector<std::size_t> corrections;  ///< places among the report's corrections, rising
  Left expected;
};

/// All sets of up to `most_together` corrections that can be made together: none without operations, no two
/// whose operations touch the same place of the document. In the order of their number, within it by what
/// they are expected to leave, within that as the report has them.
std::vector<CandidateSet> candidate_sets(const stations::Report& report, int most_together);

/// Two what-ifs as one: the cam moved by both, the parts of both. Nothing where the parts do not go together.
/// `as_they_are`: the build that both start from.
std::optional<stations::WhatIf> made_together(const build::Build& as_they_are, const stations::WhatIf& a,
                                              const stations::WhatIf& b);

}  // namespace fettle::counsel
