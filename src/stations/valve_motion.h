#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "mechanism/lobe_card.h"
#include "metrology/periodic_spline.h"
#include "stations/cam_timing.h"

/// How a valve moves, from whatever was read of its lobe: what the stations of the top end look at.
namespace fettle::stations {

/// Lift of one valve over crank angle. The shape is that of the sweep where there is one, else of the card's
/// lobe, else of a usual one; it is bent so that it passes through every event and to the greatest lift that
/// were read: where the doubt of a reading moves an event, the curve moves with it.
class ValveMotion {
 public:
  /// A crank angle of the shape and the one it stands for, both rad.
  struct Node {
    double shape = 0;
    double crank = 0;
  };

  /// `nodes` rise in both members, one at least; outside them the first and last go on unchanged. Lift of the
  /// valve is `factor` times the shape's above `base_level`, less `gap`, and nothing below zero; the shape is
  /// greatest at `shape_top`.
  ValveMotion(std::shared_ptr<const metrology::PeriodicSpline> shape, std::vector<Node> nodes,
              double shape_top, double base_level, double factor, double gap);

  /// m, at a signed crank angle from the cylinder's overlap TDC; with the lash taken up, none below zero.
  double lift(double crank_angle) const;
  /// The same before the lash is taken off, which may be negative where the curve is that of readings.
  double follower_lift(double crank_angle) const;
  double max_lift() const { return max_lift_; }  ///< of the valve, net of lash, m
  double top() const { return top_; }            ///< where it is reached, rad
  /// Where the valve (or, with `ramps`, its follower) leaves and regains rest: lift beyond `least`, m.
  struct Span {
    double from = 0;
    double to = 0;
  };
  Span open_span(double least) const;
  Span follower_span(double least) const;

  std::string basis;  ///< "sweep of cylinder 1", "card's shape through the points read"

 private:
  double shape_angle(double crank_angle) const;
  double crank_of(double shape_angle) const;
  Span span_above(double least, bool of_valve) const;

  std::shared_ptr<const metrology::PeriodicSpline> shape_;
  std::vector<Node> nodes_;
  double base_level_, factor_, gap_;
  double max_lift_ = 0;
  double top_ = 0;
};

/// Valve lift over lobe lift, as the parts say; 1 where nothing is said or the cam works directly.
double rocker_ratio(const build::Build& build, build::Valve valve);

/// Gap in the valve gear when the engine runs, m: typed, 0 for hydraulic lifters.
double running_lash(const build::Build& build, build::Valve valve);

/// Motion of one valve with the cam where it stands (and the what-if's advance). A cylinder whose lobe was
/// not read takes it from the lowest cylinder whose lobe of that kind was. Nothing without true TDC and a
/// lobe read.
std::optional<ValveMotion> valve_motion(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of);

/// Valve lift net of lash, m, and how it was come by.
struct NetLift {
  double lift = 0;
  std::string basis;
};

/// The greatest lift of such a motion, found without placing the rest of it.
std::optional<NetLift> read_net_lift(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of);

}  // namespace fettle::stations
