#include "mechanism/valve_clearance.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <stdexcept>

#include <boost/math/tools/toms748_solve.hpp>

#include "mechanism/grid_minimum.h"

namespace fettle::mechanism {

namespace {

constexpr double degree = std::numbers::pi / 180.0;

void require_motion(const ValveMotion& motion) {
  if (!motion.lobe || !(motion.ratio > 0.0 && std::isfinite(motion.ratio)) || !std::isfinite(motion.lash) ||
      !std::isfinite(motion.advance)) {
    throw std::invalid_argument("valve clearance: a valve needs a lobe, a ratio above zero, finite numbers");
  }
}

}  // namespace

double valve_lift(const ValveMotion& motion, double crank_angle) {
  const double lobe = motion.lobe(crank_angle + motion.advance);
  if (!std::isfinite(lobe)) {
    throw std::invalid_argument("valve clearance: the lobe gives no finite lift");
  }
  return std::max(0.0, motion.ratio * lobe - motion.lash);
}

double approach_factor(double valve_angle, double surface_angle) {
  const double along = std::cos(surface_angle);
  const double facing = std::cos(valve_angle - surface_angle);
  if (!(std::abs(valve_angle) < 80.0 * degree && along > 0.1 && facing > 0.1)) {
    throw std::invalid_argument("approach_factor: valve and surface stand too steeply to the bore");
  }
  return along / facing;
}

ValveDrop::ValveDrop(const SliderCrank& crank, double approach, std::span<const ValveDropReading> readings,
                     DropShape shape)
    : crank_(crank), approach_(approach) {
  if (!(approach > 0.0 && std::isfinite(approach))) {
    throw std::invalid_argument("ValveDrop: the approach factor must be greater than zero");
  }
  if (readings.empty()) {
    throw std::invalid_argument("ValveDrop: there is no reading");
  }
  const auto count = static_cast<double>(readings.size());
  first_ = last_ = readings.front().crank_angle;
  for (const auto& [angle, drop] : readings) {
    if (!std::isfinite(angle) || !std::isfinite(drop)) {
      throw std::invalid_argument("ValveDrop: a reading is not a finite number");
    }
    const double left = drop - approach * crank.depth(angle);
    residuals_.push_back(left);
    constant_ += left / count;
    centre_ += angle / count;
    first_ = std::min(first_, angle);
    last_ = std::max(last_, angle);
  }
  if (shape == DropShape::line) {
    double products = 0.0;
    double squares = 0.0;
    for (std::size_t i = 0; i < readings.size(); ++i) {
      const double x = readings[i].crank_angle - centre_;
      products += x * (residuals_[i] - constant_);
      squares += x * x;
    }
    if (!(squares > 0.0)) {
      throw std::invalid_argument("ValveDrop: a line needs readings at two crank angles");
    }
    slope_ = products / squares;
  }
  for (std::size_t i = 0; i < readings.size(); ++i) {
    residuals_[i] -= constant_ + slope_ * (readings[i].crank_angle - centre_);
  }
}

double ValveDrop::at(double crank_angle) const {
  return approach_ * crank_.depth(crank_angle) + constant_ + slope_ * (crank_angle - centre_);
}

bool ValveDrop::mapped(double crank_angle) const {
  return crank_angle >= first_ && crank_angle <= last_;
}

double valve_clearance(const ValveDrop& drop, const ValveMotion& motion, double crank_angle) {
  require_motion(motion);
  return drop.at(crank_angle) - valve_lift(motion, crank_angle);
}

LeastClearance least_clearance(const ValveDrop& drop, const ValveMotion& motion,
                               const ClearanceRange& range) {
  require_motion(motion);
  const GridMinimum least = grid_minimum([&](double x) { return drop.at(x) - valve_lift(motion, x); },
                                         range.from, range.to, 5.0 * degree);
  LeastClearance result;
  result.clearance = least.value;
  result.crank_angle = least.x;
  result.at_edge = least.at_edge;
  result.mapped = drop.mapped(least.x);
  // At the least clearance only the lobe's own slope counts (envelope theorem).
  if (valve_lift(motion, least.x) > 0.0) {
    const double h = 1e-4;
    const double x = least.x + motion.advance;
    result.per_advance = -motion.ratio * (motion.lobe(x + h) - motion.lobe(x - h)) / (2.0 * h);
  }
  return result;
}

namespace {

/// Room above the limit over advance of the cam.
class Room {
 public:
  Room(const ValveDrop& drop, const ValveMotion& motion, double limit, const ClearanceRange& range)
      : drop_(drop), motion_(motion), limit_(limit), range_(range) {}

  double operator()(double advance) const {
    ValveMotion moved = motion_;
    moved.advance += advance;
    return least_clearance(drop_, moved, range_).clearance - limit_;
  }

  /// Where it passes zero between two advances of which one has room.
  double root(double a, double b) const {
    std::uintmax_t iterations = 60;
    const auto close = [](double low, double high) { return high - low < 1e-10; };
    const auto [low, high] =
        boost::math::tools::toms748_solve(*this, std::min(a, b), std::max(a, b), close, iterations);
    return 0.5 * (low + high);
  }

  /// From an advance that has room, the last one in the direction that still has; nothing if all have.
  std::optional<double> end(double from, double way, double search) const {
    double last = from;
    for (double next = from + way * degree; std::abs(next) < search + degree; next += way * degree) {
      const double at = std::clamp(next, -search, search);
      if ((*this)(at) < 0.0) {
        return root(last, at);
      }
      last = at;
    }
    return std::nullopt;
  }

 private:
  const ValveDrop& drop_;
  const ValveMotion& motion_;
  double limit_;
  const ClearanceRange& range_;
};

}  // namespace

std::optional<CamWindow> cam_window(const ValveDrop& drop, const ValveMotion& motion, double limit,
                                    double search, const ClearanceRange& range) {
  if (!(search > 0.0 && std::isfinite(search) && std::isfinite(limit))) {
    throw std::invalid_argument("cam_window: search and limit must be finite, the search above zero");
  }
  const Room room(drop, motion, limit, range);
  CamWindow window;
  if (room(0.0) >= 0.0) {
    window.holds_now = true;
    window.most_retard = room.end(0.0, -1.0, search);
    window.most_advance = room.end(0.0, 1.0, search);
    return window;
  }
  const auto steps = static_cast<int>(std::ceil(search / degree));
  for (int i = 1; i <= steps; ++i) {
    const double step = i * degree;
    for (const double way : {1.0, -1.0}) {
      const double at = way * std::min(step, search);
      if (room(at) >= 0.0) {
        const double near = room.root(way * std::max(0.0, step - degree), at);
        const auto far = room.end(at, way, search);
        window.most_retard = way > 0.0 ? std::optional(near) : far;
        window.most_advance = way > 0.0 ? far : std::optional(near);
        return window;
      }
    }
  }
  return std::nullopt;
}

std::optional<CamWindow> both(const CamWindow& a, const CamWindow& b) {
  CamWindow window;
  window.holds_now = a.holds_now && b.holds_now;
  window.most_retard = a.most_retard && b.most_retard ? std::max(*a.most_retard, *b.most_retard)
                       : a.most_retard                ? a.most_retard
                                                      : b.most_retard;
  window.most_advance = a.most_advance && b.most_advance ? std::min(*a.most_advance, *b.most_advance)
                        : a.most_advance                 ? a.most_advance
                                                         : b.most_advance;
  if (window.most_retard && window.most_advance && *window.most_retard > *window.most_advance) {
    return std::nullopt;
  }
  return window;
}

}  // namespace fettle::mechanism
