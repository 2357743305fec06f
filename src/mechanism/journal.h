#pragma once

#include <optional>

namespace fettle::mechanism {

/// Steady film of a full journal bearing without dimensions, at one eccentricity. r, d, l of the journal, c
/// the *radial* clearance, N rev/s, P = W/(l d).
struct FilmPoint {
  double eccentricity = 0.0;    ///< ε, offset of the journal over c, (0, 1)
  double sommerfeld = 0.0;      ///< S = (r/c)² μ N/P
  double attitude = 0.0;        ///< angle from the load's line to the least film, rad
  double friction = 0.0;        ///< (r/c) f
  double side_flow = 0.0;       ///< Q_s/(r c N l), oil lost at both ends
  double pressure_ratio = 0.0;  ///< P/p_max
};

/// Reynolds' equation in two dimensions: pressure zero at the ends and where the film is thickest, rupture
/// where it would turn negative, with no slope there (Swift and Stieber). Finite volumes of second order,
/// closer around the least film, over half the length; the cells that carry pressure are found by an active
/// set, exact for the discrete problem. Friction as if the gap were full all round. Constant viscosity,
/// laminar, rigid, aligned, no supply groove. Source: Raimondi and Boyd, Trans. ASLE 1, 1958, whose charts it
/// follows within 2.5 %; Shigley, chapter 12. Throws std::invalid_argument unless ε in [0.01, 0.97] and l/d
/// in [0.1, 4].
FilmPoint journal_film(double length_over_diameter, double eccentricity);

/// A plain bearing at work under a steady load. Crank bearings carry loads that turn and hammer: the least
/// film of the mean load ranks clearances and oils, it is not the least film of the cycle.
struct JournalBearing {
  double diameter = 0.0;             ///< m; > 0
  double length = 0.0;               ///< m; > 0, l/d in [0.1, 4]
  double diametral_clearance = 0.0;  ///< running, m; > 0
  double viscosity = 0.0;            ///< at the film's temperature, Pa s; > 0
  double speed = 0.0;                ///< rad/s; > 0
  double load = 0.0;                 ///< N; > 0
};

struct JournalState {
  FilmPoint film;
  double least_film = 0.0;       ///< c (1 − ε), m
  double friction_torque = 0.0;  ///< N m
  double power = 0.0;            ///< lost in the film, W
  double side_flow = 0.0;        ///< m³/s
  double peak_pressure = 0.0;    ///< Pa
};

/// The film that carries the load (root of S over ε; some 20 ms, 2 ms a film). Nothing where ε would lie
/// outside [0.01, 0.97]. Throws std::invalid_argument for numbers out of range.
std::optional<JournalState> journal_state(const JournalBearing& bearing);

}  // namespace fettle::mechanism
