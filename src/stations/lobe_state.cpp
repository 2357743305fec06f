#include "stations/lobe_state.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "mechanism/circular.h"
#include "quantity/angle.h"
#include "stations/lobe_slopes.h"

namespace fettle::stations {
namespace {

using build::Side;
using build::Valve;
using mechanism::full_turn;
using mechanism::wrap_centred;

constexpr double degree = quantity::radians_per_degree;

/// Means of everything read of one event, each determination with the weight its tools give it.
class EventMeans {
 public:
  explicit EventMeans(double centre) : centre_(centre) {}

  void add(double at, Side side, double angle, double weight) {
    Slot& slot = slot_at(at);
    Sum& sum = side == Side::opening ? slot.opening : slot.closing;
    if (!sum.first) {
      sum.first = angle;
    }
    sum.weighted += weight * wrap_centred(angle - *sum.first, full_turn);
    sum.weight += weight;
  }

  std::vector<LobeEvents> events() const {
    std::vector<LobeEvents> all;
    for (const Slot& slot : slots_) {
      all.push_back(on_one_turn({slot.at, slot.opening.mean(), slot.closing.mean()}));
    }
    std::sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.at < b.at; });
    return all;
  }

 private:
  struct Sum {
    std::optional<double> first;
    double weighted = 0;
    double weight = 0;
    std::optional<double> mean() const {
      return first ? std::optional(*first + weighted / weight) : std::nullopt;
    }
  };
  struct Slot {
    double at = 0;
    Sum opening, closing;
  };
  Slot& slot_at(double at) {
    for (Slot& slot : slots_) {
      if (same_lift(slot.at, at)) {
        return slot;
      }
    }
    return slots_.emplace_back(Slot{at, {}, {}});
  }
  /// A wheel tells neither flank's turn: the closing is the first after the opening, and both are on the turn
  /// that brings their middle nearest to where the lobe is expected.
  LobeEvents on_one_turn(const LobeEvents& events) const {
    if (!events.opening || !events.closing) {
      return events;
    }
    const double duration = mechanism::wrap_positive(*events.closing - *events.opening, full_turn);
    const double middle = *events.opening + duration / 2;
    const double nearest = centre_ + wrap_centred(middle - centre_, full_turn);
    return {events.at, nearest - duration / 2, nearest + duration / 2};
  }

  double centre_;
  std::vector<Slot> slots_;
};

struct WeightedMean {
  std::optional<double> first;
  double weighted = 0;
  double weight = 0;
  void add(double value, double w) {
    first = first ? first : value;
    weighted += w * (value - *first);
    weight += w;
  }
  std::optional<double> mean() const {
    return first ? std::optional(*first + weighted / weight) : std::nullopt;
  }
};

double variance_of(const Sources& sources, std::optional<std::size_t> input) {
  const double u = input ? sources.inputs()[*input].u() : 0;
  return u * u;
}

/// Gathers the readings of one lobe in the frame of its own overlap TDC.
class LobeGatherer {
 public:
  LobeGatherer(const Observed& observed, const LobeKey& key, double tdc)
      : observed_(observed),
        tdc_(tdc + observed.sources().phases().crank_phase(key.cylinder)),
        centre_(expected_centre(observed.build(), key.valve)),
        lifts_(centre_),
        drops_(centre_) {}

  void add_sweep(int place) {
    const SweptLobe lobe = observed_.lobe(place);
    const FittedSweep& fitted = *observed_.sources().sweep(place);
    // The whole lobe is on one turn: the one that brings its top near to where it is expected.
    const double shift = near(lobe.top, centre_) - lobe.top;
    const auto weight = [&](double slope, double effective_u) {
      return slope * slope / (effective_u * effective_u);
    };
    const double u = fitted.reduced->fit.effective_u.empty() ? 1e-6 : fitted.reduced->fit.effective_u.front();
    std::size_t crossing = 0;
    for (const auto& check : fitted.reduced->reduction.checks) {
      if (check.opening && check.closing) {
        const auto& events = lobe.crossings[crossing++];
        lifts_.add(events.lift, Side::opening, events.opening + shift, weight(check.opening->slope, u));
        lifts_.add(events.lift, Side::closing, events.closing + shift, weight(check.closing->slope, u));
      }
    }
    top_.add(lobe.top + shift, 1 / std::pow(0.5 * degree, 2));
    max_lift_.add(lobe.max_lift, 1);
  }

  /// Points come in any order; each is on the turn that fits its flank.
  void add_point(int place, const LobeSlopes& slopes, const LiftBasis& basis) {
    const build::Reading& reading = observed_.reading(place);
    const Sources& sources = observed_.sources();
    const Side side = *reading.side;
    const double measured = observed_.lift(place);
    const bool from_top = reading.below_max.has_value();
    const double nominal = from_top ? reading.below_max->si() : reading.lift->si();
    const double lift_on_lobe =
        from_top ? slopes.max_lift() - nominal * basis.factor : basis.to_card(nominal);
    const auto slope = slopes.at_lift(lift_on_lobe, side);
    const double measured_slope = slope ? *slope / basis.factor : 0;

    // The reading was meant at `nominal`; a lift that was really more (or a drop that was really less) lies
    // nearer to the top, so that the nominal place is passed farther out.
    const double excess = from_top ? nominal - measured : measured - nominal;
    const double outward = slope ? excess / measured_slope : 0;
    const double half = from_top ? 30 * degree : 110 * degree;
    const double expected = side == Side::opening ? centre_ - half : centre_ + half;
    const double angle =
        near(observed_.turned(place), expected) + (side == Side::opening ? -outward : outward);

    double variance = variance_of(sources, sources.wheel_input(place));
    if (slope) {
      variance += variance_of(sources, sources.lift_input(place)) / (measured_slope * measured_slope);
    }
    (from_top ? drops_ : lifts_)
        .add(from_top ? nominal : basis.to_card(nominal), side, angle, 1 / std::max(variance, 3e-10));
  }

  void add_top(int place, const LiftBasis& basis) {
    const build::Reading& reading = observed_.reading(place);
    if (reading.wheel) {
      top_.add(near(observed_.turned(place), centre_), 1 / std::pow(2 * degree, 2));
    }
    if (reading.lift) {
      max_lift_.add(basis.to_card(observed_.lift(place)), 1);
    }
  }

  LobeState state() const { return {lifts_.events(), drops_.events(), top_.mean(), max_lift_.mean()}; }

 private:
  double near(double turned, double expected) const {
    return expected + wrap_centred(turned - tdc_ - expected, full_turn);
  }

  const Observed& observed_;
  double tdc_;
  double centre_;
  EventMeans lifts_, drops_;
  WeightedMean top_, max_lift_;
};

}  // namespace

LobeState lobe_state(const Observed& observed, const LobeKey& key, const LobeReadings& readings, double tdc) {
  LobeGatherer gatherer(observed, key, tdc);
  const auto basis_of = [&](int place) {
    return lift_basis(observed.build(), key.valve,
                      observed.reading(place).measured_at.value_or(build::MeasuredAt::lifter));
  };
  for (const int place : readings.sweeps) {
    if (observed.sources().sweep(place) != nullptr) {
      gatherer.add_sweep(place);
    }
  }
  if (!readings.points.empty()) {
    const LobeSlopes& slopes = observed.sources().slopes(key.valve);
    for (const int place : readings.points) {
      gatherer.add_point(place, slopes, basis_of(place));
    }
  }
  for (const int place : readings.tops) {
    gatherer.add_top(place, basis_of(place));
  }
  return gatherer.state();
}

std::optional<double> midpoint(const LobeEvents& events) {
  if (!events.opening || !events.closing) {
    return std::nullopt;
  }
  return (*events.opening + *events.closing) / 2;
}

std::optional<LobeCentre> lobe_centre(const LobeState& state) {
  constexpr double inch = 0.0254;
  if (const LobeEvents* main = events_at(state, main_check_lift); main != nullptr && midpoint(*main)) {
    return LobeCentre{*midpoint(*main), "midpoint at 0.050 in"};
  }
  for (const LobeEvents& drop : state.drops) {
    if (const auto middle = midpoint(drop)) {
      return LobeCentre{*middle, fmt::format("midpoint {:.3f} in below the top", drop.at / inch)};
    }
  }
  for (const LobeEvents& lift : state.lifts) {
    if (const auto middle = midpoint(lift)) {
      return LobeCentre{*middle, fmt::format("midpoint at {:.3f} in", lift.at / inch)};
    }
  }
  if (state.top) {
    return LobeCentre{*state.top, "place of the greatest lift"};
  }
  return std::nullopt;
}

const LobeEvents* events_at(const LobeState& state, double lift) {
  for (const LobeEvents& events : state.lifts) {
    if (same_lift(events.at, lift)) {
      return &events;
    }
  }
  return nullptr;
}

}  // namespace fettle::stations
