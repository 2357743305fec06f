#include "mechanism/lobe_card.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <stdexcept>
#include <utility>

#include <Eigen/Core>
#include <Eigen/SparseCore>
#include <boost/math/tools/toms748_solve.hpp>
#include <fmt/format.h>

#include "mechanism/circular.h"
#include "mechanism/nonnegative_qp.h"

namespace fettle::mechanism {

namespace {

constexpr double degree = std::numbers::pi / 180.0;
constexpr double lone_check_power = 2.5;
constexpr double customary_ramp_lift = 0.1524e-3;  // 0.006 in
// The law leaves the base circle without a ramp: a ramp is longer, and slower at first.
constexpr double ramp_stretch = 1.6;
constexpr double least_ramp = 6.0 * degree;
constexpr double greatest_ramp = 50.0 * degree;
// A lobe and its ramps must leave some base circle to count its lift from.
constexpr double greatest_length = full_cycle - 60.0 * degree;

using metrology::PeriodicSpline;

/// One side of the lobe: each check lift and its angle from the top, the lowest first.
struct SidePoint {
  double lift;
  double from_top;  // > 0
};

std::vector<CardEvent> by_lift(const LobeCard& card) {
  std::vector<CardEvent> events = card.events;
  std::sort(events.begin(), events.end(),
            [](const CardEvent& a, const CardEvent& b) { return a.lift < b.lift; });
  return events;
}

bool finite(const LobeCard& card) {
  return std::isfinite(card.max_lift) && std::isfinite(card.top) &&
         std::all_of(card.events.begin(), card.events.end(), [](const CardEvent& event) {
           return std::isfinite(event.lift) && std::isfinite(event.opening) && std::isfinite(event.closing);
         });
}

void check_event(const CardEvent& event, const LobeCard& card, std::vector<std::string>& problems) {
  const double shown = event.lift * 1e3;
  if (event.lift <= 0.0 || event.lift >= card.max_lift) {
    problems.push_back(
        fmt::format("the check lift {:.4g} mm does not lie between zero and the greatest lift", shown));
  }
  if (event.opening >= card.top || event.closing <= card.top) {
    problems.push_back(fmt::format(
        "at {:.4g} mm the opening and closing do not lie on either side of the greatest lift", shown));
  }
}

void check_order(const std::vector<CardEvent>& events, std::vector<std::string>& problems) {
  for (std::size_t i = 1; i < events.size(); ++i) {
    const CardEvent& lower = events[i - 1];
    const CardEvent& upper = events[i];
    if (upper.lift <= lower.lift) {
      problems.push_back(fmt::format("the check lift {:.4g} mm is given twice", upper.lift * 1e3));
    } else if (upper.opening <= lower.opening || upper.closing >= lower.closing) {
      problems.push_back(
          fmt::format("the lobe cannot be open longer at {:.4g} mm than at {:.4g} mm: the duration must fall "
                      "as the lift grows",
                      upper.lift * 1e3, lower.lift * 1e3));
    }
  }
}

/// The law L (1 − (angle/half_length)²)^power.
struct SideLaw {
  double half_length;
  double power;
};

SideLaw law_of_one_point(const SidePoint& point, double max_lift) {
  return {point.from_top / std::sqrt(1.0 - std::pow(point.lift / max_lift, 1.0 / lone_check_power)),
          lone_check_power};
}

/// Through the two lowest points of the side; through the lowest with the customary power where there is but
/// one, or where no length fits both.
SideLaw side_law(const std::vector<SidePoint>& points, double max_lift) {
  const SideLaw alone = law_of_one_point(points.front(), max_lift);
  if (points.size() < 2) {
    return alone;
  }
  const double lowest = std::log(points[0].lift / max_lift);
  const double target = lowest / std::log(points[1].lift / max_lift);
  const auto fall = [&](std::size_t i, double length) {
    const double w = points[i].from_top / length;
    return std::log1p(-w * w);
  };
  const auto excess = [&](double length) { return fall(0, length) / fall(1, length) - target; };
  const double nearest = points[0].from_top * (1.0 + 1e-6);
  const double farthest = points[0].from_top * 3.0;
  if (!(excess(nearest) > 0.0 && excess(farthest) < 0.0)) {
    return alone;
  }
  std::uintmax_t iterations = 100;
  const double through_both =
      boost::math::tools::toms748_solve(excess, nearest, farthest,
                                        boost::math::tools::eps_tolerance<double>(40), iterations)
          .first;
  // Two checks that lie close together say little of where lift begins.
  const double length = std::min(through_both, 1.03 * alone.half_length);
  return {length, lowest / fall(0, length)};
}

/// Angles from the top at which lift begins and at which the ramp gives way to the flank.
struct Ramp {
  double start;
  double top;
};

Ramp ramp_of(const std::vector<SidePoint>& points, double max_lift, const std::optional<double>& asked) {
  const SidePoint& lowest = points.front();
  const SideLaw law = side_law(points, max_lift);
  // A lowest check near the customary ramp height is the ramp's top; a higher one stands on the flank.
  const double ramp_lift = std::min(customary_ramp_lift, 0.02 * max_lift);
  double top = lowest.from_top;
  if (lowest.lift > 1.6 * ramp_lift) {
    top = std::max(top, law.half_length * std::sqrt(1.0 - std::pow(ramp_lift / max_lift, 1.0 / law.power)));
  }
  const double start =
      asked ? lowest.from_top + *asked
            : top + std::clamp(ramp_stretch * (law.half_length - top), least_ramp, greatest_ramp);
  return {start, std::min(top, lowest.from_top + 0.8 * (start - lowest.from_top))};
}

void check_synthesis_options(const SynthesisOptions& options) {
  const auto require = [](bool condition, const char* message) {
    if (!condition) {
      throw std::invalid_argument(message);
    }
  };
  require(options.knot_spacing > 0.0 && options.knot_spacing <= 0.1,
          "SynthesisOptions: knot_spacing not in (0, 0.1]");
  require(std::isfinite(options.ramp_flatness) && options.ramp_flatness >= 0.0,
          "SynthesisOptions: ramp_flatness must not be negative");
  require(options.opening_ramp.value_or(1.0) > 0.0 && options.closing_ramp.value_or(1.0) > 0.0,
          "SynthesisOptions: ramps must be longer than zero");
  require(options.most_iterations >= 1, "SynthesisOptions: most_iterations must be at least 1");
}

/// Knots close enough that three lie between neighbouring events, the top and the ramps' ends.
int knot_count(const std::vector<CardEvent>& events, const LobeCard& card, double least_ramp_given,
               double asked_spacing) {
  double spacing = std::min(asked_spacing, least_ramp_given / 8.0);
  for (std::size_t i = 0; i < events.size(); ++i) {
    const double next_opening = i + 1 < events.size() ? events[i + 1].opening : card.top;
    const double next_closing = i + 1 < events.size() ? events[i + 1].closing : card.top;
    spacing = std::min(
        {spacing, (next_opening - events[i].opening) / 3.0, (events[i].closing - next_closing) / 3.0});
  }
  const double closest = 0.5 * degree;
  return static_cast<int>(std::ceil(full_cycle / std::max(spacing, closest)));
}

/// The programme's unknowns are the steps between neighbouring coefficients, up to the top and down after it,
/// in units of the greatest lift over the number of knots to the top.
class Programme {
 public:
  Programme(const LobeCard& card, const std::vector<CardEvent>& events, double start, double end, int knots)
      : space_(full_cycle, card.top, Eigen::VectorXd::Zero(knots)),
        rising_(static_cast<Eigen::Index>(std::floor((card.top - start) / space_.knot_spacing())) - 2),
        falling_(static_cast<Eigen::Index>(std::floor((end - card.top) / space_.knot_spacing())) - 2) {
    steps_ = Eigen::MatrixXd::Zero(knots, rising_ + falling_);
    const double unit = 1.0 / static_cast<double>(rising_);
    for (Eigen::Index i = 0; i < rising_; ++i) {  // step onto coefficient i + 1 − rising
      for (Eigen::Index j = i + 1 - rising_; j <= 0; ++j) {
        steps_((j + knots) % knots, i) = unit;
      }
    }
    // The coefficients after the top are summed from the far end, so that they end at zero of themselves.
    for (Eigen::Index i = 0; i < falling_; ++i) {  // step off coefficient i
      for (Eigen::Index j = 1; j <= i; ++j) {
        steps_(j, rising_ + i) = unit;
      }
    }
    constrain(card, events);
  }

  bool long_enough() const { return rising_ >= 4 && falling_ >= 4; }

  void build_cost(const std::vector<std::pair<double, double>>& ramps, double flatness);

  QuadraticProgrammeResult solve(int most_iterations) const {
    return minimise_nonnegative(cost_, constraints_, right_side_, most_iterations);
  }

  PeriodicSpline curve(const Eigen::VectorXd& steps, double max_lift) const {
    return space_.with_coefficients(max_lift * (steps_ * steps));
  }

 private:
  void constrain(const LobeCard& card, const std::vector<CardEvent>& events) {
    const auto rows = static_cast<Eigen::Index>(2 * events.size() + 3);
    constraints_.resize(rows, rising_ + falling_);
    right_side_ = Eigen::VectorXd::Zero(rows);
    Eigen::Index row = 0;
    for (const CardEvent& event : events) {
      for (const double angle : {event.opening, event.closing}) {
        constraints_.row(row) = space_.basis(angle).transpose() * steps_;
        right_side_[row++] = event.lift / card.max_lift;
      }
    }
    constraints_.row(row) = space_.basis(card.top).transpose() * steps_;
    right_side_[row++] = 1.0;
    constraints_.row(row) =
        static_cast<double>(rising_) * space_.basis(card.top, 1).transpose() * steps_ * space_.knot_spacing();
    ++row;
    // As much down as up.
    constraints_.row(row).head(rising_).setConstant(1.0 / static_cast<double>(rising_));
    constraints_.row(row).tail(falling_).setConstant(-1.0 / static_cast<double>(rising_));
  }

  /// Adds to the cost the square of a row over the coefficients, whose sum is zero.
  void add_square(const Eigen::VectorXd& row, std::vector<Eigen::Triplet<double>>& cost) const;

  PeriodicSpline space_;
  Eigen::Index rising_;
  Eigen::Index falling_;
  Eigen::MatrixXd steps_;             // coefficients, over the greatest lift, from steps
  Eigen::SparseMatrix<double> cost_;  // lower triangle
  Eigen::MatrixXd constraints_;
  Eigen::VectorXd right_side_;
};

// A derivative asks only for the steps between the coefficients that it takes: summed by parts, the row has
// one entry fewer than coefficients, and the cost is a band.
void Programme::add_square(const Eigen::VectorXd& row, std::vector<Eigen::Triplet<double>>& cost) const {
  constexpr double scale = 1e-3;  // keeps the programme's numbers near one
  const Eigen::Index knots = steps_.rows();
  const double unit = 1.0 / static_cast<double>(rising_);
  // Coefficients counted from the top, each once, the cycle cut in the middle of the base circle.
  const Eigen::Index cut = falling_ + (knots - rising_ - falling_) / 2;
  const auto at = [&](Eigen::Index from_top) { return row[(from_top + knots) % knots]; };
  Eigen::Index first = cut - knots + 1;
  Eigen::Index last = cut;
  while (first < last && at(first) == 0.0) {
    ++first;
  }
  while (last > first && at(last) == 0.0) {
    --last;
  }
  std::vector<std::pair<Eigen::Index, double>> of_steps;
  double beyond = 0.0;  // sum of the row from a coefficient on
  for (Eigen::Index from_top = last; from_top > first; --from_top) {
    beyond += at(from_top);
    // The step onto this coefficient, up before the top and down after it.
    if (from_top <= 0 && from_top + rising_ >= 1) {
      of_steps.emplace_back(from_top + rising_ - 1, unit * beyond);
    } else if (from_top >= 1 && from_top <= falling_) {
      of_steps.emplace_back(rising_ + from_top - 1, -unit * beyond);
    }
  }
  for (const auto& [i, a] : of_steps) {
    for (const auto& [j, b] : of_steps) {
      if (i >= j) {
        cost.emplace_back(static_cast<int>(i), static_cast<int>(j), scale * a * b);
      }
    }
  }
}

// Squared jerk by three Gauss points an interval, exact for the piecewise quadratic third derivative; then
// the ramps' squared acceleration. Angles are counted in half-lengths of the lobe, which keeps the numbers
// near one.
void Programme::build_cost(const std::vector<std::pair<double, double>>& ramps, double flatness) {
  const double h = space_.knot_spacing();
  const double unit = h * static_cast<double>(rising_);
  const double offset = std::sqrt(0.15);
  const double gauss[3][2] = {{0.5 - offset, 5.0 / 18.0}, {0.5, 8.0 / 18.0}, {0.5 + offset, 5.0 / 18.0}};
  std::vector<Eigen::Triplet<double>> cost;
  for (Eigen::Index interval = -rising_ - 3; interval < falling_ + 3; ++interval) {
    for (const auto& [place, weight] : gauss) {
      const double angle = space_.origin() + h * (static_cast<double>(interval) + place);
      add_square(space_.basis(angle, 3) * (unit * unit * unit * std::sqrt(weight * h / unit)), cost);
    }
  }
  constexpr int samples = 24;
  for (const auto& [from, to] : ramps) {
    const double length = (to - from) / unit;
    const double scale = std::sqrt(flatness * 60.0 * length / samples) / length;
    for (int i = 0; i < samples; ++i) {
      const double angle = from + (to - from) * (i + 0.5) / samples;
      add_square(space_.basis(angle, 2) * (unit * unit * scale), cost);
    }
  }
  cost_.resize(rising_ + falling_, rising_ + falling_);
  cost_.setFromTriplets(cost.begin(), cost.end());
}

int count_reversals(const PeriodicSpline& curve, double start, double end) {
  constexpr int samples = 2000;
  std::vector<double> acceleration;
  double greatest = 0.0;
  for (int i = 0; i <= samples; ++i) {
    acceleration.push_back(curve.derivative(start + (end - start) * i / samples, 2));
    greatest = std::max(greatest, std::abs(acceleration.back()));
  }
  int reversals = 0;
  double sign = 0.0;
  for (const double a : acceleration) {
    if (std::abs(a) > 1e-3 * greatest) {
      if (sign * a < 0.0) {
        ++reversals;
      }
      sign = a;
    }
  }
  return reversals;
}

}  // namespace

LobeCard symmetric_card(double max_lift, double centreline, const std::vector<CardDuration>& durations) {
  LobeCard card{max_lift, centreline, {}};
  for (const CardDuration& check : durations) {
    card.events.push_back({check.lift, centreline - 0.5 * check.duration, centreline + 0.5 * check.duration});
  }
  return card;
}

std::vector<std::string> lobe_card_problems(const LobeCard& card) {
  std::vector<std::string> problems;
  if (!finite(card)) {
    problems.emplace_back("the card holds a number that is not finite");
    return problems;
  }
  if (card.max_lift <= 0.0) {
    problems.emplace_back("the greatest lift must be more than zero");
  }
  if (card.events.empty()) {
    problems.emplace_back(
        "a card needs the opening and closing, or the duration, at one check lift at least");
    return problems;
  }
  const std::vector<CardEvent> events = by_lift(card);
  for (const CardEvent& event : events) {
    check_event(event, card, problems);
  }
  check_order(events, problems);
  if (events.front().closing - events.front().opening > greatest_length - 2.0 * least_ramp) {
    problems.push_back(fmt::format("a duration of {:.4g} degrees leaves no base circle",
                                   (events.front().closing - events.front().opening) / degree));
  }
  return problems;
}

SynthesisedLobe synthesise_lobe(const LobeCard& card, const SynthesisOptions& options) {
  check_synthesis_options(options);
  SynthesisedLobe lobe;
  const auto problems = lobe_card_problems(card);
  if (!problems.empty()) {
    lobe.summary = problems.front();
    return lobe;
  }
  const std::vector<CardEvent> events = by_lift(card);
  std::vector<SidePoint> opening;
  std::vector<SidePoint> closing;
  for (const CardEvent& event : events) {
    opening.push_back({event.lift, card.top - event.opening});
    closing.push_back({event.lift, event.closing - card.top});
  }
  const Ramp opening_ramp = ramp_of(opening, card.max_lift, options.opening_ramp);
  const Ramp closing_ramp = ramp_of(closing, card.max_lift, options.closing_ramp);
  lobe.lift_start = card.top - opening_ramp.start;
  lobe.lift_end = card.top + closing_ramp.start;
  if (lobe.lift_end - lobe.lift_start > full_cycle) {
    lobe.summary = "the ramps are too long for one cycle";
    return lobe;
  }
  const double shortest_ramp =
      std::min(opening_ramp.start - opening.front().from_top, closing_ramp.start - closing.front().from_top);
  const int knots = knot_count(events, card, shortest_ramp, options.knot_spacing);
  Programme programme(card, events, lobe.lift_start, lobe.lift_end, knots);
  if (!programme.long_enough()) {
    lobe.summary = "the lobe is too short to be shaped";
    return lobe;
  }
  // The first part of a ramp gathers speed; the rest is held to it.
  const double gathering = 0.4;
  programme.build_cost(
      {{lobe.lift_start + gathering * (opening_ramp.start - opening_ramp.top), card.top - opening_ramp.top},
       {card.top + closing_ramp.top, lobe.lift_end - gathering * (closing_ramp.start - closing_ramp.top)}},
      options.ramp_flatness);
  const auto solution = programme.solve(options.most_iterations);
  lobe.iterations = solution.iterations;
  if (!solution.converged) {
    lobe.summary =
        "no smooth lobe passes through all the events of this card: the check lifts lie too close "
        "together or the flanks are too steep";
    return lobe;
  }
  lobe.curve = programme.curve(solution.x, card.max_lift);
  lobe.acceleration_reversals = count_reversals(*lobe.curve, lobe.lift_start, lobe.lift_end);
  lobe.summary = fmt::format("smoothest lobe found in {} iterations", lobe.iterations);
  return lobe;
}

}  // namespace fettle::mechanism
