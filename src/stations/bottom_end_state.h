#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stations/group.h"
#include "stations/observed.h"
#include "stations/report.h"

namespace fettle::stations {

/// What is known of one bearing, m, with the shells that are fitted now.
struct BearingState {
  std::optional<double> journal;  ///< mean diameter
  std::optional<double> bore;     ///< with the shells in, vertical
  std::optional<double> housing;  ///< vertical
  std::optional<double> walls;    ///< of both halves together
  std::optional<double> strip;    ///< clearance by crushed strip

  /// Bore less journal; housing less walls less journal.
  std::optional<double> direct() const;
  std::optional<double> crossed() const;
};

struct OilClearance {
  double clearance = 0;
  std::string basis;
};

/// `spot` is a main, or a cylinder for its rod.
BearingState bearing_state(const Observed& observed, const Spot& spot);

/// Measured with the shells in, else from housing and walls, else by strip.
std::optional<OilClearance> oil_clearance(const BearingState& state);

/// The mains, or the rod bearings, or null.
const build::BearingSet* bearing_set(const build::Build& build, SpotKind kind);

/// Sizes of the halves in a bearing now.
struct ShellSizes {
  double upper = 0;
  double lower = 0;
  /// What the pair does to the clearance.
  double pair() const { return (upper + lower) / 2; }
};
ShellSizes fitted_shells(const build::Build& build, const Spot& spot);

/// Mains by number as far as the build or a reading says there are any, then the rods by cylinder. Empty
/// where nothing is said or read of bearings.
std::vector<Spot> all_bearings(const Sources& sources);

Where where_of(const Spot& spot);
/// "main 3", "the rod of cylinder 2".
std::string bearing_text(const Spot& spot);
/// "bottom_end.main_clearance" for "clearance" of a main.
FindingId bearing_id(const Spot& spot, std::string_view quantity);

}  // namespace fettle::stations
