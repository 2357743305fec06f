#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stations/observed.h"
#include "stations/report.h"

namespace fettle::stations {

/// Where the shim that is to go to a valve comes from.
enum class ShimFrom { stays, other_valve, shelf, bought, nowhere };

struct ShimPlace {
  LobeKey key;
  double gap = 0;        ///< read, m
  double wanted = 0;     ///< lash, m
  double now = 0;        ///< shim there now, m
  double next = 0;       ///< shim to go there, m; where it comes from nowhere, the one that would be wanted
  double gap_after = 0;  ///< m
  ShimFrom from = ShimFrom::stays;
  std::optional<LobeKey> from_valve;
};

/// Which shim goes where.
struct ShimPlan {
  std::vector<ShimPlace> places;  ///< of the valves whose lash and shim are both known
  bool proved = true;             ///< every lash lies inside its limits by its doubt
  int moved = 0;                  ///< shims that change places or come off the shelf
  int bought = 0;
  int unserved = 0;               ///< valves that no shim fits
  std::vector<double> left_over;  ///< shims that were fitted and go on the shelf, m
};

/// The shims that bring most lashes inside their limits (by their doubt, if that can be); of those choices
/// the one that buys fewest, then moves fewest, then comes nearest the middle of the limits: an assignment
/// problem of shims to valves, solved exactly (mechanism/assignment.h). New shim = old + lash - lash wanted.
/// At hand are the shims now at the valves read, and those on the shelf; to be bought, the sizes of the
/// build. Nothing where no valve has both its lash and its shim known.
std::optional<ShimPlan> shim_plan(const Observed& observed, const Report& report);

}  // namespace fettle::stations
