#include "stations/lobe_slopes.h"

#include <algorithm>
#include <cmath>

#include "quantity/angle.h"
#include "stations/card_lobe.h"
#include "stations/limits.h"

namespace fettle::stations {

namespace {
constexpr double degree = quantity::radians_per_degree;
constexpr double sample_step = 0.5 * degree;
}  // namespace

double expected_centre(const build::Build& build, build::Valve valve) {
  constexpr double usual = 110 * degree;
  const double centre = card_centreline(build, valve).value_or(usual);
  return valve == build::Valve::intake ? centre : -centre;
}

LobeSlopes::LobeSlopes(const build::Build& build, build::Valve valve, Memory& memory) {
  auto lobe = card_lobe(build, valve, memory);
  from_card_ = lobe != nullptr;
  if (!lobe) {
    lobe = usual_lobe(expected_centre(build, valve), memory);
  }
  const auto steps = static_cast<int>((lobe->lift_end - lobe->lift_start) / sample_step);
  for (int i = 0; i <= steps; ++i) {
    const double angle = lobe->lift_start + i * sample_step;
    lifts_.push_back(lobe->curve->value(angle));
    slopes_.push_back(lobe->curve->derivative(angle, 1));
    if (lifts_.back() > max_lift_) {
      max_lift_ = lifts_.back();
      top_ = lifts_.size() - 1;
    }
  }
}

double LobeSlopes::nose_half_width(double drop) const {
  const auto above = [&](double lift) { return lift >= max_lift_ - drop; };
  const auto count = std::count_if(lifts_.begin(), lifts_.end(), above);
  return static_cast<double>(count) * sample_step / 2;
}

std::optional<double> LobeSlopes::at_lift(double lift, build::Side side) const {
  // Lift rises to the top and falls from there.
  const auto top = lifts_.begin() + static_cast<std::ptrdiff_t>(top_);
  const bool opening = side == build::Side::opening;
  const auto beyond = opening
                          ? std::lower_bound(lifts_.begin(), top + 1, lift)
                          : std::partition_point(top, lifts_.end(), [&](double at) { return at >= lift; });
  const auto end = opening ? top + 1 : lifts_.end();
  if (beyond == lifts_.begin() || beyond == end || (!opening && beyond == top)) {
    return std::nullopt;
  }
  const auto i = static_cast<std::size_t>(beyond - lifts_.begin());
  const double part = (lift - lifts_[i - 1]) / (lifts_[i] - lifts_[i - 1]);
  return std::abs(slopes_[i - 1] + part * (slopes_[i] - slopes_[i - 1]));
}

}  // namespace fettle::stations
