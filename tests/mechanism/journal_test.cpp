#include "mechanism/journal.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

using std::numbers::pi;

// Raimondi and Boyd, Trans. ASLE 1 (1958), full bearing; tolerance 2.5 %.
TEST(Journal, RaimondiAndBoyd) {
  const double table[][4] = {{1.0, 0.2, 0.631, 12.8},  {1.0, 0.4, 0.264, 5.79}, {1.0, 0.6, 0.121, 3.22},
                             {1.0, 0.8, 0.0446, 1.70}, {0.5, 0.4, 0.779, 17.0}, {0.5, 0.6, 0.319, 8.10},
                             {0.5, 0.8, 0.0923, 3.26}};
  for (const auto& [shape, eccentricity, sommerfeld, friction] : table) {
    const FilmPoint film = journal_film(shape, eccentricity);
    EXPECT_NEAR(film.sommerfeld / sommerfeld, 1.0, 0.025) << shape << ' ' << eccentricity;
    EXPECT_NEAR(film.friction / friction, 1.0, 0.025) << shape << ' ' << eccentricity;
  }
}

// The same table, l/d 1 at ε 0.6: attitude 50.58 degrees, Q 4.33 of which 0.680 leaves at the sides, P/p_max
// 0.415; from memory.
TEST(Journal, AttitudeSideFlowAndPeakPressure) {
  const FilmPoint film = journal_film(1.0, 0.6);
  EXPECT_NEAR(film.attitude / degree, 50.58, 0.02 * 50.58);
  EXPECT_NEAR(film.side_flow / (4.33 * 0.680), 1.0, 0.025);
  EXPECT_NEAR(film.pressure_ratio / 0.415, 1.0, 0.025);
}

// Ocvirk's short bearing (Cameron; Shigley's references), the limit of small l/d: with the converging half
// only, W = μ U l³ ε/(4 c² (1 − ε²)²) sqrt(π² (1 − ε²) + 16 ε²), tan φ = π sqrt(1 − ε²)/(4 ε). A finite
// length departs from it by (l/d)², which two lengths take out; 1/4 % is left by ten intervals along the
// parabola of pressure.
TEST(Journal, ShortBearingsTendToOcvirk) {
  for (const double e : {0.2, 0.5, 0.7}) {
    const double m = 1.0 - e * e;
    const auto departure = [&](double shape) {
      // S = (r/c)² μ N l d/W with U = 2 π r N.
      const double sommerfeld = m * m / (pi * e * std::sqrt(pi * pi * m + 16.0 * e * e)) / (shape * shape);
      return journal_film(shape, e).sommerfeld / sommerfeld - 1.0;
    };
    EXPECT_GT(departure(0.2) / departure(0.1), 2.5) << e;
    EXPECT_NEAR((4.0 * departure(0.1) - departure(0.2)) / 3.0, 0.0, 0.004) << e;
    EXPECT_NEAR(journal_film(0.1, e).attitude / std::atan(pi * std::sqrt(m) / (4.0 * e)), 1.0, 0.005) << e;
  }
}

// Petroff's law, the limit of a centred journal: (r/c) f = 2 π² S.
TEST(Journal, ALightLoadFollowsPetroff) {
  const FilmPoint film = journal_film(1.0, 0.01);
  EXPECT_NEAR(film.friction / (2.0 * pi * pi * film.sommerfeld), 1.0, 1e-3);
}

TEST(Journal, ABearingAtWorkUndoesItsFilm) {
  JournalBearing bearing{50e-3, 25e-3, 50e-6, 0.01, 400.0, 0.0};
  const FilmPoint film = journal_film(0.5, 0.7);
  const double turns = 400.0 / (2 * pi);
  bearing.load = std::pow(1000.0, 2) * 0.01 * turns / film.sommerfeld * 25e-3 * 50e-3;
  const auto state = journal_state(bearing);
  ASSERT_TRUE(state);
  EXPECT_NEAR(state->film.eccentricity, 0.7, 1e-9);
  EXPECT_NEAR(state->least_film * 1e6, 7.5, 1e-6);
  EXPECT_NEAR(state->friction_torque, film.friction / 1000.0 * bearing.load * 25e-3, 1e-9);
  EXPECT_NEAR(state->power, state->friction_torque * 400.0, 1e-9);
  // Smooth: differences of two sizes agree.
  const auto least = [&](double change) {
    JournalBearing other = bearing;
    other.diametral_clearance *= 1.0 + change;
    return journal_state(other)->least_film;
  };
  const double fine = (least(1e-4) - least(-1e-4)) / 2e-4;
  const double coarse = (least(1e-2) - least(-1e-2)) / 2e-2;
  EXPECT_NEAR(fine / coarse, 1.0, 0.02);
  bearing.load = 1e9;
  EXPECT_FALSE(journal_state(bearing));
  bearing.load = 0.0;
  EXPECT_THROW(static_cast<void>(journal_state(bearing)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(journal_film(1.0, 0.99)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
