#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <Eigen/Core>

/// Selective fitting: which part goes to which place so that the clearances of an engine, its weights or its
/// volumes lie as close together as the parts in hand allow.
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
/// Nothing where no pairing keeps the band; +infinity forbids a pair. Exact: every window of clearances is
/// tried from its lower end up, each by a complete pairing (the balanced assignment of Martello, Pulleyblank,
/// Toth and de Werra, Operations Research Letters 3, 1984). Throws std::invalid_argument for NaN, -infinity
/// and sizes that do not fit. The same serves other quantities than lengths, whose unit is then that of the
/// nanometre's 1e-9.
std::optional<Fit> least_spread(const Eigen::MatrixXd& clearance, const FitBand& band = {},
                                std::span<const std::size_t> now = {});

/// Parts for places that stand in groups, such as a piston with its rod for each of the cylinders on a crank
/// pin.
struct GroupedPlaces {
  std::vector<std::vector<std::size_t>> groups;  ///< every place once
  std::vector<double> fixed;                     ///< what a place has by itself, one a place
};

/// The pairing of parts with places in which the sums over the groups of what the parts weigh and the places
/// have by themselves lie closest together; of several such, one that leaves the most places with the part
/// they have `now`. As many parts as places, at most 12; allowed(place, part) false forbids a pair. `least`
/// and `greatest` of the result are of the groups' sums. Nothing where the forbidden pairs leave no pairing.
/// Exact: every window of sums is tried from its lower end up, each by going over the sets of parts used up
/// group by group. Throws std::invalid_argument for weights that are not finite and for sizes that do not
/// fit.
std::optional<Fit> least_group_spread(std::span<const double> weights, const GroupedPlaces& places,
                                      const Eigen::Array<bool, Eigen::Dynamic, Eigen::Dynamic>& allowed,
                                      std::span<const std::size_t> now);
inline constexpr std::size_t most_grouped_parts = 12;

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
