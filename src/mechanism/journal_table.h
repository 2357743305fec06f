#pragma once

#include <memory>
#include <optional>

#include "mechanism/journal.h"

namespace fettle::mechanism {

/// The film of journals of one shape, worked out once over the eccentricity and read off between: for when
/// the same bearing is asked for at many clearances. ln S over ln(ε/(1 − ε)), whose slope goes smoothly from
/// −1 (light load) to −2 (heavy), by a cubic spline through 49 films (some 0.1 s in all); the least film
/// agrees with that of journal_state within 1e-4. Range and source as there.
class JournalTable {
 public:
  /// Throws std::invalid_argument unless l/d lies in [0.1, 4].
  explicit JournalTable(double length_over_diameter);

  /// c (1 − ε), m, of a bearing whose l/d is taken for that of the table. Nothing where ε would lie outside
  /// [0.01, 0.97], or where there is no clearance left. Throws std::invalid_argument for other numbers out of
  /// range.
  std::optional<double> least_film(const JournalBearing& bearing) const;

 private:
  struct Spline;
  std::shared_ptr<const Spline> spline_;
};

}  // namespace fettle::mechanism
