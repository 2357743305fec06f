#pragma once

#include <vector>

#include "build/types.h"

namespace fettle::stations {

/// Valve lift over lobe lift as the build states it, else as its finger's geometry has it, else 1.
double stated_ratio(const build::Build& build, build::Valve valve);

/// How a lift that was measured stands to a lift as the card counts it: card = (measured + gap) * factor.
/// Linear: the rocker's ratio is taken as the same over the whole lift.
struct LiftBasis {
  double factor = 1;
  double gap = 0;  ///< m

  double to_card(double measured) const { return (measured + gap) * factor; }
  double to_measured(double card) const { return card / factor - gap; }
};

/// Basis for a reading of one valve's lobe. Lash counts between lobe and valve only.
LiftBasis lift_basis(const build::Build& build, build::Valve valve, build::MeasuredAt measured_at);

/// Check lifts that findings are given for, on the card's basis, m, rising: customary ones and the card's
/// own.
std::vector<double> check_lifts(const build::Build& build, build::Valve valve);

/// The check lift that centrelines and advance are taken at: 0.050 in, m.
inline constexpr double main_check_lift = 0.050 * 0.0254;

/// Whether two check lifts are the same one, typed in whatever unit.
bool same_lift(double a, double b);

}  // namespace fettle::stations
