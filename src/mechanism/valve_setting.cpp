#include "mechanism/valve_setting.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <stdexcept>

#include "mechanism/circular.h"

namespace fettle::mechanism {

namespace {

constexpr double half_degree = std::numbers::pi / 360.0;
constexpr double rounding = 1e-9;  // rad; equal angles computed along two ways
constexpr int most_nodes = 400'000;

void require(const SettableValve& valve) {
  const double off = valve.closes - valve.opens;
  if (!(off > 0.0 && off < full_cycle && std::isfinite(valve.opens))) {
    throw std::invalid_argument("valve setting: a valve closes after it opens, within one cycle");
  }
}

// Going out from the top in one direction: the place where the lift comes down to the threshold.
std::optional<double> leaves_base(const LiftCurve& lift, double top, double way, double threshold) {
  double inside = top;
  constexpr int steps = 2 * 720;
  for (int step = 1; step < steps; ++step) {
    double outside = top + way * step * half_degree;
    if (lift(outside) > threshold) {
      inside = outside;
      continue;
    }
    for (int i = 0; i < 50; ++i) {
      const double middle = 0.5 * (inside + outside);
      (lift(middle) > threshold ? inside : outside) = middle;
    }
    return 0.5 * (inside + outside);
  }
  return std::nullopt;
}

}  // namespace

std::optional<OffBase> off_base(const LiftCurve& lift, double top, double threshold) {
  if (!lift || !std::isfinite(top) || !std::isfinite(threshold)) {
    throw std::invalid_argument("off_base: a curve, its top and a threshold are needed");
  }
  if (!(lift(top) > threshold)) {
    return std::nullopt;
  }
  const auto opens = leaves_base(lift, top, -1.0, threshold);
  const auto closes = leaves_base(lift, top, 1.0, threshold);
  if (!opens || !closes || *closes - *opens >= full_cycle) {
    return std::nullopt;
  }
  return OffBase{*opens, *closes};
}

std::vector<SettableValve> settable_valves(const CylinderPhases& phases, const OffBase& intake,
                                           const OffBase& exhaust) {
  std::vector<SettableValve> valves;
  for (int cylinder = 1; cylinder <= phases.cylinders(); ++cylinder) {
    const double overlap = phases.overlap_tdc(cylinder);
    valves.push_back({cylinder, ValveKind::intake, overlap + intake.opens, overlap + intake.closes});
    valves.push_back({cylinder, ValveKind::exhaust, overlap + exhaust.opens, overlap + exhaust.closes});
    require(valves[valves.size() - 2]);
    require(valves.back());
  }
  return valves;
}

double base_margin(const SettableValve& valve, double crank_angle) {
  require(valve);
  const double off = valve.closes - valve.opens;
  const double since = wrap_positive(crank_angle - valve.opens, full_cycle);
  return since < off ? -std::min(since, off - since) : std::min(since - off, full_cycle - since);
}

namespace {

/// A position that may be taken, and what it would do.
struct Candidate {
  double angle = 0.0;
  std::uint64_t covers = 0;
  int rank = 0;  // 2 firing TDC, 1 other dead centre, 0 none
  std::optional<int> firing_cylinder;
};

bool same_angle(double a, double b) {
  return std::abs(wrap_centred(a - b, full_cycle)) < rounding;
}

/// Of a chosen set, what is preferred; compared member by member.
struct Worth {
  int rank = -1;
  double margin = 0.0;
  bool first_cylinder = false;

  bool better_than(const Worth& other) const {
    if (rank != other.rank) {
      return rank > other.rank;
    }
    if (std::abs(margin - other.margin) > rounding) {
      return margin > other.margin;
    }
    return first_cylinder && !other.first_cylinder;
  }
};

class Planner {
 public:
  Planner(const CylinderPhases& phases, std::span<const SettableValve> valves, double margin)
      : phases_(phases), valves_(valves), margin_(margin) {
    for (std::size_t i = 0; i < valves.size(); ++i) {
      require(valves[i]);
      if (full_cycle - (valves[i].closes - valves[i].opens) < 2.0 * margin) {
        never_.push_back(i);
      } else {
        wanted_ |= bit(i);
      }
    }
  }

  SettingPlan plan(SettingPlaces places) {
    SettingPlan result;
    result.never = never_;
    if (wanted_ == 0) {
      return result;
    }
    const auto fewest = stab();
    make_candidates(fewest, places);
    drop_unreached();
    result.never = never_;
    for (most_ = fewest.size(); wanted_ != 0 && best_.empty() && most_ <= valves_.size(); ++most_) {
      search(wanted_, {});
    }
    result.proven = nodes_ < most_nodes;
    result.positions = positions();
    return result;
  }

 private:
  static std::uint64_t bit(std::size_t i) { return std::uint64_t{1} << i; }

  std::uint64_t covered(double angle) const {
    std::uint64_t covers = 0;
    for (std::size_t i = 0; i < valves_.size(); ++i) {
      if ((wanted_ & bit(i)) != 0 && base_margin(valves_[i], angle) >= margin_ - rounding) {
        covers |= bit(i);
      }
    }
    return covers;
  }

  double last_safe(std::size_t i) const { return valves_[i].opens - margin_; }

  // One point of some least stabbing is the end of an arc; from it on, the arc that ends first decides.
  std::vector<double> stab() const {
    std::vector<double> best;
    for (std::size_t first = 0; first < valves_.size(); ++first) {
      if ((wanted_ & bit(first)) == 0) {
        continue;
      }
      std::vector<double> points{last_safe(first)};
      std::uint64_t left = wanted_ & ~covered(points.back());
      while (left != 0 && (best.empty() || points.size() < best.size())) {
        double nearest = HUGE_VAL;
        for (std::size_t i = 0; i < valves_.size(); ++i) {
          if ((left & bit(i)) != 0) {
            nearest = std::min(nearest, wrap_positive(last_safe(i) - points.front(), full_cycle));
          }
        }
        points.push_back(points.front() + nearest);
        left &= ~covered(points.back());
      }
      if (left == 0 && (best.empty() || points.size() < best.size())) {
        best = points;
      }
    }
    return best;
  }

  void add_candidate(double angle, int rank, std::optional<int> firing_cylinder = {}) {
    const double wrapped = wrap_positive(angle + rounding, full_cycle) - rounding;
    const std::uint64_t covers = covered(wrapped);
    const bool known = std::any_of(candidates_.begin(), candidates_.end(), [&](const Candidate& other) {
      return same_angle(other.angle, wrapped) || (rank == 0 && other.rank == 0 && other.covers == covers);
    });
    if (covers != 0 && !known) {
      candidates_.push_back({std::max(0.0, wrapped), covers, rank, firing_cylinder});
    }
  }

  // Dead centres first, so that they are tried first; then one point between neighbouring ends of arcs.
  void make_candidates(const std::vector<double>& fewest, SettingPlaces places) {
    for (int cylinder = 1; cylinder <= phases_.cylinders(); ++cylinder) {
      add_candidate(phases_.firing_tdc(cylinder), 2, cylinder);
    }
    for (int cylinder = 1; cylinder <= phases_.cylinders(); ++cylinder) {
      for (int half_turns = 1; half_turns < 4; ++half_turns) {
        add_candidate(phases_.firing_tdc(cylinder) + 0.5 * full_turn * half_turns, 1);
      }
    }
    if (places == SettingPlaces::dead_centres) {
      return;
    }
    std::vector<double> ends;
    for (const SettableValve& valve : valves_) {
      ends.push_back(wrap_positive(valve.opens - margin_, full_cycle));
      ends.push_back(wrap_positive(valve.closes + margin_, full_cycle));
    }
    std::sort(ends.begin(), ends.end());
    for (std::size_t i = 0; i < ends.size(); ++i) {
      const double next = i + 1 < ends.size() ? ends[i + 1] : ends.front() + full_cycle;
      add_candidate(0.5 * (ends[i] + next), 0);
    }
    // Arcs that touch in one point only have nothing between their ends.
    for (const double point : fewest) {
      add_candidate(point, 0);
    }
  }

  void drop_unreached() {
    std::uint64_t reached = 0;
    for (const Candidate& candidate : candidates_) {
      reached |= candidate.covers;
    }
    for (std::size_t i = 0; i < valves_.size(); ++i) {
      if ((wanted_ & ~reached & bit(i)) != 0) {
        never_.push_back(i);
      }
    }
    std::sort(never_.begin(), never_.end());
    wanted_ &= reached;
  }

  std::pair<std::size_t, double> best_place(std::size_t valve, const std::vector<std::size_t>& chosen) const {
    std::pair<std::size_t, double> best{chosen.front(), -HUGE_VAL};
    for (const std::size_t c : chosen) {
      const double margin = base_margin(valves_[valve], candidates_[c].angle);
      if (margin > best.second + rounding) {
        best = {c, margin};
      }
    }
    return best;
  }

  Worth worth(const std::vector<std::size_t>& chosen) const {
    Worth result{0, HUGE_VAL, false};
    for (const std::size_t c : chosen) {
      result.rank += candidates_[c].rank;
      result.first_cylinder = result.first_cylinder || candidates_[c].firing_cylinder == 1;
    }
    for (std::size_t i = 0; i < valves_.size(); ++i) {
      if ((wanted_ & bit(i)) != 0) {
        result.margin = std::min(result.margin, best_place(i, chosen).second);
      }
    }
    return result;
  }

  // Branches on the valve that the fewest candidates reach.
  void search(std::uint64_t left, std::vector<std::size_t> chosen) {
    if (nodes_ >= most_nodes && !best_.empty()) {
      return;
    }
    ++nodes_;
    if (left == 0) {
      const Worth found = worth(chosen);
      if (best_.empty() || found.better_than(best_worth_)) {
        best_worth_ = found;
        best_ = chosen;
      }
      return;
    }
    if (chosen.size() == most_) {
      return;
    }
    std::vector<std::size_t> branch;
    std::size_t rarest = candidates_.size() + 1;
    for (std::size_t i = 0; i < valves_.size(); ++i) {
      if ((left & bit(i)) == 0) {
        continue;
      }
      std::vector<std::size_t> reaching;
      for (std::size_t c = 0; c < candidates_.size(); ++c) {
        if ((candidates_[c].covers & bit(i)) != 0) {
          reaching.push_back(c);
        }
      }
      if (reaching.size() < rarest) {
        rarest = reaching.size();
        branch = std::move(reaching);
      }
    }
    chosen.push_back(0);
    for (const std::size_t c : branch) {
      chosen.back() = c;
      search(left & ~candidates_[c].covers, chosen);
    }
  }

  std::vector<SettingPosition> positions() {
    std::sort(best_.begin(), best_.end(),
              [&](std::size_t a, std::size_t b) { return candidates_[a].angle < candidates_[b].angle; });
    std::vector<SettingPosition> result;
    for (const std::size_t c : best_) {
      SettingPosition position;
      position.crank_angle = candidates_[c].angle;
      position.firing_cylinder = candidates_[c].firing_cylinder;
      position.dead_centre = candidates_[c].rank > 0;
      position.least_margin = HUGE_VAL;
      for (std::size_t i = 0; i < valves_.size(); ++i) {
        if ((wanted_ & bit(i)) != 0) {
          const auto [place, margin] = best_place(i, best_);
          if (place == c) {
            position.valves.push_back(i);
            position.least_margin = std::min(position.least_margin, margin);
          }
        }
      }
      result.push_back(std::move(position));
    }
    return result;
  }

  const CylinderPhases& phases_;
  std::span<const SettableValve> valves_;
  double margin_;
  std::uint64_t wanted_ = 0;
  std::vector<std::size_t> never_;
  std::vector<Candidate> candidates_;
  std::size_t most_ = 0;
  std::vector<std::size_t> best_;
  Worth best_worth_;
  int nodes_ = 0;
};

}  // namespace

SettingPlan fewest_positions(const CylinderPhases& phases, std::span<const SettableValve> valves,
                             double margin, SettingPlaces places) {
  if (!(margin >= 0.0 && std::isfinite(margin))) {
    throw std::invalid_argument("fewest_positions: the margin is finite and not negative");
  }
  if (valves.size() > 64) {
    throw std::invalid_argument("fewest_positions: more than 64 valves");
  }
  return Planner(phases, valves, margin).plan(places);
}

std::vector<SingleSetting> one_at_a_time(std::span<const SettableValve> valves, double before_closing) {
  std::vector<SingleSetting> order;
  for (std::size_t i = 0; i < valves.size(); ++i) {
    const SettableValve& valve = valves[i];
    const auto partner = std::find_if(valves.begin(), valves.end(), [&](const SettableValve& other) {
      return other.cylinder == valve.cylinder && other.kind != valve.kind;
    });
    if (partner == valves.end()) {
      continue;
    }
    const double at = wrap_positive(
        valve.kind == ValveKind::intake ? partner->opens : partner->closes - before_closing, full_cycle);
    order.push_back({i, at, base_margin(valve, at)});
  }
  std::stable_sort(order.begin(), order.end(), [](const SingleSetting& a, const SingleSetting& b) {
    return a.crank_angle < b.crank_angle;
  });
  return order;
}

}  // namespace fettle::mechanism
