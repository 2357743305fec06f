// Parts for places that stand in groups: mechanism::least_group_spread().

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <stdexcept>

#include "mechanism/selective_fit.h"

namespace fettle::mechanism {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double same = 1e-9;
using Allowed = Eigen::Array<bool, Eigen::Dynamic, Eigen::Dynamic>;

/// Goes over the ways to fill the groups one after the other, each state the set of parts used up.
class GroupSearch {
 public:
  GroupSearch(std::span<const double> weights, const GroupedPlaces& places, const Allowed& allowed,
              std::span<const std::size_t> now)
      : weights_(weights), places_(places), allowed_(allowed), now_(now) {}

  /// All sums that any group can come to.
  std::vector<double> sums() {
    std::vector<double> all;
    for (const auto& group : places_.groups) {
      fill(group, 0, [&](std::uint32_t, double sum, int) { all.push_back(sum); });
    }
    return all;
  }

  /// The parts by place with every group's sum in the window, the fewest of them moved.
  std::optional<std::vector<std::size_t>> within(double least, double greatest) {
    const std::size_t states = std::size_t{1} << weights_.size();
    constexpr int none = std::numeric_limits<int>::max();
    std::vector<int> moves(states, none);
    std::vector<std::vector<std::size_t>> chosen(states);  // the parts of the group filled last
    std::vector<std::uint32_t> before(states, 0);
    std::vector<std::uint32_t> reached{0};
    moves[0] = 0;
    for (const auto& group : places_.groups) {
      std::vector<std::uint32_t> next;
      for (const std::uint32_t from : reached) {
        fill(group, from, [&](std::uint32_t used, double sum, int moved) {
          if (sum < least - same || sum > greatest + same || moves[from] + moved >= moves[used]) {
            return;
          }
          if (moves[used] == none) {
            next.push_back(used);
          }
          moves[used] = moves[from] + moved;
          before[used] = from;
          chosen[used] = parts_;
        });
      }
      reached = std::move(next);
    }
    if (reached.empty()) {
      return std::nullopt;
    }
    std::vector<std::size_t> part_of_place(weights_.size());
    std::uint32_t state = reached.front();
    for (std::size_t g = places_.groups.size(); g-- > 0; state = before[state]) {
      for (std::size_t i = 0; i < places_.groups[g].size(); ++i) {
        part_of_place[places_.groups[g][i]] = chosen[state][i];
      }
    }
    return part_of_place;
  }

 private:
  /// Calls `each` with the parts used, the sum and the parts moved, of every way to fill one group.
  template <class Each>
  void fill(const std::vector<std::size_t>& group, std::uint32_t used, Each each) {
    parts_.clear();
    descend(group, used, 0, 0, each);
  }

  template <class Each>
  void descend(const std::vector<std::size_t>& group, std::uint32_t used, double sum, int moved, Each& each) {
    if (parts_.size() == group.size()) {
      each(used, sum, moved);
      return;
    }
    const std::size_t place = group[parts_.size()];
    for (std::size_t part = 0; part < weights_.size(); ++part) {
      const std::uint32_t bit = std::uint32_t{1} << part;
      if ((used & bit) != 0 || !allowed_(static_cast<Eigen::Index>(place), static_cast<Eigen::Index>(part))) {
        continue;
      }
      parts_.push_back(part);
      const int more = !now_.empty() && now_[place] != part ? 1 : 0;
      descend(group, used | bit, sum + weights_[part] + places_.fixed[place], moved + more, each);
      parts_.pop_back();
    }
  }

  std::span<const double> weights_;
  const GroupedPlaces& places_;
  const Allowed& allowed_;
  std::span<const std::size_t> now_;
  std::vector<std::size_t> parts_;
};

int moved(const std::vector<std::size_t>& part_of_place, std::span<const std::size_t> now) {
  int count = 0;
  for (std::size_t place = 0; place < now.size(); ++place) {
    count += part_of_place[place] != now[place] ? 1 : 0;
  }
  return count;
}

void check(std::span<const double> weights, const GroupedPlaces& places, const Allowed& allowed,
           std::span<const std::size_t> now) {
  const auto finite = [](double value) { return std::isfinite(value); };
  if (!std::all_of(weights.begin(), weights.end(), finite) ||
      !std::all_of(places.fixed.begin(), places.fixed.end(), finite)) {
    throw std::invalid_argument("least_group_spread: every weight must be finite");
  }
  std::vector<std::size_t> all;
  for (const auto& group : places.groups) {
    all.insert(all.end(), group.begin(), group.end());
  }
  std::sort(all.begin(), all.end());
  bool each_once = all.size() == weights.size() && !all.empty();
  for (std::size_t i = 0; each_once && i < all.size(); ++i) {
    each_once = all[i] == i;
  }
  const auto count = static_cast<Eigen::Index>(weights.size());
  if (!each_once || weights.size() > most_grouped_parts || places.fixed.size() != weights.size() ||
      allowed.rows() != count || allowed.cols() != count || (!now.empty() && now.size() != weights.size())) {
    throw std::invalid_argument("least_group_spread: each place in one group, and a part for each");
  }
}

}  // namespace

std::optional<Fit> least_group_spread(std::span<const double> weights, const GroupedPlaces& places,
                                      const Allowed& allowed, std::span<const std::size_t> now) {
  check(weights, places, allowed, now);
  GroupSearch search(weights, places, allowed, now);
  std::vector<double> ends = search.sums();
  std::sort(ends.begin(), ends.end());
  ends.erase(std::unique(ends.begin(), ends.end(), [](double a, double b) { return b - a < same; }),
             ends.end());
  std::optional<Fit> best;
  std::size_t upper = 0;
  // A window that holds a feasible one is feasible: the upper end only ever moves up.
  for (std::size_t lower = 0; lower < ends.size(); ++lower) {
    upper = std::max(upper, lower);
    auto chosen = search.within(ends[lower], ends[upper]);
    while (!chosen && ++upper < ends.size()) {
      chosen = search.within(ends[lower], ends[upper]);
    }
    if (!chosen) {
      break;
    }
    const double wider = best ? ends[upper] - ends[lower] - (best->greatest - best->least) : -infinity;
    if (wider < -same || (wider < same && moved(*chosen, now) < moved(best->part_of_place, now))) {
      best = Fit{std::move(*chosen), ends[lower], ends[upper]};
    }
  }
  return best;
}

}  // namespace fettle::mechanism
