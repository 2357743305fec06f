#pragma once

#include "mechanism/rocker_train.h"
#include "mechanism/units.h"

namespace fettle::mechanism::test {

/// The rocker of an invented pushrod V8: a ratio of 1.5, the valve leaning to the tappet, the slack just
/// taken up.
inline RockerGeometry street_rocker() {
  RockerGeometry g;
  g.pivot = {-1.50 * inch, -0.05 * inch};
  g.tip = {1.50 * inch, 0.40 * inch};
  g.tip_radius = 0.35 * inch;
  g.cup = {-0.98 * inch, 0.12 * inch};
  g.tappet = {-3.9 * inch, -7.3 * inch};
  g.tappet_axis = {-0.10, 1.0};
  g.pushrod_length = *pushrod_for_slack(g, 0.0);
  return g;
}

}  // namespace fettle::mechanism::test
