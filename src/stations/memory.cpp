#include "stations/memory.h"

#include <algorithm>
#include <cmath>
#include <type_traits>
#include <utility>

#include "mechanism/circular.h"
#include "mechanism/lobe.h"

namespace fettle::stations {
namespace {

/// Arguments as bytes; equal keys mean arguments equal to the bit.
class Key {
 public:
  template <class T>
  Key& add(const T& value) {
    static_assert(std::is_arithmetic_v<T>);
    bytes_.append(reinterpret_cast<const char*>(&value), sizeof value);
    return *this;
  }
  const std::string& bytes() const { return bytes_; }

 private:
  std::string bytes_;
};

/// What stations look at (SweptFeature), the most asked for first, so that it takes the fewest modes.
metrology::CovarianceBlock features_of(const mechanism::LobeReduction& reduction,
                                       const metrology::SplineFit& fit) {
  using mechanism::LobeCovariance;
  const LobeCovariance covariance = mechanism::lobe_covariance(reduction, fit);
  std::vector<Eigen::Index> rows{LobeCovariance::max_lift(), LobeCovariance::top()};
  std::vector<double> values{reduction.max_lift, reduction.top};
  for (std::size_t i = 0; i < reduction.checks.size(); ++i) {
    const mechanism::CheckResult& check = reduction.checks[i];
    rows.push_back(LobeCovariance::opening(i));
    values.push_back(check.opening ? check.opening->angle : 0);
    rows.push_back(LobeCovariance::closing(i));
    values.push_back(check.closing ? check.closing->angle : 0);
  }
  return {"sweep", Eigen::Map<const Eigen::VectorXd>(values.data(), static_cast<Eigen::Index>(values.size())),
          covariance.matrix(rows, rows), fit.dof};
}

/// The same curve with the base circle where there are no readings, and a fit is free to wander. As it was
/// where the readings do not end on the base circle.
metrology::PeriodicSpline based_outside(const metrology::PeriodicSpline& curve, double first, double last,
                                        double base_level) {
  constexpr double on_base = 0.1e-3;
  const auto off_base = [&](double x) { return std::abs(curve.value(x) - base_level) > on_base; };
  if (off_base(first) || off_base(last)) {
    return curve;
  }
  const double unread = curve.period() - (last - first);
  Eigen::VectorXd coefficients = curve.coefficients();
  for (std::size_t i = 0; i < curve.knots(); ++i) {
    const double knot = curve.origin() + static_cast<double>(i) * curve.knot_spacing();
    const double beyond = mechanism::wrap_positive(knot - last, curve.period());
    if (beyond > 0 && beyond < unread) {
      Eigen::Index own = 0;
      curve.basis(knot).maxCoeff(&own);
      coefficients[own] = base_level;
    }
  }
  return curve.with_coefficients(std::move(coefficients));
}

ReducedSweep reduce(std::span<const mechanism::SweepPoint> points, const std::vector<double>& check_lifts) {
  mechanism::SweepOptions sweep_options;
  // A misread point is out by many times its doubt; a ramp that the curve cannot quite follow is not misread.
  sweep_options.smoothing.outlier_limit = 6;
  // Ramps are short: rather follow the noise a little than flatten them.
  sweep_options.smoothing.cross_validation_factor = 1;
  // Knots go with the sweep, so that its result does not depend on how the wheel stands on the crank.
  sweep_options.smoothing.origin = points.front().crank_angle;
  ReducedSweep reduced{mechanism::fit_lobe_sweep(points, sweep_options), {}, {}};
  if (!reduced.fit.fit.converged) {
    reduced.reduction.summary = reduced.fit.fit.summary;
    return reduced;
  }
  mechanism::ReductionOptions options;
  options.covered = reduced.fit.covered;
  options.check_lifts = check_lifts;
  reduced.reduction = mechanism::reduce_lobe(reduced.fit.fit.curve, options);
  if (reduced.reduction.found) {
    reduced.block = metrology::independent_inputs(features_of(reduced.reduction, reduced.fit.fit), 0);
    if (reduced.reduction.base_measured) {
      const auto [first, last] =
          std::minmax_element(points.begin(), points.end(),
                              [](const auto& a, const auto& b) { return a.crank_angle < b.crank_angle; });
      reduced.fit.fit.curve = based_outside(reduced.fit.fit.curve, first->crank_angle, last->crank_angle,
                                            reduced.reduction.base_level);
    }
  }
  return reduced;
}

}  // namespace

std::shared_ptr<const mechanism::SynthesisedLobe> Memory::lobe(const mechanism::LobeCard& card) {
  Key key;
  key.add(card.max_lift).add(card.top);
  for (const auto& event : card.events) {
    key.add(event.lift).add(event.opening).add(event.closing);
  }
  return lobes_.get(key.bytes(), [&] { return mechanism::synthesise_lobe(card); });
}

std::shared_ptr<const ReducedSweep> Memory::sweep(std::span<const mechanism::SweepPoint> points,
                                                  const std::vector<double>& check_lifts) {
  Key key;
  key.add(points.size());
  for (const auto& point : points) {
    key.add(point.crank_angle).add(point.lift).add(point.lift_u).add(point.angle_u);
  }
  for (const double lift : check_lifts) {
    key.add(lift);
  }
  return sweeps_.get(key.bytes(), [&] { return reduce(points, check_lifts); });
}

std::shared_ptr<const mechanism::JournalTable> Memory::journal(double length_over_diameter) {
  return journals_.get(Key().add(length_over_diameter).bytes(),
                       [&] { return mechanism::JournalTable(length_over_diameter); });
}

}  // namespace fettle::stations
