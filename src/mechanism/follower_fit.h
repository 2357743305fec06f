#pragma once

#include <functional>
#include <optional>

#include "mechanism/cam_laws.h"
#include "mechanism/lobe.h"

namespace fettle::mechanism {

/// A number that one place of a lobe gives: a radius of curvature, a contact's offset. Finite where it is
/// defined; NaN where it is not (a hollow flank has no convex radius), and that place is passed over.
using FollowerFigure = std::function<double(const FollowerPoint&)>;

/// The least value of a figure over a lobe that was swept.
struct FollowerExtreme {
  double value = 0.0;
  double u = 0.0;            ///< standard uncertainty from the fit: noise of the points and bias of smoothing
  double dof = 0.0;          ///< degrees of freedom of it
  double crank_angle = 0.0;  ///< where, rad, in the frame of the curve
  FollowerPoint point;       ///< lift and its derivatives over *cam* angle there, m
};

/// The least of a figure between the lobe's lowest crossings (looked at every crank degree and refined by a
/// parabola), lifts and derivatives of the fit taken `to_lobe` times. The doubt is that of the figure at its
/// place, to first order: the place itself may move without changing the least. The figure of a noisy curve
/// is on average a little below that of the true one; nothing is done about that. Nothing where no lobe was
/// found, or the figure is defined nowhere on it. `reduction` must be of fit.curve. Throws
/// std::invalid_argument unless to_lobe > 0.
std::optional<FollowerExtreme> least_on_lobe(const LobeReduction& reduction, const metrology::SplineFit& fit,
                                             const FollowerFigure& figure, double to_lobe = 1.0);

}  // namespace fettle::mechanism
