#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "mechanism/phasing.h"
#include "mechanism/valve_clearance.h"

namespace fettle::mechanism {

enum class ValveKind { intake, exhaust };

/// Crank angles between which a valve is off its base circle, ramps included, rad from its own cylinder's
/// overlap TDC, closes in (opens, opens + 4π). Intake IO to IC, exhaust EO to EC in the signed convention.
struct OffBase {
  double opens = 0.0;
  double closes = 0.0;
};

/// Where a lift curve leaves the base circle and comes back to it: the outermost places, going out from the
/// top, where the lift is still above `threshold` (m; the run-out of the base circle and the noise of the
/// curve must stay below it). Nothing if it never is, or never falls below it.
std::optional<OffBase> off_base(const LiftCurve& lift, double top, double threshold);

/// A valve to be set. Angles from here on count from cylinder 1's *firing* TDC, rad, period 4π.
struct SettableValve {
  int cylinder = 0;
  ValveKind kind = ValveKind::intake;
  double opens = 0.0;
  double closes = 0.0;
};

/// All valves of an engine whose cylinders have one intake and one exhaust profile; cylinder by cylinder,
/// intake first. Throws std::invalid_argument for a profile out of range.
std::vector<SettableValve> settable_valves(const CylinderPhases& phases, const OffBase& intake,
                                           const OffBase& exhaust);

/// Crank angle to the nearest ramp of a valve at a crank position, rad: positive on the base circle, negative
/// while it is off it.
double base_margin(const SettableValve& valve, double crank_angle);

struct SettingPosition {
  double crank_angle = 0.0;            ///< [0, 4π)
  std::optional<int> firing_cylinder;  ///< at its firing TDC here
  bool dead_centre = false;            ///< some piston stands at TDC or BDC (two strokes half a turn apart)
  std::vector<std::size_t> valves;     ///< indices of those to set here: where their margin is the greater
  double least_margin = 0.0;           ///< of those, rad
};

struct SettingPlan {
  std::vector<SettingPosition> positions;  ///< in order of crank angle; the first is set at first
  std::vector<std::size_t> never;  ///< valves whose base circle is too short for the margin, or reached from
                                   ///< none of the places allowed
  bool proven = true;  ///< the number is the least in any case; false: a choice with more dead centres or
                       ///< greater margins may have been missed
};

enum class SettingPlaces {
  any,          ///< with a wheel
  dead_centres  ///< TDC and BDC of some cylinder only, found by their marks; may take more positions
};

/// The fewest crank positions at which every valve can be set with at least `margin` (rad, >= 0) to its
/// ramps. The number is exact (anywhere: stabbing of arcs of a circle, greedy
/// from each arc's end; dead centres: search of growing number). Of all choices of
/// that number the one with the most firing TDCs, then dead centres, then the greatest least margin, then
/// cylinder 1's firing TDC. Decided by the profiles alone, so that odd fire and long cams need no rule.
/// Source of the preference: common practice. Throws std::invalid_argument for a negative margin or valves
/// out of range, or more than 64 of them.
SettingPlan fewest_positions(const CylinderPhases& phases, std::span<const SettableValve> valves,
                             double margin, SettingPlaces places = SettingPlaces::any);

/// One valve at a time, as the trade does it (common practice, no source): the intake when its own exhaust
/// starts to open, the exhaust when its own intake is nearly closed.
struct SingleSetting {
  std::size_t valve = 0;
  double crank_angle = 0.0;  ///< [0, 4π)
  double margin = 0.0;       ///< of the valve there, rad; negative: it must not be set so
};

/// In order of crank angle from cylinder 1's firing TDC. `before_closing`: how long before the intake's ramp
/// ends it counts as nearly closed, rad. Valves without a partner of the other kind are left out.
std::vector<SingleSetting> one_at_a_time(std::span<const SettableValve> valves,
                                         double before_closing = 0.3491);

}  // namespace fettle::mechanism
