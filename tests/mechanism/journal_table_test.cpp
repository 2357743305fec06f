#include "mechanism/journal_table.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace fettle::mechanism::test {
namespace {

// Raimondi and Boyd, Trans. ASLE 1 (1958), full bearing, l/d 1: S 0.121 at an eccentricity of 0.6, so that
// 0.4 of the radial clearance is left; the charts' tolerance of 2.5 % of S.
TEST(JournalTable, LeastFilmIsThatOfTheCharts) {
  const JournalTable table(1.0);
  JournalBearing bearing{50e-3, 50e-3, 50e-6, 0.01, 400.0, 0.0};
  const double turns = 400.0 / (2 * std::numbers::pi);
  bearing.load = std::pow(1000.0, 2) * 0.01 * turns / 0.121 * 50e-3 * 50e-3;
  EXPECT_NEAR(table.least_film(bearing).value() * 1e6, 0.4 * 25, 0.025 * 10);
}

// The solver the table stands for, root of S over the eccentricity, between the films of the table.
TEST(JournalTable, AgreesWithTheFilmWorkedOutAnew) {
  for (const double shape : {0.3, 0.9}) {
    const JournalTable table(shape);
    for (const double load : {300.0, 2000.0, 9000.0, 30000.0}) {
      for (const double clearance : {31e-6, 52e-6, 77e-6}) {
        const JournalBearing bearing{54e-3, 54e-3 * shape, clearance, 0.009, 600.0, load};
        const auto state = journal_state(bearing);
        const auto film = table.least_film(bearing);
        ASSERT_EQ(state.has_value(), film.has_value()) << shape << ' ' << load;
        if (state) {
          EXPECT_NEAR(*film / state->least_film, 1, 1e-4) << shape << ' ' << load << ' ' << clearance;
        }
      }
    }
  }
}

TEST(JournalTable, NothingWhereNothingCarries) {
  const JournalTable table(0.5);
  JournalBearing bearing{50e-3, 25e-3, 50e-6, 0.01, 400.0, 1e9};
  EXPECT_FALSE(table.least_film(bearing));
  bearing.load = 1000;
  bearing.diametral_clearance = -1e-6;
  EXPECT_FALSE(table.least_film(bearing));
  bearing.viscosity = 0;
  EXPECT_THROW(static_cast<void>(table.least_film(bearing)), std::invalid_argument);
  EXPECT_THROW(JournalTable(5.0), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
