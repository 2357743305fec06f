#include "mechanism/selective_fit.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <set>
#include <stdexcept>

#include <fmt/format.h>

#include "mechanism/assignment.h"

namespace fettle::mechanism {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double same = 1e-9;  // m

/// Clearances a window may begin or end at: those in the band, in order, each once.
std::vector<double> ends_in(std::vector<double> values, const FitBand& band) {
  std::erase_if(values, [&](double v) {
    return !std::isfinite(v) || v < band.least - same || v > band.greatest + same;
  });
  std::sort(values.begin(), values.end());
  values.erase(std::unique(values.begin(), values.end(), [](double a, double b) { return b - a < same; }),
               values.end());
  return values;
}

struct Window {
  double least = 0;
  double greatest = 0;
  double spread() const { return greatest - least; }
};

/// How far the window's middle is from the band's; windows of a band open at one end are better the nearer
/// they lie to the end there is.
double off_middle(const Window& window, const FitBand& band) {
  const bool from_below = std::isfinite(band.least);
  const bool from_above = std::isfinite(band.greatest);
  const double middle = (window.least + window.greatest) / 2;
  if (from_below && from_above) {
    return std::abs(middle - (band.least + band.greatest) / 2);
  }
  return from_below ? middle - band.least : from_above ? band.greatest - middle : 0;
}

/// The narrowest window that `feasible` accepts, and of those as narrow the one nearest to the band's middle.
/// Windows that hold a feasible one are feasible, so that the upper end only ever moves up.
std::optional<Window> narrowest(const std::vector<double>& ends, const FitBand& band,
                                const std::function<bool(const Window&)>& feasible) {
  std::optional<Window> best;
  std::size_t upper = 0;
  for (std::size_t lower = 0; lower < ends.size(); ++lower) {
    upper = std::max(upper, lower);
    while (upper < ends.size() && !feasible({ends[lower], ends[upper]})) {
      ++upper;
    }
    if (upper == ends.size()) {
      break;
    }
    const Window window{ends[lower], ends[upper]};
    const bool narrower = !best || window.spread() < best->spread() - same;
    const bool as_narrow = best && window.spread() < best->spread() + same;
    if (narrower || (as_narrow && off_middle(window, band) < off_middle(*best, band) - same)) {
      best = window;
    }
  }
  return best;
}

bool inside(double value, const Window& window) {
  return value > window.least - same && value < window.greatest + same;
}

/// A pairing within the window that moves the fewest parts.
std::optional<Assignment> pairing(const Eigen::MatrixXd& clearance, const Window& window,
                                  std::span<const std::size_t> now) {
  Eigen::MatrixXd cost(clearance.rows(), clearance.cols());
  for (Eigen::Index place = 0; place < cost.rows(); ++place) {
    for (Eigen::Index part = 0; part < cost.cols(); ++part) {
      const bool stays =
          !now.empty() && now[static_cast<std::size_t>(place)] == static_cast<std::size_t>(part);
      cost(place, part) = inside(clearance(place, part), window) ? (stays ? 0 : 1) : infinity;
    }
  }
  return assign(cost);
}

/// Pairs of shells for every journal within a window, with no more than so many mixed ones: depth first, each
/// state that failed remembered.
class ShellSearch {
 public:
  ShellSearch(std::span<const ShellSize> sizes, std::span<const double> clearances, double most_mixed)
      : sizes_(sizes), clearances_(clearances), most_mixed_(most_mixed) {}

  double change(const ShellPair& pair) const {
    return (sizes_[pair.upper].change + sizes_[pair.lower].change) / 2;
  }

  /// All pairs that may stand together, those of one size first.
  std::vector<ShellPair> allowed() const {
    std::vector<ShellPair> pairs;
    for (std::size_t i = 0; i < sizes_.size(); ++i) {
      pairs.push_back({i, i});
    }
    for (std::size_t i = 0; i < sizes_.size(); ++i) {
      for (std::size_t j = 0; j < sizes_.size(); ++j) {
        if (i != j && std::abs(sizes_[i].change - sizes_[j].change) < most_mixed_ + same) {
          pairs.push_back({i, j});
        }
      }
    }
    return pairs;
  }

  std::optional<std::vector<ShellPair>> within(const Window& window, std::size_t most_mixed_pairs) {
    const auto pairs = allowed();
    options_.assign(clearances_.size(), {});
    for (std::size_t i = 0; i < clearances_.size(); ++i) {
      for (const ShellPair& pair : pairs) {
        if (inside(clearances_[i] + change(pair), window)) {
          options_[i].push_back(pair);
        }
      }
    }
    uppers_.clear();
    for (const ShellSize& size : sizes_) {
      uppers_.push_back(std::min(size.pairs, clearances_.size()));
    }
    lowers_ = uppers_;
    failed_.clear();
    chosen_.assign(clearances_.size(), {});
    return descend(0, most_mixed_pairs) ? std::optional(chosen_) : std::nullopt;
  }

  bool gave_up() const { return steps_ > most_steps; }

 private:
  static constexpr std::size_t most_steps = 3'000'000;

  bool descend(std::size_t journal, std::size_t mixed_left) {
    if (journal == clearances_.size()) {
      return true;
    }
    if (++steps_ > most_steps) {
      return false;
    }
    std::vector<std::size_t> state{journal, mixed_left};
    state.insert(state.end(), uppers_.begin(), uppers_.end());
    state.insert(state.end(), lowers_.begin(), lowers_.end());
    if (failed_.contains(state)) {
      return false;
    }
    for (const ShellPair& pair : options_[journal]) {
      const std::size_t mixed = pair.upper == pair.lower ? 0 : 1;
      if (uppers_[pair.upper] == 0 || lowers_[pair.lower] == 0 || mixed > mixed_left) {
        continue;
      }
      --uppers_[pair.upper];
      --lowers_[pair.lower];
      chosen_[journal] = pair;
      const bool done = descend(journal + 1, mixed_left - mixed);
      ++uppers_[pair.upper];
      ++lowers_[pair.lower];
      if (done) {
        return true;
      }
    }
    failed_.insert(std::move(state));
    return false;
  }

  std::span<const ShellSize> sizes_;
  std::span<const double> clearances_;
  double most_mixed_;
  std::vector<std::vector<ShellPair>> options_;
  std::vector<std::size_t> uppers_, lowers_;
  std::set<std::vector<std::size_t>> failed_;
  std::vector<ShellPair> chosen_;
  std::size_t steps_ = 0;
};

void check_finite(bool finite, const char* what) {
  if (!finite) {
    throw std::invalid_argument(std::string(what) + ": every length must be finite");
  }
}

}  // namespace

std::optional<Fit> least_spread(const Eigen::MatrixXd& clearance, const FitBand& band,
                                std::span<const std::size_t> now) {
  const bool known_or_forbidden = (clearance.array() > -infinity).all();  // false of NaN too
  check_finite(known_or_forbidden, "least_spread");
  const auto places = static_cast<std::size_t>(clearance.rows());
  const auto parts = static_cast<std::size_t>(clearance.cols());
  const bool known = std::all_of(now.begin(), now.end(), [&](std::size_t part) { return part < parts; });
  if (places == 0 || places > parts || (!now.empty() && now.size() != places) || !known) {
    throw std::invalid_argument("least_spread: no more places than parts, and a part now in each");
  }
  const auto all = clearance.reshaped();
  const auto ends = ends_in({all.begin(), all.end()}, band);
  const auto window =
      narrowest(ends, band, [&](const Window& one) { return pairing(clearance, one, now).has_value(); });
  if (!window) {
    return std::nullopt;
  }
  const auto chosen = pairing(clearance, *window, now);
  Fit fit;
  fit.least = infinity;
  fit.greatest = -infinity;
  for (std::size_t place = 0; place < places; ++place) {
    const std::size_t part = chosen->column_of_row[place].value();
    const double value = clearance(static_cast<Eigen::Index>(place), static_cast<Eigen::Index>(part));
    fit.part_of_place.push_back(part);
    fit.least = std::min(fit.least, value);
    fit.greatest = std::max(fit.greatest, value);
  }
  return fit;
}

ShellChoice choose_shells(std::span<const ShellSize> sizes, std::span<const double> standard_clearances,
                          const FitBand& band, double most_mixed) {
  for (const ShellSize& size : sizes) {
    check_finite(std::isfinite(size.change), "choose_shells");
  }
  for (const double one : standard_clearances) {
    check_finite(std::isfinite(one), "choose_shells");
  }
  ShellSearch search(sizes, standard_clearances, most_mixed);
  std::vector<double> values;
  for (const double one : standard_clearances) {
    for (const ShellPair& pair : search.allowed()) {
      values.push_back(one + search.change(pair));
    }
  }
  const std::size_t journals = standard_clearances.size();
  ShellChoice choice;
  const auto window = narrowest(ends_in(std::move(values), band), band,
                                [&](const Window& one) { return search.within(one, journals).has_value(); });
  if (search.gave_up()) {
    choice.summary = "too many ways to pair these sizes: give fewer of them, or leave out how many there are";
    return choice;
  }
  if (!window) {
    choice.summary = "no choice of these shells brings every clearance into the band";
    return choice;
  }
  for (std::size_t mixed = 0; mixed <= journals && !choice.found; ++mixed) {
    if (auto pairs = search.within(*window, mixed)) {
      choice.found = true;
      choice.pairs = std::move(*pairs);
      choice.least = window->least;
      choice.greatest = window->greatest;
      choice.summary = fmt::format("every clearance in its band, {} of {} pairs mixed", mixed, journals);
    }
  }
  if (!choice.found) {
    choice.summary = "too many ways to pair these sizes: give fewer of them, or leave out how many there are";
  }
  return choice;
}

}  // namespace fettle::mechanism
