#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <vector>

namespace fettle::mechanism {

/// Shims of one thickness in the drawer.
struct ShimStock {
  double thickness = 0.0;  ///< m; > 0
  int count = 0;           ///< >= 0
};

/// A spring that shims can stand under.
struct ShimmableSpring {
  std::function<double(double stack)> seat_load;  ///< seat load, N, over thickness of the stack, m; growing
  double thickest_stack = 0.0;                    ///< m; what the bind margin allows, >= 0
};

struct ShimLimits {
  double least_load = 0.0;     ///< N
  double greatest_load = 0.0;  ///< N; >= least_load
  int most_per_stack = 3;      ///< shims under one spring, 0..5
};

struct ShimStack {
  std::vector<std::size_t> shims;  ///< indices into the stock, repeats as often as used
  double thickness = 0.0;          ///< m
  double seat_load = 0.0;          ///< N
};

/// A spring that no stack brings within the limits, and the stack that comes nearest.
struct UnreachableSpring {
  std::size_t spring = 0;
  ShimStack nearest;
  double off = 0.0;  ///< N; negative: below the least load by so much, positive: above the greatest
};

/// Shims that the drawer lacks.
struct MissingShims {
  std::size_t stock = 0;  ///< index of the thickness
  int count = 0;          ///< > 0
};

struct ShimChoice {
  bool found = false;             ///< every spring is brought within the limits
  std::vector<ShimStack> stacks;  ///< one for each spring, in their order; empty unless found
  int shims = 0;                  ///< used in all
  double spread = 0.0;            ///< greatest less least seat load over the set, N
  bool proven = true;  ///< false: the search was cut short, fewer shims or a smaller spread may be possible
  std::vector<UnreachableSpring> unreachable;  ///< springs that cannot be brought in even on their own
  std::vector<MissingShims> missing;  ///< each spring could be, but not all at once: what the choice with the
                                      ///< fewest shims for each spring would need beyond the stock
  std::string summary;                ///< how it went, in words fit for a builder
};

/// The stacks that bring every spring's seat load within the limits (ends included) with the fewest shims in
/// all and, among those, the least spread of seat loads over the set, no shim being used more often than
/// there are of it. Exact search over all stacks of at most `most_per_stack` shims, by feasibility of each
/// total and of each window of loads, with the states that failed remembered; cut short after
/// `most_states` states (never in a usual drawer: some 6 thicknesses, 16 springs), and then said so. Throws
/// std::invalid_argument for thicknesses, counts or limits out of range, or a seat load that is not finite.
ShimChoice choose_shims(std::span<const ShimStock> stock, std::span<const ShimmableSpring> springs,
                        const ShimLimits& limits, std::size_t most_states = 2'000'000);

}  // namespace fettle::mechanism
