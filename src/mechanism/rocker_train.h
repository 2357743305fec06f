#pragma once

#include <optional>
#include <string>

#include "mechanism/planar.h"

namespace fettle::mechanism {

/// Tappet, pushrod, rocker and valve in one plane.
///
/// Frame: the origin is the centre of the valve's tip with the valve closed; y along the valve, positive out
/// of the head (the valve opens toward −y); x across it, positive from the rocker's pivot toward the valve's
/// far side. The tip's face is flat and square to the valve. `tip` and `cup` are vectors of the rocker's body
/// from its pivot, in any one posture of it: only the angle between them counts. Pushrod and cup are taken at
/// the centres of their balls. Source: plane geometry.
struct RockerGeometry {
  Planar pivot;                  ///< shaft's axis, or centre of the stud's ball, m; x < 0
  Planar tip;                    ///< pivot to the centre of the tip's circle, m
  double tip_radius = 0.0;       ///< of the pad or the roller, m; >= 0
  Planar cup;                    ///< pivot to the pushrod's ball, m
  double pushrod_length = 0.0;   ///< ball centre to ball centre, m; > 0
  Planar tappet;                 ///< lower ball's centre with the tappet on the base circle, m
  Planar tappet_axis{0.0, 1.0};  ///< direction of the tappet's rise, any length > 0
  Planar mount_axis{0.0, 1.0};   ///< direction in which nut, screw or shim raise the pivot, any length > 0
  Planar deck_normal{0.0, 1.0};  ///< out of the block's deck toward the head, any length > 0
};

/// Why the train cannot stand with the valve closed, in words fit for a builder; nothing if it can.
std::optional<std::string> rocker_problem(const RockerGeometry& geometry);

struct RockerState {
  double rise = 0.0;          ///< tappet's rise since all slack was taken up, m
  double valve_lift = 0.0;    ///< m
  double rocker_angle = 0.0;  ///< turned since valve closed, rad, positive opening
  double contact = 0.0;       ///< x of the contact on the tip, m; positive: beyond its centre, from the pivot
  double ratio = 0.0;         ///< d(valve lift)/d(rise); tappet force over valve force, without friction
  double slip = 0.0;          ///< sliding of a pad on the tip per valve lift, positive toward +x; zero where
                              ///< contact and pivot stand at one height. A roller rolls instead.
  double pushrod_angle = 0.0;  ///< pushrod against the tappet's axis, rad, positive anticlockwise
  double tappet_side = 0.0;    ///< side force on the tappet over the force along it, tan of that angle
  double pushrod_force = 0.0;  ///< force along the pushrod over the force along the valve
};

/// Where the contact wanders on the tip from closed to full lift, m.
struct Sweep {
  double least = 0.0;
  double greatest = 0.0;
  double closed = 0.0;  ///< contact with the valve closed
  double open = 0.0;    ///< at full lift
  double width() const { return greatest - least; }
  double centre() const { return 0.5 * (least + greatest); }
};

/// The train solved exactly at every lift by the intersection of circles. Rigid parts. Every function is a
/// closed form.
class RockerTrain {
 public:
  /// Throws std::invalid_argument with rocker_problem()'s words.
  explicit RockerTrain(const RockerGeometry& geometry);
  /// The train, or nothing where rocker_problem() has something to say.
  static std::optional<RockerTrain> standing(const RockerGeometry& geometry);

  const RockerGeometry& geometry() const { return geometry_; }
  /// Tappet rise from the base circle at which the slack is gone, along its axis, m. Positive: lash at the
  /// tappet. Negative: so much a hydraulic plunger is pushed in (its preload), or a solid tappet holds the
  /// valve open.
  double slack() const { return slack_; }
  /// State at a rise >= 0 past the end of the slack: the lobe's lift, less slack() where it is lash. Nothing
  /// where the train cannot reach so far.
  std::optional<RockerState> at(double rise) const;
  /// Rise that gives a valve lift >= 0; nothing where it cannot be reached.
  std::optional<double> rise_for_lift(double valve_lift) const;
  std::optional<Sweep> sweep(double most_rise) const;

  /// The train with the valve closed.
  struct Closed {
    double tip_angle = 0.0;  ///< direction of `tip`, rad
    Planar cup;              ///< of the pushrod's ball
    double slack = 0.0;
    Planar foot;  ///< lower ball's centre with the slack taken up
  };

 private:
  /// Where the rocker stands at a rise, and what the pushrod does there.
  struct Posture {
    double turn = 0.0;
    Planar tip;
    Planar pushrod;  ///< direction
    double along = 0.0;
    double leverage = 0.0;  ///< of the pushrod about the pivot, positive where it opens
    double ratio() const { return tip.x * along / leverage; }
  };
  RockerTrain(const RockerGeometry& geometry, const Closed& closed);
  std::optional<Posture> posture(double rise) const;

  RockerGeometry geometry_;
  double closed_tip_angle_ = 0.0;  // direction of `tip` with the valve closed
  double closed_cup_angle_ = 0.0;
  double side_ = 1.0;  // on which side of the line from pivot to lower ball the cup stands
  double slack_ = 0.0;
};

/// What is taken off or put between, all m.
struct RockerShift {
  double deck_cut = 0.0;      ///< off the block's deck
  double head_cut = 0.0;      ///< off the head's face
  double gasket = 0.0;        ///< thicker by
  double base_radius = 0.0;   ///< base circle's radius greater by
  double tip_height = 0.0;    ///< valve stands out farther by (longer valve, ground seat)
  double pivot_height = 0.0;  ///< pivot raised along mount_axis by
  double pushrod = 0.0;       ///< longer by
};

/// The geometry after the changes; nothing else is readjusted, so that slack() moves.
RockerGeometry shifted(const RockerGeometry& geometry, const RockerShift& shift);

/// Pushrod length, ball centre to ball centre, that gives the slack, m; nothing where the rocker cannot stand
/// with the valve closed.
std::optional<double> pushrod_for_slack(const RockerGeometry& geometry, double slack);

/// Pushrod, and height of the pivot with it, for a wanted sweep.
struct PushrodChoice {
  double pivot_height = 0.0;    ///< pivot raised along mount_axis by, m
  double pushrod_length = 0.0;  ///< m; slack() stays as it was
  double longer = 0.0;          ///< than it was, m
  Sweep sweep;
};

/// With the pivot adjusted along mount_axis (nut on a stud, shims under a stand) the pushrod sets the sweep.
/// Least sweep: contact at full lift where it was with the valve closed, so that the tip's circle and the
/// pivot stand at equal heights at half the lift. Nothing if there is none within ± `range` of the pivot.
std::optional<PushrodChoice> least_sweep_pushrod(const RockerGeometry& geometry, double most_rise,
                                                 double range);
/// The sweep's centre at `centre` on the tip (0: its middle); of several the one with the least change.
std::optional<PushrodChoice> centred_sweep_pushrod(const RockerGeometry& geometry, double most_rise,
                                                   double range, double centre = 0.0);

}  // namespace fettle::mechanism
