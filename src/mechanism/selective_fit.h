#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <Eigen/Core>

/// Selective fitting: which part goes to which place so that the clearances of an engine lie as close
/// together as the parts in hand allow.
namespace fettle::mechanism {

/// The accepted clearances, m; both ends belong to it.
struct FitBand {
  double least = -std::numeric_limits<double>::infinity();
  double greatest = std::numeric_limits<double>::infinity();
};

struct Fit {
  std::vector<std::size_t> part_of_place;
  double least = 0;     ///< clearance of the tightest place, m
  double greatest = 0;  ///< of the loosest
};

/// The pairing in which every place has a part of its own, every clearance(place, part) lies in the band, and
/// the greatest less the least of them is least; of several such, one whose middle is nearest to that of the
/// band, and of those one that leaves the most places with the part they have `now`. Lengths that differ by
/// less than 1 nm count as the same. Places <= parts; `now` names a part for every place, or is empty.
/// Nothing where no pairing keeps the band. Exact: every window of clearances is tried from its lower end up,
/// each by a complete pairing (the balanced assignment of Martello, Pulleyblank, Toth and de Werra,
/// Operations Research Letters 3, 1984). Throws std::invalid_argument for clearances that are not finite and
/// for sizes that do not fit.
std::optional<Fit> least_spread(const Eigen::MatrixXd& clearance, const FitBand& band = {},
                                std::span<const std::size_t> now = {});

/// Bearing shells of one size.
struct ShellSize {
  double change = 0;      ///< of the clearance by a whole pair, m; half of it by each half
  std::size_t pairs = 0;  ///< in hand: so many upper and so many lower halves
};

struct ShellPair {
  std::size_t upper = 0;  ///< place among the sizes
  std::size_t lower = 0;
};

struct ShellChoice {
  bool found = false;
  std::string summary;
  std::vector<ShellPair> pairs;  ///< one a journal
  double least = 0;              ///< clearances with them, m
  double greatest = 0;
};

/// Shells for journals whose clearances with standard shells are known: all in the band, greatest less least
/// clearance least; of several such choices one whose middle is nearest to that of the band, and of those one
/// with the fewest mixed pairs. Halves of two sizes stand together only where the sizes differ by no more
/// than `most_mixed`. Exact, by trying; gives up, and says so, where that would take more than some seconds
/// (many sizes, all of them short). Throws std::invalid_argument for numbers that are not finite.
ShellChoice choose_shells(std::span<const ShellSize> sizes, std::span<const double> standard_clearances,
                          const FitBand& band, double most_mixed);

}  // namespace fettle::mechanism
