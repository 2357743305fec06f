#include "mechanism/shim_choice.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <set>
#include <stdexcept>

#include <fmt/format.h>

namespace fettle::mechanism {

namespace {

// The thickness of a stack is a sum of floating numbers and may pass its limit by their rounding.
constexpr double rounding = 1e-12;

using Usage = std::vector<int>;  // of each thickness

struct Option {
  Usage usage;
  int shims = 0;
  double thickness = 0.0;
  double load = 0.0;
};

void extend(std::span<const ShimStock> stock, std::size_t from, int most, Option& stack,
            std::vector<Option>& all) {
  all.push_back(stack);
  for (std::size_t i = from; i < stock.size() && stack.shims < most; ++i) {
    if (stack.usage[i] < stock[i].count) {
      const double before = stack.thickness;
      ++stack.usage[i];
      ++stack.shims;
      stack.thickness += stock[i].thickness;
      extend(stock, i, most, stack, all);
      stack.thickness = before;
      --stack.shims;
      --stack.usage[i];
    }
  }
}

// All stacks the drawer allows, fewest shims first.
std::vector<Option> all_stacks(std::span<const ShimStock> stock, int most) {
  std::vector<Option> all;
  Option empty;
  empty.usage.assign(stock.size(), 0);
  extend(stock, 0, most, empty, all);
  std::stable_sort(all.begin(), all.end(),
                   [](const Option& a, const Option& b) { return a.shims < b.shims; });
  return all;
}

ShimStack as_stack(const Option& option) {
  ShimStack stack;
  for (std::size_t i = 0; i < option.usage.size(); ++i) {
    stack.shims.insert(stack.shims.end(), static_cast<std::size_t>(option.usage[i]), i);
  }
  stack.thickness = option.thickness;
  stack.seat_load = option.load;
  return stack;
}

/// Whether options can be chosen, one a spring, within stock, a total and a window of loads.
class Feasibility {
 public:
  Feasibility(std::span<const ShimStock> stock, const std::vector<std::vector<Option>>& options,
              std::size_t most_states)
      : stock_(stock), options_(options), order_(options.size()), states_left_(most_states) {
    std::iota(order_.begin(), order_.end(), std::size_t{0});
    std::sort(order_.begin(), order_.end(), [&](std::size_t a, std::size_t b) {
      return options[a].size() != options[b].size() ? options[a].size() < options[b].size() : a < b;
    });
  }

  std::optional<std::vector<const Option*>> solve(int total, double least_load, double greatest_load) {
    allowed_.assign(options_.size(), {});
    fewest_after_.assign(options_.size() + 1, 0);
    for (std::size_t place = options_.size(); place-- > 0;) {
      for (const Option& option : options_[order_[place]]) {
        if (option.load >= least_load && option.load <= greatest_load) {
          allowed_[place].push_back(&option);
        }
      }
      if (allowed_[place].empty()) {
        return std::nullopt;
      }
      fewest_after_[place] = fewest_after_[place + 1] + allowed_[place].front()->shims;
    }
    failed_.clear();
    chosen_.assign(options_.size(), nullptr);
    Usage used(stock_.size(), 0);
    if (!place_spring(0, total, used)) {
      return std::nullopt;
    }
    return chosen_;
  }

  bool cut_short() const { return states_left_ == 0; }

 private:
  // What is left to spend follows from `used`, so that it need not be remembered with it.
  bool place_spring(std::size_t place, int left, Usage& used) {
    if (place == options_.size()) {
      return true;
    }
    if (left < fewest_after_[place] || states_left_ == 0 || failed_.count({place, used}) != 0) {
      return false;
    }
    --states_left_;
    for (const Option* option : allowed_[place]) {
      if (left - option->shims < fewest_after_[place + 1]) {
        break;  // the others take no fewer
      }
      bool in_stock = true;
      for (std::size_t i = 0; i < used.size(); ++i) {
        used[i] += option->usage[i];
        in_stock = in_stock && used[i] <= stock_[i].count;
      }
      chosen_[order_[place]] = option;
      const bool done = in_stock && place_spring(place + 1, left - option->shims, used);
      for (std::size_t i = 0; i < used.size(); ++i) {
        used[i] -= option->usage[i];
      }
      if (done) {
        return true;
      }
    }
    failed_.insert({place, used});
    return false;
  }

  std::span<const ShimStock> stock_;
  const std::vector<std::vector<Option>>& options_;
  std::vector<std::size_t> order_;  // springs with the fewest options first
  std::size_t states_left_;
  std::vector<std::vector<const Option*>> allowed_;
  std::vector<int> fewest_after_;
  std::set<std::pair<std::size_t, Usage>> failed_;
  std::vector<const Option*> chosen_;
};

void check(std::span<const ShimStock> stock, std::span<const ShimmableSpring> springs,
           const ShimLimits& limits) {
  for (const auto& [thickness, count] : stock) {
    if (!(thickness > 0.0 && std::isfinite(thickness) && count >= 0)) {
      throw std::invalid_argument("choose_shims: a shim has a thickness above zero and a count not below");
    }
  }
  for (const auto& spring : springs) {
    if (!spring.seat_load || !(spring.thickest_stack >= 0.0)) {
      throw std::invalid_argument("choose_shims: a spring needs its load and a stack limit not below zero");
    }
  }
  if (!(limits.greatest_load >= limits.least_load) || limits.most_per_stack < 0 ||
      limits.most_per_stack > 5) {
    throw std::invalid_argument("choose_shims: the limits are out of order, or more than 5 shims a stack");
  }
}

struct SpringOptions {
  std::vector<Option> within;
  UnreachableSpring nearest;
};

SpringOptions options_of(const std::vector<Option>& stacks, const ShimmableSpring& spring,
                         const ShimLimits& limits) {
  SpringOptions result;
  double least_off = HUGE_VAL;
  for (Option option : stacks) {
    if (option.thickness > spring.thickest_stack + rounding) {
      continue;
    }
    option.load = spring.seat_load(option.thickness);
    if (!std::isfinite(option.load)) {
      throw std::invalid_argument("choose_shims: a seat load is not a finite number");
    }
    const double off = option.load < limits.least_load ? option.load - limits.least_load
                                                       : std::max(0.0, option.load - limits.greatest_load);
    if (std::abs(off) < least_off) {
      least_off = std::abs(off);
      result.nearest.nearest = as_stack(option);
      result.nearest.off = off;
    }
    if (off == 0.0) {
      result.within.push_back(std::move(option));
    }
  }
  return result;
}

std::vector<MissingShims> missing_shims(std::span<const ShimStock> stock,
                                        const std::vector<std::vector<Option>>& options) {
  Usage needed(stock.size(), 0);
  for (const auto& own : options) {
    for (std::size_t i = 0; i < stock.size(); ++i) {
      needed[i] += own.front().usage[i];
    }
  }
  std::vector<MissingShims> missing;
  for (std::size_t i = 0; i < stock.size(); ++i) {
    if (needed[i] > stock[i].count) {
      missing.push_back({i, needed[i] - stock[i].count});
    }
  }
  return missing;
}

using Chosen = std::vector<const Option*>;

std::pair<double, double> load_range(const Chosen& chosen) {
  const auto [least, most] = std::minmax_element(
      chosen.begin(), chosen.end(), [](const Option* a, const Option* b) { return a->load < b->load; });
  return {(*least)->load, (*most)->load};
}

// Narrows the window of loads from every possible lower end; a choice found narrows it at once to its own.
Chosen least_spread(Feasibility& feasibility, const std::vector<std::vector<Option>>& options, int total,
                    Chosen best) {
  std::set<double> lower_ends;
  double highest_lower = HUGE_VAL;
  for (const auto& own : options) {
    double greatest = -HUGE_VAL;
    for (const Option& option : own) {
      lower_ends.insert(option.load);
      greatest = std::max(greatest, option.load);
    }
    highest_lower = std::min(highest_lower, greatest);
  }
  auto [least, most] = load_range(best);
  double spread = most - least;
  for (const double lower : lower_ends) {
    if (lower > highest_lower) {
      break;
    }
    // A window as wide as the best spread tells nothing new.
    while (auto narrower = feasibility.solve(total, lower, std::nextafter(lower + spread, -HUGE_VAL))) {
      const auto [low, high] = load_range(*narrower);
      if (!(high - low < spread)) {
        break;
      }
      spread = high - low;
      best = std::move(*narrower);
    }
  }
  return best;
}

}  // namespace

ShimChoice choose_shims(std::span<const ShimStock> stock, std::span<const ShimmableSpring> springs,
                        const ShimLimits& limits, std::size_t most_states) {
  check(stock, springs, limits);
  ShimChoice choice;
  const auto stacks = all_stacks(stock, limits.most_per_stack);
  std::vector<std::vector<Option>> options;
  for (std::size_t i = 0; i < springs.size(); ++i) {
    SpringOptions own = options_of(stacks, springs[i], limits);
    if (own.within.empty()) {
      own.nearest.spring = i;
      choice.unreachable.push_back(std::move(own.nearest));
    }
    options.push_back(std::move(own.within));
  }
  if (!choice.unreachable.empty()) {
    choice.summary = fmt::format("{} of {} springs cannot be brought within the limits with these shims",
                                 choice.unreachable.size(), springs.size());
    return choice;
  }
  int fewest = 0;
  for (const auto& own : options) {
    fewest += own.front().shims;
  }
  const int in_stock = std::accumulate(stock.begin(), stock.end(), 0,
                                       [](int sum, const ShimStock& s) { return sum + s.count; });
  const int most = std::min(in_stock, limits.most_per_stack * static_cast<int>(springs.size()));
  Feasibility feasibility(stock, options, most_states);
  std::optional<Chosen> chosen;
  int total = fewest;
  for (; total <= most; ++total) {
    chosen = feasibility.solve(total, limits.least_load, limits.greatest_load);
    if (chosen || feasibility.cut_short()) {
      break;
    }
  }
  if (!chosen) {
    choice.proven = !feasibility.cut_short();
    choice.missing = missing_shims(stock, options);
    choice.summary = choice.proven
                         ? "each spring can be brought within the limits, but not all with this stock"
                         : "the search was cut short before it found a choice";
    return choice;
  }
  if (!springs.empty()) {
    chosen = least_spread(feasibility, options, total, std::move(*chosen));
    const auto [low, high] = load_range(*chosen);
    choice.spread = high - low;
  }
  choice.found = true;
  choice.proven = !feasibility.cut_short();
  choice.shims = total;
  for (const Option* option : *chosen) {
    choice.stacks.push_back(as_stack(*option));
  }
  choice.summary = choice.proven ? "complete" : "a choice, but the search for a better one was cut short";
  return choice;
}

}  // namespace fettle::mechanism
