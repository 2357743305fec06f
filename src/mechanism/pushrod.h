#pragma once

#include <optional>
#include <string>

namespace fettle::mechanism {

/// A pushrod as a round tube of even section between pinned ends.
struct PushrodTube {
  double length = 0.0;            ///< between the ball centres, m; > 0
  double outside_diameter = 0.0;  ///< m; > 0
  double wall = 0.0;              ///< m; (0, outside/2], at half the diameter a solid rod
  double elastic_modulus = 0.0;   ///< Pa; > 0
  double yield_strength = 0.0;    ///< Pa; > 0
  double density = 0.0;           ///< kg/m³; > 0
};

/// Why there is no such tube, in words fit for a builder; nothing if there is.
std::optional<std::string> pushrod_problem(const PushrodTube& tube);

struct PushrodColumn {
  double area = 0.0;                    ///< m²
  double inertia = 0.0;                 ///< second moment, m⁴
  double gyration_radius = 0.0;         ///< k, m
  double slenderness = 0.0;             ///< l/k
  double transition_slenderness = 0.0;  ///< (l/k)₁ = sqrt(2 π² C E/Sy): Euler above, Johnson below
  bool euler = false;
  double buckling_load = 0.0;    ///< N
  double axial_stiffness = 0.0;  ///< E A/l, N/m, the tube alone: tips and oil film not in it
  double mass = 0.0;             ///< kg, the tube alone
};

/// Column of Euler, π² C E I/l², or of J. B. Johnson, A (Sy − (Sy l/(2 π k))²/(C E)); they meet with the same
/// value and slope at (l/k)₁. `end_fixity` C: 1 for pinned ends, which ball ends are. The load is central and
/// the rod straight; ends, tip radii and tapers are left out. Source: Shigley, *Mechanical Engineering
/// Design*, sections 4-12 and 4-13. Throws std::invalid_argument with pushrod_problem()'s words, or unless
/// end_fixity > 0.
PushrodColumn pushrod_column(const PushrodTube& tube, double end_fixity = 1.0);

}  // namespace fettle::mechanism
