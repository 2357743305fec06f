#pragma once

#include <optional>
#include <string>
#include <vector>

#include "metrology/periodic_spline.h"

namespace fettle::mechanism {

/// One check lift of a cam card and the crank angles at which the follower passes it.
struct CardEvent {
  double lift = 0.0;     ///< above the base circle, m
  double opening = 0.0;  ///< crank angle, rad; signed from the cylinder's overlap TDC
  double closing = 0.0;  ///< rad, after the opening by the duration
};

/// What a card states of one lobe. Crank angles are signed with zero at the cylinder's overlap TDC: an intake
/// centreline of 108 ATDC is +108 degrees, an exhaust one of 112 BTDC is -112 degrees.
struct LobeCard {
  double max_lift = 0.0;          ///< at the follower, m
  double top = 0.0;               ///< crank angle of the greatest lift, rad
  std::vector<CardEvent> events;  ///< at least one, any order
};

/// A duration as cards print it.
struct CardDuration {
  double lift = 0.0;      ///< m
  double duration = 0.0;  ///< crank angle, rad
};

/// A symmetric card: each duration split evenly about the centreline.
LobeCard symmetric_card(double max_lift, double centreline, const std::vector<CardDuration>& durations);

/// Why no lobe can have this card, in words fit for a builder, one line each; empty if none is seen.
std::vector<std::string> lobe_card_problems(const LobeCard& card);

struct SynthesisOptions {
  double knot_spacing =
      0.0349;  ///< crank angle between knots, rad, (0, 0.1]; made smaller where events lie close
  double ramp_flatness =
      1.0;  ///< weight that holds the ramps to constant velocity, >= 0; 0: no ramp is asked for
  std::optional<double>
      opening_ramp;  ///< crank angle from zero lift to the lowest check lift, rad, > 0; empty: estimated
  std::optional<double> closing_ramp;  ///< the same on the closing side
  int most_iterations = 100;           ///< >= 1
};

/// A lobe made from its card.
struct SynthesisedLobe {
  std::optional<metrology::PeriodicSpline>
      curve;                ///< lift, m, over signed crank angle, period 4π; zero on the base circle
  double lift_start = 0.0;  ///< crank angle at which lift begins, rad
  double lift_end = 0.0;
  int acceleration_reversals =
      0;  ///< changes of sign of the acceleration between start and end; two in a plain cam
  int iterations = 0;
  std::string summary;  ///< how it went, or why there is no curve
};

/// The smoothest lobe of a card: of all splines of degree 5 (four continuous derivatives) that
///   pass through every event and through the greatest lift with zero slope at `top`,
///   rise without a pause to the top and fall without one after it (their coefficients do, which suffices),
///   and are zero outside [lift_start, lift_end],
/// the one with the least integral of squared jerk s'''², plus `ramp_flatness` times that of squared
/// acceleration over the ramps, which makes their velocity nearly constant. A ramp reaches to the lowest
/// check where that is about 0.006 in (common practice) or 2 % of the lift, and otherwise to where the law L
/// (1 − w²)^p has such a lift, w the angle from the top over the law's half-length; the law passes through
/// the two lowest events of the side (p = 2.5 where there is but one). Lift begins 1.6 times as far before
/// the ramp's top as the law would have it. A convex quadratic programme, solved by an interior-point method
/// (nonnegative_qp.h). The shape between the events is an assumption of smoothness: say so wherever it is
/// used in place of a measured lobe. Cards with problems, and those whose events force a shape that no smooth
/// lobe has, give no curve and the reason. Throws std::invalid_argument for options out of range.
SynthesisedLobe synthesise_lobe(const LobeCard& card, const SynthesisOptions& options = {});

}  // namespace fettle::mechanism
