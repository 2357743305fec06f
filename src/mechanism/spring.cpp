#include "mechanism/spring.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <stdexcept>

#include <Eigen/Dense>
#include <boost/math/tools/toms748_solve.hpp>
#include <fmt/format.h>

namespace fettle::mechanism {

namespace {

struct Polynomial {
  double centre = 0.0;
  double constant = 0.0;
  double slope = 0.0;
  double bend = 0.0;

  double load(double height) const {
    const double compression = centre - height;
    return constant + compression * (slope + bend * compression);
  }
  double rate(double height) const { return slope + 2.0 * bend * (centre - height); }
};

// Mean load at each distinct height.
std::map<double, double> loads_by_height(std::span<const SpringReading> readings) {
  std::map<double, std::pair<double, int>> sums;
  for (const auto& [height, load] : readings) {
    sums[height].first += load;
    ++sums[height].second;
  }
  std::map<double, double> means;
  for (const auto& [height, sum] : sums) {
    means[height] = sum.first / sum.second;
  }
  return means;
}

/// Readings are at two different heights at least, three for a curve.
Polynomial fit(std::span<const SpringReading> readings, SpringShape shape) {
  const auto [least, most] = std::minmax_element(
      readings.begin(), readings.end(), [](const auto& a, const auto& b) { return a.height < b.height; });
  const double centre = 0.5 * (least->height + most->height);
  const double scale = 0.5 * (most->height - least->height);
  // Normal equations: with places within ±1 they lose nothing that matters.
  const Eigen::Index terms = shape == SpringShape::curve ? 3 : 2;
  Eigen::Matrix3d products = Eigen::Matrix3d::Zero();
  Eigen::Vector3d sums = Eigen::Vector3d::Zero();
  for (const auto& [height, load] : readings) {
    const double x = (centre - height) / scale;
    const Eigen::Vector3d powers(1.0, x, x * x);
    products += powers * powers.transpose();
    sums += powers * load;
  }
  if (terms == 2) {
    products.row(2).setZero();
    products.col(2).setZero();
    products(2, 2) = 1.0;
    sums(2) = 0.0;
  }
  const Eigen::Vector3d c = products.ldlt().solve(sums);
  return {centre, c(0), c(1) / scale, c(2) / (scale * scale)};
}

struct Attempt {
  std::vector<std::string> problems;
  Polynomial curve;
};

Attempt attempt(std::span<const SpringReading> readings, SpringShape shape) {
  for (const auto& [height, load] : readings) {
    if (!(height > 0.0 && std::isfinite(height) && load > 0.0 && std::isfinite(load))) {
      return {{"heights and loads of a spring must be finite and greater than zero"}, {}};
    }
  }
  std::vector<double> heights;
  for (const SpringReading& reading : readings) {
    heights.push_back(reading.height);
  }
  std::sort(heights.begin(), heights.end());
  const auto different = std::unique(heights.begin(), heights.end()) - heights.begin();
  const int needed = shape == SpringShape::curve ? 3 : 2;
  if (different < needed) {
    return {{fmt::format("a {} needs readings at {} different heights, there are {}",
                         shape == SpringShape::curve ? "curve" : "line", needed, different)},
            {}};
  }
  Attempt result{{}, fit(readings, shape)};
  if (!(result.curve.rate(heights.front()) > 0.0 &&
        result.curve.rate(heights[static_cast<std::size_t>(different - 1)]) > 0.0)) {
    result.problems.emplace_back("the load does not grow as the spring is compressed");
  }
  return result;
}

}  // namespace

std::vector<LoadFall> load_falls(std::span<const SpringReading> readings) {
  std::vector<LoadFall> falls;
  const auto means = loads_by_height(readings);
  for (auto taller = means.rbegin(); taller != means.rend(); ++taller) {
    const auto shorter = std::next(taller);
    if (shorter != means.rend() && shorter->second < taller->second) {
      falls.push_back({taller->first, shorter->first, taller->second - shorter->second});
    }
  }
  return falls;
}

std::vector<std::string> spring_problems(std::span<const SpringReading> readings, SpringShape shape) {
  return attempt(readings, shape).problems;
}

SpringCharacteristic::SpringCharacteristic(std::span<const SpringReading> readings, SpringShape shape) {
  auto made = of(readings, shape);
  if (!made) {
    throw std::invalid_argument("SpringCharacteristic: " + spring_problems(readings, shape).front());
  }
  *this = std::move(*made);
}

std::optional<SpringCharacteristic> SpringCharacteristic::of(std::span<const SpringReading> readings,
                                                             SpringShape shape) {
  const auto [problems, curve] = attempt(readings, shape);
  if (!problems.empty()) {
    return std::nullopt;
  }
  SpringCharacteristic spring;
  spring.centre_ = curve.centre;
  spring.constant_ = curve.constant;
  spring.slope_ = curve.slope;
  spring.bend_ = curve.bend;
  spring.shortest_ = spring.tallest_ = readings.front().height;
  for (const auto& [height, load] : readings) {
    spring.shortest_ = std::min(spring.shortest_, height);
    spring.tallest_ = std::max(spring.tallest_, height);
    spring.residuals_.push_back(load - curve.load(height));
  }
  return spring;
}

SpringCharacteristic SpringCharacteristic::from_rate(double height, double load, double rate) {
  if (!(height > 0.0 && load > 0.0 && rate > 0.0 && std::isfinite(height + load + rate))) {
    throw std::invalid_argument(
        "SpringCharacteristic: height, load and rate must be finite and greater than zero");
  }
  SpringCharacteristic spring;
  spring.centre_ = spring.shortest_ = spring.tallest_ = height;
  spring.constant_ = load;
  spring.slope_ = rate;
  return spring;
}

double SpringCharacteristic::rate(double height) const {
  const double within = std::clamp(height, shortest_, tallest_);
  return slope_ + 2.0 * bend_ * (centre_ - within);
}

double SpringCharacteristic::unclipped(double height) const {
  const double within = std::clamp(height, shortest_, tallest_);
  const double compression = centre_ - within;
  return constant_ + compression * (slope_ + bend_ * compression) + rate(within) * (within - height);
}

double SpringCharacteristic::load(double height) const {
  return std::max(0.0, unclipped(height));
}

double SpringCharacteristic::height_at_load(double load) const {
  if (!(load >= 0.0 && std::isfinite(load))) {
    throw std::invalid_argument("SpringCharacteristic: a load is finite and not negative");
  }
  for (const double end : {tallest_, shortest_}) {
    const double beyond = load - unclipped(end);
    if (end == tallest_ ? beyond <= 0.0 : beyond >= 0.0) {
      return end - beyond / rate(end);
    }
  }
  // b x² + k x = F − c, in the form that does not cancel as b goes to zero.
  const double excess = load - constant_;
  const double root = std::sqrt(std::max(0.0, slope_ * slope_ + 4.0 * bend_ * excess));
  return centre_ - 2.0 * excess / (slope_ + root);
}

double SpringCharacteristic::free_height() const {
  return height_at_load(0.0);
}

double SpringSet::load(double height) const {
  double sum = 0.0;
  for (const auto& nested : springs) {
    sum += nested.spring.load(height - nested.step);
  }
  return sum;
}

double SpringSet::rate(double height) const {
  double sum = 0.0;
  for (const auto& nested : springs) {
    const double own = height - nested.step;
    sum += nested.spring.load(own) > 0.0 ? nested.spring.rate(own) : 0.0;
  }
  return sum;
}

double SpringSet::load_compressing(double height) const {
  const double elastic = load(height);
  return elastic + damper_friction + damper_fraction * elastic;
}

double SpringSet::load_relaxing(double height) const {
  const double elastic = load(height);
  return std::max(0.0, elastic - damper_friction - damper_fraction * elastic);
}

bool SpringSet::measured(double height) const {
  return std::all_of(springs.begin(), springs.end(), [&](const NestedSpring& nested) {
    return nested.spring.measured(height - nested.step);
  });
}

std::optional<double> SpringSet::solid_height() const {
  std::optional<double> solid;
  for (const auto& nested : springs) {
    if (nested.solid_height) {
      solid = std::max(solid.value_or(-HUGE_VAL), *nested.solid_height + nested.step);
    }
  }
  return solid;
}

std::optional<double> SpringSet::height_at_load(double load_wanted) const {
  if (!(load_wanted > 0.0 && std::isfinite(load_wanted)) || springs.empty()) {
    return std::nullopt;
  }
  double tall = -HUGE_VAL;   // no spring touches above it
  double short_ = HUGE_VAL;  // here one spring alone carries the whole load
  for (const auto& nested : springs) {
    tall = std::max(tall, nested.spring.free_height() + nested.step);
    short_ = std::min(short_, nested.spring.height_at_load(load_wanted) + nested.step);
  }
  if (springs.size() == 1) {
    return short_;
  }
  std::uintmax_t iterations = 100;
  const auto [low, high] =
      boost::math::tools::toms748_solve([&](double height) { return load(height) - load_wanted; }, short_,
                                        tall, boost::math::tools::eps_tolerance<double>(51), iterations);
  return 0.5 * (low + high);
}

std::optional<std::string> spring_place_problem(const SpringSet& set, const SpringPlace& place) {
  if (set.springs.empty()) {
    return "there is no spring in the set";
  }
  if (!(set.damper_friction >= 0.0 && set.damper_fraction >= 0.0 && set.damper_fraction < 1.0)) {
    return "a damper's friction is not negative and less than the load";
  }
  if (!(place.net_lift >= 0.0 && place.shims >= 0.0 && std::isfinite(place.net_lift + place.shims))) {
    return "lift and shims are finite and not negative";
  }
  if (!(place.installed_height - place.net_lift - place.shims > 0.0 &&
        std::isfinite(place.installed_height))) {
    return "no height is left for the spring at full lift";
  }
  return std::nullopt;
}

InstalledSpring install(const SpringSet& set, const SpringPlace& place) {
  if (const auto problem = spring_place_problem(set, place)) {
    throw std::invalid_argument("install: " + *problem);
  }
  InstalledSpring result;
  result.seat_height = place.installed_height - place.shims;
  result.open_height = result.seat_height - place.net_lift;
  result.seat_load = set.load(result.seat_height);
  result.open_load = set.load(result.open_height);
  result.seat_rate = set.rate(result.seat_height);
  result.open_rate = set.rate(result.open_height);
  result.measured = set.measured(result.seat_height) && set.measured(result.open_height);
  if (const auto solid = set.solid_height()) {
    result.bind_margin = result.open_height - *solid;
  }
  if (place.retainer_to_seal) {
    result.retainer_margin = *place.retainer_to_seal - place.net_lift;
  }
  return result;
}

std::optional<double> shims_for_seat_load(const SpringSet& set, double installed_height, double seat_load) {
  const auto height = set.height_at_load(seat_load);
  if (!height || !std::isfinite(installed_height)) {
    return std::nullopt;
  }
  return installed_height - *height;
}

}  // namespace fettle::mechanism
