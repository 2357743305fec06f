#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "mechanism/slider_crank.h"

namespace fettle::mechanism {

/// Lift, m, over crank angle from the cylinder's overlap TDC, rad.
using LiftCurve = std::function<double(double crank_angle)>;

/// A valve's motion: lift = ratio × lobe(x + advance) − lash, never below zero.
struct ValveMotion {
  LiftCurve lobe;        ///< at the tappet, or at the valve with ratio 1
  double ratio = 1.0;    ///< > 0
  double lash = 0.0;     ///< at the valve, m
  double advance = 0.0;  ///< crank rad by which the cam is advanced: every event comes so much earlier
};
double valve_lift(const ValveMotion& motion, double crank_angle);

/// Along-valve approach of a surface of the piston per travel along the bore: cos ν/cos(β − ν), β the angle
/// of valve to bore and ν that of the surface's normal to the bore, in one plane, rad. A notch floor parallel
/// to the valve's head (ν = β) gives cos β, a flat crown (ν = 0), which the head's edge strikes, 1/cos β.
/// Throws std::invalid_argument unless |β| < 80 degrees and cos ν, cos(β − ν) > 0.1.
double approach_factor(double valve_angle, double surface_angle);

/// How far the valve could be pushed open, along itself, before it touches the piston.
struct ValveDropReading {
  double crank_angle = 0.0;  ///< from overlap TDC, rad
  double drop = 0.0;         ///< m
};

enum class DropShape {
  constant,  ///< the piston's travel explains the map but for a constant; one reading or more
  line       ///< what it leaves may run as a line in crank angle (angles a little off); two angles or more
};

/// drop(x) = approach × s(x) + residual(x), s the piston's exact depth below TDC and the residual a constant
/// or a line through what the readings leave, by least squares. One reading at TDC gives drop0 + approach s.
/// It goes on the same way outside the map.
class ValveDrop {
 public:
  /// Throws std::invalid_argument for too few readings or numbers that are not finite, and unless approach >
  /// 0.
  ValveDrop(const SliderCrank& crank, double approach, std::span<const ValveDropReading> readings,
            DropShape shape = DropShape::constant);
  double at(double crank_angle) const;                                 ///< m
  bool mapped(double crank_angle) const;                               ///< between the outermost readings
  const std::vector<double>& residuals() const { return residuals_; }  ///< reading less curve, m
  double approach() const { return approach_; }
  const SliderCrank& crank() const { return crank_; }

 private:
  SliderCrank crank_;
  double approach_ = 1.0;
  double constant_ = 0.0;
  double slope_ = 0.0;   // m/rad
  double centre_ = 0.0;  // rad
  double first_ = 0.0;
  double last_ = 0.0;
  std::vector<double> residuals_;
};

/// Crank angles to search, rad from overlap TDC; to > from.
struct ClearanceRange {
  double from = -1.0472;
  double to = 1.0472;
};

struct LeastClearance {
  double clearance = 0.0;    ///< along the valve, m; negative: it strikes
  double crank_angle = 0.0;  ///< where, rad from overlap TDC
  double per_advance = 0.0;  ///< change of it per advance of the cam, m/rad (crank)
  bool at_edge = false;      ///< least at an end of the range: it may be less beyond
  bool mapped = false;       ///< the place lies between the drop readings (one at TDC maps TDC only)
};

/// Clearance along the valve, drop − lift, m, at one crank angle, and the least of it: every local minimum of
/// a grid of 2.5 degrees refined by Brent's method to some 1e-12 m. Throws std::invalid_argument for an empty
/// range, a ratio that is not positive, or a lobe that gives no finite lift.
double valve_clearance(const ValveDrop& drop, const ValveMotion& motion, double crank_angle);
LeastClearance least_clearance(const ValveDrop& drop, const ValveMotion& motion,
                               const ClearanceRange& range = {});

/// Advances relative to motion.advance over which the least clearance stays at or above `limit`.
struct CamWindow {
  std::optional<double> most_retard;   ///< rad, most often negative; empty: beyond the search
  std::optional<double> most_advance;  ///< rad; empty: beyond the search
  bool holds_now = false;              ///< advance zero lies in it
};

/// The unbroken window that holds the cam as it is, or else the nearest to it, searched to ± `search` by
/// steps of 1 degree and then bracketed roots (to 1e-9 rad); nothing if there is none. `limit` includes
/// whatever guard and allowance is wanted.
std::optional<CamWindow> cam_window(const ValveDrop& drop, const ValveMotion& motion, double limit,
                                    double search, const ClearanceRange& range = {});

/// What two valves on one cam both allow; nothing if that is no window.
std::optional<CamWindow> both(const CamWindow& a, const CamWindow& b);

}  // namespace fettle::mechanism
