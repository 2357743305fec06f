#include "mechanism/lobe.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "mechanism/circular.h"

namespace fettle::mechanism {

namespace {

using metrology::PeriodicSpline;

constexpr double inch = 0.0254;
constexpr std::size_t least_samples = 144;  // five crank degrees apart

bool covers(const std::vector<Arc>& arcs, double angle, double period) {
  if (arcs.empty()) {
    return true;
  }
  constexpr double slack = 1e-9;
  return std::any_of(arcs.begin(), arcs.end(), [&](const Arc& arc) {
    return wrap_positive(angle - arc.from + slack, period) <= arc.to - arc.from + 2.0 * slack;
  });
}

/// The parts of `outer` that the arcs cover; all of it where there are no arcs.
std::vector<Arc> intersection(const Arc& outer, const std::vector<Arc>& arcs, double period) {
  if (arcs.empty()) {
    return {outer};
  }
  const double length = outer.to - outer.from;
  std::vector<Arc> parts;
  for (const Arc& arc : arcs) {
    const double begin = wrap_positive(arc.from - outer.from, period);
    for (const double start : {begin - period, begin}) {
      const double from = std::max(0.0, start);
      const double to = std::min(length, start + (arc.to - arc.from));
      if (to > from) {
        parts.push_back({outer.from + from, outer.from + to});
      }
    }
  }
  return parts;
}

/// The curve sampled round the cycle, and the root searches on it.
class Scan {
 public:
  Scan(const PeriodicSpline& curve, const std::vector<Arc>& covered)
      : curve_(curve), covered_(covered), values_(std::max(curve.knots(), least_samples)) {
    step_ = curve.period() / static_cast<double>(values_.size());
    for (std::size_t i = 0; i < values_.size(); ++i) {
      values_[i] = curve.value(angle(i));
    }
  }

  /// Refines the highest covered sample; nothing is covered: no top.
  bool find_top() {
    bool any = false;
    for (std::size_t i = 0; i < values_.size(); ++i) {
      if ((!any || values_[i] > values_[top_sample_]) && covers(covered_, angle(i), curve_.period())) {
        top_sample_ = i;
        any = true;
      }
    }
    if (any) {
      refine_top();
    }
    return any;
  }

  /// Median of the covered samples in the lowest tenth of the rise: a first idea of the base circle.
  double low_level() const {
    std::vector<double> low;
    low.reserve(values_.size());
    for (std::size_t i = 0; i < values_.size(); ++i) {
      if (covers(covered_, angle(i), curve_.period())) {
        low.push_back(values_[i]);
      }
    }
    const double least = *std::min_element(low.begin(), low.end());
    const double bound = least + 0.1 * (curve_.value(top_) - least);
    low.erase(std::remove_if(low.begin(), low.end(), [&](double value) { return value > bound; }), low.end());
    const auto middle = low.begin() + static_cast<std::ptrdiff_t>(low.size() / 2);
    std::nth_element(low.begin(), middle, low.end());
    return *middle;
  }

  double top() const { return top_; }

  /// First crossing of `level` from the top outward, backward (direction −1) or forward (+1), within half a
  /// cycle.
  std::optional<LiftCrossing> crossing(double level, int direction) const {
    const double top_value = curve_.value(top_);
    if (!(level < top_value)) {
      return std::nullopt;
    }
    double inner = top_;
    const std::size_t count = values_.size();
    for (std::size_t k = 0; k < count / 2; ++k) {
      const std::size_t i = direction > 0 ? (top_sample_ + k) % count : (top_sample_ + count - k) % count;
      const double outer = top_sample_angle_ + direction * static_cast<double>(k) * step_;
      if (direction * (outer - top_) <= 0.0) {
        continue;  // the sample beside the top may lie on its other side
      }
      if (values_[i] < level) {
        const double root = bracketed_root(level, inner, outer);
        if (!covers(covered_, root, curve_.period())) {
          return std::nullopt;
        }
        return LiftCrossing{root, curve_.derivative(root, 1)};
      }
      inner = outer;
    }
    return std::nullopt;
  }

  /// Greatest of sign · derivative of the given order over covered samples in [from, to], the vertex of the
  /// parabola through the best three.
  double extreme(int order, double sign, double from, double to) const {
    double best_angle = from;
    double best = -std::numeric_limits<double>::infinity();
    for (double x = from; x <= to; x += step_) {
      const double value = sign * curve_.derivative(x, order);
      if (value > best && covers(covered_, x, curve_.period())) {
        best = value;
        best_angle = x;
      }
    }
    const double left = sign * curve_.derivative(best_angle - step_, order);
    const double right = sign * curve_.derivative(best_angle + step_, order);
    const double bend = left - 2.0 * best + right;
    if (bend < 0.0) {
      const double vertex = best_angle + step_ * std::clamp(0.5 * (left - right) / bend, -1.0, 1.0);
      if (covers(covered_, vertex, curve_.period())) {
        best = std::max(best, sign * curve_.derivative(vertex, order));
      }
    }
    return sign * best;
  }

  /// Greatest less least value over arcs, at the samples and at the arcs' ends.
  double range_over(const std::vector<Arc>& arcs) const {
    double least = std::numeric_limits<double>::infinity();
    double greatest = -least;
    for (const Arc& arc : arcs) {
      const int pieces = std::max(1, static_cast<int>(std::ceil((arc.to - arc.from) / step_)));
      for (int i = 0; i <= pieces; ++i) {
        const double value = curve_.value(arc.from + (arc.to - arc.from) * i / pieces);
        least = std::min(least, value);
        greatest = std::max(greatest, value);
      }
    }
    return greatest - least;
  }

 private:
  double angle(std::size_t sample) const { return curve_.origin() + step_ * static_cast<double>(sample); }

  // Root of the slope beside the highest sample, by Newton's method kept within the bracket by bisection.
  void refine_top() {
    double low = angle(top_sample_) - step_;
    double high = angle(top_sample_) + step_;
    double x = angle(top_sample_);
    for (int i = 0; i < 60 && high - low > 0.0; ++i) {
      const double slope = curve_.derivative(x, 1);
      (slope > 0.0 ? low : high) = x;
      const double bend = curve_.derivative(x, 2);
      double next = bend < 0.0 ? x - slope / bend : low;
      if (!(next > low && next < high)) {
        next = 0.5 * (low + high);
      }
      const bool settled = std::abs(next - x) < 1e-13;
      x = next;
      if (settled) {
        break;
      }
    }
    top_ = wrap_centred(x, curve_.period());
    top_sample_angle_ = top_ + (angle(top_sample_) - x);
  }

  // L − level is positive (or zero) at `inner`, negative at `outer`.
  double bracketed_root(double level, double inner, double outer) const {
    double x = 0.5 * (inner + outer);
    for (int i = 0; i < 80; ++i) {
      const double excess = curve_.value(x) - level;
      if (excess == 0.0) {
        return x;
      }
      (excess > 0.0 ? inner : outer) = x;
      const double slope = curve_.derivative(x, 1);
      double next = slope != 0.0 ? x - excess / slope : outer;
      if (!(next > std::min(inner, outer) && next < std::max(inner, outer))) {
        next = 0.5 * (inner + outer);
      }
      const bool settled = std::abs(next - x) < 1e-13;
      x = next;
      if (settled) {
        break;
      }
    }
    return x;
  }

  const PeriodicSpline& curve_;
  const std::vector<Arc>& covered_;
  std::vector<double> values_;
  double step_ = 0.0;
  std::size_t top_sample_ = 0;
  double top_ = 0.0;
  double top_sample_angle_ = 0.0;  // of top_sample_, unwrapped beside top_
};

void check_options(const ReductionOptions& options, double period) {
  const auto require = [](bool condition, const char* message) {
    if (!condition) {
      throw std::invalid_argument(message);
    }
  };
  const auto positive = [](double value) { return std::isfinite(value) && value > 0.0; };
  require(std::all_of(options.check_lifts.begin(), options.check_lifts.end(), positive),
          "ReductionOptions: check lifts must be positive");
  require(std::all_of(options.drops.begin(), options.drops.end(), positive),
          "ReductionOptions: drops must be positive");
  require(positive(options.asymmetry_lift) && positive(options.base_lift) &&
              positive(options.least_base_arc) && positive(options.least_lift),
          "ReductionOptions: asymmetry_lift, base_lift, least_base_arc and least_lift must be positive");
  require(std::isfinite(options.base_margin) && options.base_margin >= 0.0,
          "ReductionOptions: base_margin must not be negative");
  for (const Arc& arc : options.covered) {
    require(std::isfinite(arc.from) && arc.to > arc.from && arc.to - arc.from <= period * (1.0 + 1e-12),
            "ReductionOptions: a covered arc must be longer than zero and no longer than the period");
  }
}

/// Angles at which the lobe, without its ramps, ends; a side that is not covered is taken as long as the
/// other.
std::optional<Arc> lobe_extent(const Scan& scan, double level) {
  const auto opening = scan.crossing(level, -1);
  const auto closing = scan.crossing(level, +1);
  if (!opening && !closing) {
    return std::nullopt;
  }
  const double before = opening ? scan.top() - opening->angle : closing->angle - scan.top();
  const double after = closing ? closing->angle - scan.top() : before;
  return Arc{scan.top() - before, scan.top() + after};
}

void measure_base(LobeReduction& result, const PeriodicSpline& curve, const Scan& scan, const Arc& lobe,
                  const ReductionOptions& options) {
  const Arc base{lobe.to + options.base_margin, lobe.from - options.base_margin + curve.period()};
  if (base.to <= base.from) {
    return;
  }
  const std::vector<Arc> arcs = intersection(base, options.covered, curve.period());
  double length = 0.0;
  double sum = 0.0;
  for (const Arc& arc : arcs) {
    length += arc.to - arc.from;
    sum += curve.integral(arc.from, arc.to);
  }
  if (length < options.least_base_arc) {
    return;
  }
  result.base_measured = true;
  result.base_arcs = arcs;
  result.base_level = sum / length;
  result.base_runout = scan.range_over(arcs);
}

CheckResult check_at(double lift, const LobeReduction& result, const PeriodicSpline& curve,
                     const Scan& scan) {
  CheckResult check;
  check.lift = lift;
  const double level = result.base_level + lift;
  check.opening = scan.crossing(level, -1);
  check.closing = scan.crossing(level, +1);
  if (check.opening && check.closing) {
    const double from = check.opening->angle;
    const double to = check.closing->angle;
    check.duration = to - from;
    check.centreline = 0.5 * (from + to);
    check.area = curve.integral(from, to) - level * (to - from);
  }
  return check;
}

DropResult drop_at(double drop, const LobeReduction& result, const Scan& scan) {
  DropResult out;
  out.drop = drop;
  if (drop < result.max_lift) {
    const double level = result.base_level + result.max_lift - drop;
    out.before = scan.crossing(level, -1);
    out.after = scan.crossing(level, +1);
    if (out.before && out.after) {
      out.centreline = 0.5 * (out.before->angle + out.after->angle);
    }
  }
  return out;
}

}  // namespace

std::vector<double> customary_check_lifts() {
  return {0.006 * inch, 0.020 * inch, 0.050 * inch, 0.100 * inch, 0.200 * inch, 0.1e-3, 1e-3};
}

LobeReduction reduce_lobe(const PeriodicSpline& curve, const ReductionOptions& options) {
  check_options(options, curve.period());
  LobeReduction result;
  Scan scan(curve, options.covered);
  if (!scan.find_top()) {
    result.summary = "no part of the cycle is covered";
    return result;
  }
  const double low = scan.low_level();
  const auto extent = lobe_extent(scan, low + options.base_lift);
  if (curve.value(scan.top()) - low < options.least_lift || !extent) {
    result.summary = "the curve holds no lobe";
    return result;
  }
  measure_base(result, curve, scan, *extent, options);
  result.top = scan.top();
  result.max_lift = curve.value(result.top) - result.base_level;
  // A root of the slope, and not the end of the search beside the last reading.
  const bool level = std::abs(curve.derivative(result.top, 1)) < 1e-6 * std::abs(result.max_lift);
  if (!level || curve.derivative(result.top, 2) >= 0.0 || result.max_lift <= 0.0 ||
      !covers(options.covered, result.top, curve.period())) {
    result.summary = "the greatest lift is not a top: it lies at the edge of the readings";
    return result;
  }
  result.found = true;
  result.summary =
      result.base_measured ? "complete" : "the base circle is not covered: lifts count from the zero";
  for (const double lift : options.check_lifts) {
    result.checks.push_back(check_at(lift, result, curve, scan));
  }
  for (const double drop : options.drops) {
    result.drops.push_back(drop_at(drop, result, scan));
  }
  const CheckResult split = check_at(options.asymmetry_lift, result, curve, scan);
  if (split.centreline) {
    result.asymmetry = *split.centreline - result.top;
  }
  result.opening_velocity = scan.extreme(1, 1.0, extent->from, result.top);
  result.closing_velocity = scan.extreme(1, -1.0, result.top, extent->to);
  result.flank_acceleration = scan.extreme(2, 1.0, extent->from, extent->to);
  result.nose_acceleration = scan.extreme(2, -1.0, extent->from, extent->to);
  return result;
}

}  // namespace fettle::mechanism
