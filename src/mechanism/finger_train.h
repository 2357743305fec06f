#pragma once

#include <optional>
#include <string>

#include "mechanism/planar.h"
#include "mechanism/rocker_train.h"
#include "mechanism/valve_clearance.h"

namespace fettle::mechanism {

/// Finger follower under an overhead cam: pivot at one end, valve at the other, the cam on a pad or roller
/// between. Frame of RockerGeometry: origin at the closed valve's tip, y along the valve out of the head, x
/// from pivot toward valve. `tip` and `roller` are vectors of the finger's body in any one posture.
struct FingerGeometry {
  Planar pivot;                ///< m; x < 0
  Planar tip;                  ///< pivot to the centre of the tip's circle, m
  double tip_radius = 0.0;     ///< m; >= 0
  Planar roller;               ///< pivot to the centre of roller or pad, m
  double roller_radius = 0.0;  ///< m; > 0
  Planar cam;                  ///< cam's axis, m
  double base_radius = 0.0;    ///< of the cam, m; > 0
};

/// Why the finger cannot stand with the valve closed, in words fit for a builder; nothing if it can.
std::optional<std::string> finger_problem(const FingerGeometry& geometry);

struct FingerState {
  double rise = 0.0;          ///< of the roller's centre from the cam's axis since the slack was gone, m
  double valve_lift = 0.0;    ///< m
  double finger_angle = 0.0;  ///< turned since valve closed, rad, positive opening
  double contact = 0.0;       ///< x of the contact on the valve's tip, m
  double ratio = 0.0;         ///< d(valve lift)/d(rise)
  double swing = 0.0;         ///< turn of the line from cam to roller since valve closed, rad, anticlockwise
};

/// Way the cam turns, seen in the frame.
enum class CamTurn { anticlockwise, clockwise };

/// Closed forms by the intersection of circles; rigid parts. Source: plane geometry.
class FingerTrain {
 public:
  /// Throws std::invalid_argument with finger_problem()'s words.
  explicit FingerTrain(const FingerGeometry& geometry);

  /// Room between base circle and roller with the valve closed, m: lash there if positive; negative: so much
  /// the pivot (a hydraulic one) must give way, or the valve stands open.
  double slack() const { return slack_; }
  /// State at a rise >= 0 past the slack; nothing where the finger cannot reach.
  std::optional<FingerState> at(double rise) const;
  /// State at a cam angle, rad, for a cam whose profile is given as the lift it would give a roller of this
  /// radius on a line through its axis, over cam angle (greatest lift at most `most_profile`): the roller
  /// swings about the cam while it rises, and meets the profile earlier or later for it. Lash at the roller,
  /// m, >= 0, is taken off the profile. Nothing where the finger cannot follow.
  std::optional<FingerState> at_cam_angle(const LiftCurve& profile, double most_profile, double cam_angle,
                                          CamTurn turn, double lash = 0.0) const;
  std::optional<Sweep> sweep(double most_rise) const;

 private:
  FingerGeometry geometry_;
  double closed_tip_angle_ = 0.0;
  double closed_roller_angle_ = 0.0;
  double closed_distance_ = 0.0;  // from cam's axis to roller's centre
  double closed_line_ = 0.0;      // direction from the cam to the roller
  double side_ = 1.0;
  double slack_ = 0.0;
};

}  // namespace fettle::mechanism
