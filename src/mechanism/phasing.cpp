#include "mechanism/phasing.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

#include <fmt/format.h>

#include "mechanism/circular.h"

namespace fettle::mechanism {

namespace {

constexpr double degree = std::numbers::pi / 180.0;
// Intervals typed in degrees with a few decimals must still close.
constexpr double closing_tolerance = 1e-3 * degree;

void check_order(const std::vector<int>& order, std::vector<std::string>& problems) {
  if (order.empty()) {
    problems.emplace_back("the firing order is empty");
    return;
  }
  const int count = static_cast<int>(order.size());
  for (int cylinder = 1; cylinder <= count; ++cylinder) {
    const auto times = std::count(order.begin(), order.end(), cylinder);
    if (times != 1) {
      problems.push_back(
          fmt::format("the firing order of {} cylinders names cylinder {} {} times", count, cylinder, times));
    }
  }
}

void check_intervals(const FiringPlan& plan, std::vector<std::string>& problems) {
  if (plan.intervals.empty()) {
    return;
  }
  if (plan.intervals.size() != plan.order.size()) {
    problems.push_back(fmt::format("there are {} firing intervals for {} cylinders", plan.intervals.size(),
                                   plan.order.size()));
    return;
  }
  double sum = 0.0;
  for (const double interval : plan.intervals) {
    if (!(interval >= 0.0 && interval <= full_cycle + closing_tolerance)) {
      problems.push_back(
          fmt::format("a firing interval of {:g} degrees is not between 0 and 720", interval / degree));
      return;
    }
    sum += interval;
  }
  if (std::abs(sum - full_cycle) > closing_tolerance) {
    problems.push_back(fmt::format("the firing intervals add up to {:g} degrees, not 720", sum / degree));
  }
}

}  // namespace

std::vector<std::string> firing_plan_problems(const FiringPlan& plan) {
  std::vector<std::string> problems;
  check_order(plan.order, problems);
  check_intervals(plan, problems);
  return problems;
}

CylinderPhases::CylinderPhases(const FiringPlan& plan) : intervals_(plan.intervals) {
  const auto problems = firing_plan_problems(plan);
  if (!problems.empty()) {
    throw std::invalid_argument("CylinderPhases: " + problems.front());
  }
  const std::size_t count = plan.order.size();
  if (intervals_.empty()) {
    intervals_.assign(count, full_cycle / static_cast<double>(count));
  }
  firing_.resize(count);
  double angle = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    firing_[static_cast<std::size_t>(plan.order[i] - 1)] = angle;
    angle += intervals_[i];
  }
  const double first = firing_.front();
  for (double& firing : firing_) {
    firing = wrap_positive(firing - first, full_cycle);
  }
}

double CylinderPhases::firing_tdc(int cylinder) const {
  if (cylinder < 1 || cylinder > cylinders()) {
    throw std::invalid_argument(fmt::format("CylinderPhases: there is no cylinder {}", cylinder));
  }
  return firing_[static_cast<std::size_t>(cylinder - 1)];
}

double CylinderPhases::overlap_tdc(int cylinder) const {
  return wrap_positive(firing_tdc(cylinder) + full_turn, full_cycle);
}

double CylinderPhases::crank_phase(int cylinder) const {
  return wrap_positive(firing_tdc(cylinder), full_turn);
}

std::optional<int> CylinderPhases::companion(int cylinder, double tolerance) const {
  const double wanted = overlap_tdc(cylinder);
  for (int other = 1; other <= cylinders(); ++other) {
    if (other != cylinder && std::abs(wrap_centred(firing_tdc(other) - wanted, full_cycle)) <= tolerance) {
      return other;
    }
  }
  return std::nullopt;
}

double geometric_tdc(const CylinderPlace& place) {
  return wrap_positive(place.bank_angle - place.throw_angle, full_turn);
}

std::vector<PhaseMismatch> phase_mismatches(const CylinderPhases& phases,
                                            const std::vector<CylinderPlace>& places, double tolerance) {
  if (places.size() != static_cast<std::size_t>(phases.cylinders())) {
    throw std::invalid_argument("phase_mismatches: one place is needed for each cylinder");
  }
  std::vector<PhaseMismatch> mismatches;
  const double first = geometric_tdc(places.front());
  for (int cylinder = 1; cylinder <= phases.cylinders(); ++cylinder) {
    const double geometric = geometric_tdc(places[static_cast<std::size_t>(cylinder - 1)]) - first;
    const double error = wrap_centred(geometric - phases.firing_tdc(cylinder), full_turn);
    if (std::abs(error) > tolerance) {
      mismatches.push_back({cylinder, error});
    }
  }
  return mismatches;
}

std::optional<std::vector<double>> intervals_from_geometry(const std::vector<int>& order,
                                                           const std::vector<CylinderPlace>& places) {
  const auto problems = firing_plan_problems({order, {}});
  if (!problems.empty() || order.size() != places.size()) {
    throw std::invalid_argument("intervals_from_geometry: " + (problems.empty()
                                                                   ? "one place is needed for each cylinder"
                                                                   : problems.front()));
  }
  std::vector<double> intervals(order.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    const auto from = static_cast<std::size_t>(order[i] - 1);
    const auto to = static_cast<std::size_t>(order[(i + 1) % order.size()] - 1);
    const double turned = wrap_positive(geometric_tdc(places[to]) - geometric_tdc(places[from]), full_turn);
    // Two cylinders at the same crank phase fire a whole turn apart.
    intervals[i] = turned < closing_tolerance || turned > full_turn - closing_tolerance ? full_turn : turned;
  }
  const double turns = std::accumulate(intervals.begin(), intervals.end(), 0.0) / full_turn;
  if (std::lround(turns) == 1) {
    *std::min_element(intervals.begin(), intervals.end()) += full_turn;
  } else if (std::lround(turns) != 2) {
    return std::nullopt;
  }
  return intervals;
}

}  // namespace fettle::mechanism
