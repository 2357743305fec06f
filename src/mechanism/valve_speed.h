#pragma once

#include <cmath>
#include <optional>
#include <vector>

#include "mechanism/contact.h"
#include "mechanism/valve_dynamics.h"

namespace fettle::mechanism {

/// What follows from running a valve's train over a range of speeds. Speeds are the crank's, rad/s.

struct SpeedRange {
  double from = 0.0;  ///< > 0
  double to = 0.0;    ///< > from
  double step = 0.0;  ///< of the first search, > 0
  double part =
      HUGE_VAL;   ///< > 0: the step is at most this part of the speed. A surge of damping ratio ζ takes
                  ///< contact in a band of some 2ζ of the speed: with that no band is overlooked
  int finer = 2;  ///< searches within the step found, each nine times finer; >= 0
};

struct Separation {
  std::optional<double> speed;  ///< lowest at which a contact opens while watched; empty: none in the range
  bool at_start = false;        ///< already at the lowest speed looked at, which stands in `speed`
  double resolved_to = 0.0;     ///< the two speeds it was told between lie so far apart
};

/// Speed of first separation: where the least squeeze of all contacts crosses zero, by a search upward and
/// the finer ones, then a line. Where the squeeze dips between two higher ones without reaching zero, and a
/// resonance of half-power width as wide as the step could have its peak there hidden (it stands out of its
/// surroundings by at most √2 of what was seen), the dip is searched too. Throws as run_valve() and for a
/// range out of order.
Separation first_separation(const RunningLobe& lobe, const ValveTrain& train, const SpeedRange& range,
                            const DynamicsOptions& options = {});

/// Load of all springs with the valve closed that just keeps every contact at a speed, rates as they are, N;
/// nothing where none up to six times the present load does, the least that was tried where any does.
std::optional<double> least_seat_load(const RunningLobe& lobe, const ValveTrain& train, double speed,
                                      const DynamicsOptions& options = {});

/// The same train with its springs' closed loads in proportion to a sum, N; what is left of travel to solid
/// shrinks by what the springs are squeezed more (their rate when closed).
ValveTrain with_seat_load(const ValveTrain& train, double load);

/// Amplitudes of the outermost spring's middle coil by orders of the crank (half orders, since the cam turns
/// at half its speed): element k is that of order (k + 1)/2, m.
std::vector<double> surge_orders(const RunningTrace& trace, int count);

/// A flat tappet on its lobe.
struct TappetFace {
  double base_radius = 0.0;            ///< of the lobe, m; > 0
  double width = 0.0;                  ///< of the contact along the cam, m; > 0
  double contact_modulus = 0.0;        ///< of contact_modulus(), Pa; > 0
  double viscosity = 0.01;             ///< of the oil where it enters, Pa s; > 0
  double pressure_coefficient = 2e-8;  ///< 1/Pa; > 0
  double roughness = 0.4e-6;           ///< of both surfaces together, root mean square, m; > 0
};

struct TappetContact {
  double peak_pressure = 0.0;  ///< Hertz, greatest over the lobe, Pa
  double at = 0.0;             ///< crank angle of it, rad
  double nose_film = 0.0;      ///< Dowson and Higginson at the lobe's top, m
  double film_ratio = 0.0;     ///< over the roughness
};

/// From a state with a trace. The cam's surface passes the contact with ω (R_b + s + s''), the tappet's with
/// ω s'' (ω and the derivatives in cam angle), so that the oil enters with half their sum (a tappet that
/// spins helps, which is left out). Crown and taper are left out: the line contact is as wide as `width`.
/// Nothing where the lobe is undercut for a flat face, or the state has no trace.
std::optional<TappetContact> tappet_contact(const RunningLobe& lobe, const RunningState& state,
                                            const TappetFace& face);

}  // namespace fettle::mechanism
