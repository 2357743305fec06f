#pragma once

#include "mechanism/circular.h"

namespace fettle::mechanism {

/// Opening and closing of both valves of one cylinder, signed crank angles, rad, zero at its overlap TDC:
/// IO = −(BTDC), IC = π + (ABDC), EO = −π − (BBDC), EC = +(ATDC); an opening after TDC is positive.
struct ValveEvents {
  double intake_opening = 0.0;
  double intake_closing = 0.0;
  double exhaust_opening = 0.0;
  double exhaust_closing = 0.0;
};

/// What a cam card prints, crank radians, all at the check lift of the events.
struct CardNumbers {
  double intake_duration = 0.0;     ///< IC − IO
  double exhaust_duration = 0.0;    ///< EC − EO
  double intake_centreline = 0.0;   ///< (IO + IC)/2, after TDC
  double exhaust_centreline = 0.0;  ///< −(EO + EC)/2, *before* TDC
  double lobe_separation = 0.0;  ///< (ICL + ECL)/2; in cam angle half of their sum, which is the same number
  double advance = 0.0;          ///< (ECL − ICL)/2; positive: the cam is ahead of straight up
  double overlap = 0.0;          ///< EC − IO; negative where the valves are never open together
};

CardNumbers card_numbers(const ValveEvents& events);

/// The events of a cam whose numbers are these (the inverse; lobe separation, advance and durations are
/// used).
ValveEvents events_from_numbers(double lobe_separation, double advance, double intake_duration,
                                double exhaust_duration);

/// Crank angle from an opening to the closing that follows it, [0, period). On a 360-degree wheel give
/// `full_turn`: durations beyond one turn are then not to be told from those within.
double duration_between(double opening, double closing, double period = full_cycle);

/// The middle of two angles at equal lifts (or equal drops from the top), from the first forward to the
/// second, in
/// [-period/2, period/2).
double centreline_between(double before, double after, double period = full_cycle);

}  // namespace fettle::mechanism
