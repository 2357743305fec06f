#pragma once

#include <string>
#include <vector>

#include "stations/observed.h"

namespace fettle::stations {

/// A diameter that stands off its fellows by just what an instrument can slip.
struct Slip {
  std::vector<int> readings;
  double slip = 0;      ///< m, positive where it was read too great
  std::string of_what;  ///< "one turn of the thimble (0.025 in)"
};

/// Readings of one size and shape (all rod journals, all bores ...) of which one or a few are off the middle
/// of the rest by one turn of a thimble (0.025 in, or 0.5 mm), or by 0.100 in as a caliper is misread, within
/// 0.002 in. Where they agree, or are too few to tell, `expected` tells, the size they should have: then all
/// may be off together. Common practice, no source.
std::vector<Slip> slips(const Observed& observed, const std::vector<int>& readings,
                        const std::optional<double>& expected = {});

/// Whether any of the readings is among those that slipped.
bool slipped(const std::vector<Slip>& slips, const std::vector<int>& readings);

}  // namespace fettle::stations
