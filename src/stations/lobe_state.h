#pragma once

#include <optional>
#include <vector>

#include "stations/observed.h"

namespace fettle::stations {

/// Opening and closing of one lobe at a check lift (or a drop from its top): signed crank radians, 0 at the
/// cylinder's overlap TDC.
struct LobeEvents {
  double at = 0;  ///< m; check lifts on the card's basis, drops as measured
  std::optional<double> opening;
  std::optional<double> closing;
};

/// What the readings of one lobe say together.
struct LobeState {
  std::vector<LobeEvents> lifts;  ///< rising check lifts
  std::vector<LobeEvents> drops;
  std::optional<double> top;       ///< place of the greatest lift
  std::optional<double> max_lift;  ///< m, on the card's basis
};

/// State of a lobe from its readings, given the crank angle counted forward on the wheel at cylinder 1's TDC.
/// A wheel shows one turn only: the lobe is taken on the turn nearest to where it is expected.
LobeState lobe_state(const Observed& observed, const LobeKey& key, const LobeReadings& readings, double tdc);

/// Midpoint at a check lift, where both sides are known there.
std::optional<double> midpoint(const LobeEvents& events);

/// The centre of a lobe and how it was come by: midway at 0.050 in, else at a drop from the top, else at
/// another check lift, else the place of greatest lift.
struct LobeCentre {
  double angle = 0;
  std::string basis;
};
std::optional<LobeCentre> lobe_centre(const LobeState& state);

const LobeEvents* events_at(const LobeState& state, double lift);

}  // namespace fettle::stations
