#include "stations/balance_state.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include <fmt/format.h>

#include "build/layout.h"
#include "build/names.h"
#include "mechanism/circular.h"
#include "quantity/angle.h"
#include "stations/deck_state.h"
#include "stations/part_places.h"

namespace fettle::stations {
namespace {

using build::Arrangement;
using build::ReadingKind;
using build::WeighedItem;

constexpr double degree = quantity::radians_per_degree;

/// What a weighed part goes with when parts change places.
enum class Carrier { cylinder, piston, rod };
Carrier carrier_of(WeighedItem item) {
  switch (item) {
    case WeighedItem::piston:
    case WeighedItem::pin:
      return Carrier::piston;
    case WeighedItem::big_end:
    case WeighedItem::small_end:
    case WeighedItem::whole_rod:
      return Carrier::rod;
    default:
      return Carrier::cylinder;
  }
}

/// Stands for the mark of a part that was weighed for all of its kind.
constexpr int for_all = 0;

int mark_weighed(const Observed& observed, const build::Reading& reading) {
  switch (carrier_of(*reading.item)) {
    case Carrier::piston:
      return piston_of(observed, reading).value_or(for_all);
    case Carrier::rod:
      return rod_of(observed, reading).value_or(for_all);
    case Carrier::cylinder:
      break;
  }
  return reading.cylinder.value_or(for_all);
}

std::vector<int> weighings(const Observed& observed, WeighedItem item, int mark) {
  std::vector<int> places;
  for (const int place : observed.sources().inventory().of(ReadingKind::part_weight)) {
    const build::Reading& reading = observed.reading(place);
    if (reading.item == item && mark_weighed(observed, reading) == mark) {
      places.push_back(place);
    }
  }
  return places;
}

/// As read, less what was taken off since.
double weight_now(const Observed& observed, int place, int mark) {
  const build::Reading& reading = observed.reading(place);
  const double then = reading.lightened ? reading.lightened->si()
                                        : taken_off(observed.sources().build(), *reading.item, mark);
  return observed.amount(place, Amount::mass) - (taken_off(observed.build(), *reading.item, mark) - then);
}

/// Adds what was weighed, and says what was not.
class Sum {
 public:
  Sum(const Observed& observed, int cylinder) : observed_(observed), cylinder_(cylinder) {}
  void needed(const std::optional<double>& weight) {
    complete_ = complete_ && weight.has_value();
    total_ += weight.value_or(0);
  }
  void if_any(WeighedItem item) {
    const auto weight = weight_of(observed_, item, cylinder_);
    total_ += weight.value_or(0);
    if (!weight) {
      std::string name(build::word(item));
      left_out_ += (left_out_.empty() ? "without " : ", ") + name;
    }
  }
  std::optional<double> total() const { return complete_ ? std::optional(total_) : std::nullopt; }
  const std::string& left_out() const { return left_out_; }

 private:
  const Observed& observed_;
  int cylinder_;
  double total_ = 0;
  bool complete_ = true;
  std::string left_out_;
};

double bank_angle(const build::Build& build, Arrangement arrangement) {
  if (build.engine.bank_angle) {
    return build.engine.bank_angle->si();
  }
  return arrangement == Arrangement::flat ? std::numbers::pi : 90 * degree;
}

/// Throws that a bank angle gives by the firing order: a cylinder is at TDC where its throw stands in its
/// bore.
double throw_of(const Observed& observed, int cylinder, double bank) {
  return bank - observed.sources().phases().crank_phase(cylinder);
}

bool stand_alike(double a, double b) {
  return std::abs(mechanism::wrap_centred(a - b, mechanism::full_turn)) < 1 * degree;
}

/// Pairs of the two banks' cylinders that stand on one pin.
int shared_pins(const Observed& observed, const std::vector<std::vector<int>>& banks, double angle) {
  int shared = 0;
  for (std::size_t i = 0; i < banks[0].size(); ++i) {
    const bool alike =
        stand_alike(throw_of(observed, banks[0][i], 0), throw_of(observed, banks[1][i], angle));
    shared += alike ? 1 : 0;
  }
  return shared;
}

/// Of the second bank from the first, in the direction of rotation. Which way round it stands shows in the
/// pins: the cylinders side by side share one.
double second_bank_angle(const Observed& observed, const std::vector<std::vector<int>>& banks,
                         Arrangement arrangement) {
  const double angle = bank_angle(observed.build(), arrangement);
  const bool against =
      banks.size() == 2 && shared_pins(observed, banks, -angle) > shared_pins(observed, banks, angle);
  return against ? -angle : angle;
}

}  // namespace

double taken_off(const build::Build& build, WeighedItem item, int mark) {
  if (item == WeighedItem::whole_rod) {
    return taken_off(build, WeighedItem::big_end, mark) + taken_off(build, WeighedItem::small_end, mark);
  }
  double sum = 0;
  if (build.balance) {
    for (const build::TakenOff& one : build.balance->taken_off) {
      sum += one.item == item && one.number == mark ? one.amount.si() : 0;
    }
  }
  return sum;
}

int mark_of(const build::Build& build, WeighedItem item, int cylinder) {
  switch (carrier_of(item)) {
    case Carrier::piston:
      return piston_in(build, cylinder);
    case Carrier::rod:
      return rod_in(build, cylinder);
    case Carrier::cylinder:
      break;
  }
  return cylinder;
}

std::optional<double> marked_weight(const Observed& observed, WeighedItem item, int mark) {
  double sum = 0;
  int count = 0;
  for (const int place : weighings(observed, item, mark)) {
    sum += weight_now(observed, place, mark);
    ++count;
  }
  return count > 0 ? std::optional(sum / count) : std::nullopt;
}

std::vector<int> own_weighings(const Observed& observed, WeighedItem item, int cylinder) {
  return weighings(observed, item, mark_of(observed.build(), item, cylinder));
}

std::optional<double> weight_of(const Observed& observed, WeighedItem item, int cylinder) {
  const int mark = mark_of(observed.build(), item, cylinder);
  if (const auto own = marked_weight(observed, item, mark)) {
    return own;
  }
  const auto common = marked_weight(observed, item, for_all);
  return common ? std::optional(*common - taken_off(observed.build(), item, mark)) : std::nullopt;
}

MovingMasses moving_masses(const Observed& observed, int cylinder) {
  auto big = weight_of(observed, WeighedItem::big_end, cylinder);
  auto small = weight_of(observed, WeighedItem::small_end, cylinder);
  const auto whole = weight_of(observed, WeighedItem::whole_rod, cylinder);
  MovingMasses masses;
  if (big && small && whole) {
    masses.rod_closure = *big + *small - *whole;
  } else if (whole && big) {
    small = *whole - *big;
  } else if (whole && small) {
    big = *whole - *small;
  }
  Sum reciprocating(observed, cylinder);
  reciprocating.needed(small);
  reciprocating.needed(weight_of(observed, WeighedItem::piston, cylinder));
  reciprocating.needed(weight_of(observed, WeighedItem::pin, cylinder));
  reciprocating.if_any(WeighedItem::rings);
  reciprocating.if_any(WeighedItem::locks);
  Sum rotating(observed, cylinder);
  rotating.needed(big);
  rotating.if_any(WeighedItem::rod_bearing);
  masses.reciprocating = reciprocating.total();
  masses.rotating = rotating.total();
  masses.reciprocating_basis = reciprocating.left_out();
  masses.rotating_basis = rotating.left_out();
  return masses;
}

bool balances_itself(const build::Build& build) {
  const auto layout = build::parse_layout(build.engine.layout);
  return layout && layout->arrangement == Arrangement::in_line && layout->cylinders > 1;
}

std::optional<BalancePlan> balance_plan(const build::Build& build) {
  const auto layout = build::parse_layout(build.engine.layout);
  const bool vee = layout && layout->arrangement == Arrangement::vee;
  const auto& typed = build.balance;
  BalancePlan plan;
  plan.rods = typed && typed->rods_a_pin ? *typed->rods_a_pin : vee ? 2 : 1;
  constexpr double usual_oil = 0.005;  // 4 to 6 g (common practice, no source)
  plan.oil = typed && typed->oil ? typed->oil->si() : usual_oil;
  if (typed && typed->factor) {
    const bool of_all = typed->factor_of == build::FactorOf::all;
    plan.reciprocating_factor = *typed->factor;
    plan.rotating_factor = of_all ? *typed->factor : 1;
    plan.basis = fmt::format("factor {:g} of {}", *typed->factor, of_all ? "all" : "what reciprocates");
    return plan;
  }
  constexpr double square = 90 * degree;
  if (vee && layout->cylinders == 8 && build.engine.bank_angle &&
      std::abs(build.engine.bank_angle->si() - square) < 0.5 * degree) {
    plan.reciprocating_factor = 0.5;
    plan.basis = "half of what reciprocates, as usual for a V8 of 90 deg";
    return plan;
  }
  return std::nullopt;
}

std::vector<std::vector<int>> pin_groups(const Observed& observed) {
  const build::Build& build = observed.build();
  const auto layout = build::parse_layout(build.engine.layout);
  const auto banks = banks_of(build);
  std::vector<std::vector<int>> groups;
  if (!layout || banks.empty()) {
    return groups;
  }
  if (banks.size() == 1) {
    for (const int cylinder : banks[0]) {
      const auto alike = std::find_if(groups.begin(), groups.end(), [&](const std::vector<int>& group) {
        return stand_alike(throw_of(observed, group.front(), 0), throw_of(observed, cylinder, 0));
      });
      if (alike != groups.end()) {
        alike->push_back(cylinder);
      } else {
        groups.push_back({cylinder});
      }
    }
    return groups;
  }
  const double angle = second_bank_angle(observed, banks, layout->arrangement);
  for (std::size_t i = 0; i < banks[0].size(); ++i) {
    const int first = banks[0][i];
    const int second = banks[1][i];
    if (stand_alike(throw_of(observed, first, 0), throw_of(observed, second, angle))) {
      groups.push_back({first, second});
    } else {
      groups.push_back({first});
      groups.push_back({second});
    }
  }
  return groups;
}

std::optional<PinFactors> pin_factors(const build::Build& build) {
  if (balances_itself(build)) {
    return PinFactors{};
  }
  const auto plan = balance_plan(build);
  return plan ? std::optional(PinFactors{plan->rotating_factor, plan->reciprocating_factor}) : std::nullopt;
}

std::vector<double> pin_weights(const Observed& observed, const std::vector<std::vector<int>>& groups) {
  const auto factors = pin_factors(observed.build());
  std::vector<double> weights;
  if (!factors) {
    return weights;
  }
  for (const auto& group : groups) {
    double sum = 0;
    for (const int cylinder : group) {
      const MovingMasses masses = moving_masses(observed, cylinder);
      if (!masses.reciprocating || !masses.rotating) {
        return {};
      }
      sum += factors->rotating * *masses.rotating + factors->reciprocating * *masses.reciprocating;
    }
    weights.push_back(sum);
  }
  return weights;
}

std::optional<Bobweight> bobweight_of(const Observed& observed) {
  const auto plan = balance_plan(observed.build());
  if (!plan) {
    return std::nullopt;
  }
  double reciprocating = 0;
  double rotating = 0;
  int count = 0;
  std::string basis = plan->basis;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const MovingMasses masses = moving_masses(observed, cylinder);
    if (!masses.reciprocating || !masses.rotating) {
      continue;
    }
    if (count == 0) {
      for (const auto* left_out : {&masses.rotating_basis, &masses.reciprocating_basis}) {
        basis += left_out->empty() ? "" : ", " + *left_out;
      }
    }
    reciprocating += *masses.reciprocating;
    rotating += *masses.rotating;
    ++count;
  }
  if (count == 0 || rotating < 0 || reciprocating < 0) {
    return std::nullopt;
  }
  const mechanism::PinMasses pin{rotating / count, reciprocating / count, plan->rods, plan->oil};
  return Bobweight{mechanism::bobweight(pin, plan->reciprocating_factor, plan->rotating_factor), basis};
}

std::optional<double> balance_speed(const build::Build& build) {
  if (build.balance && build.balance->speed) {
    return build.balance->speed->si();
  }
  return build.rods && build.rods->redline ? std::optional(build.rods->redline->si()) : std::nullopt;
}

std::optional<ShakenEngine> shaken_engine(const Observed& observed) {
  const build::Build& build = observed.build();
  const auto layout = build::parse_layout(build.engine.layout);
  const auto banks = banks_of(build);
  const auto plan = balance_plan(build);
  const auto bobweight = bobweight_of(observed);
  if (!layout || banks.empty() || (!bobweight && !balances_itself(build))) {
    return std::nullopt;
  }
  const double angle = second_bank_angle(observed, banks, layout->arrangement);
  const double spacing = build.balance && build.balance->bore_spacing ? build.balance->bore_spacing->si() : 0;
  const double stagger = build.balance && build.balance->bank_stagger ? build.balance->bank_stagger->si() : 0;
  ShakenEngine engine;
  engine.positions = spacing > 0;
  double middle = 0;
  double mean_rotating = 0;
  for (std::size_t bank = 0; bank < banks.size(); ++bank) {
    for (std::size_t i = 0; i < banks[bank].size(); ++i) {
      const MovingMasses masses = moving_masses(observed, banks[bank][i]);
      if (!masses.reciprocating || !masses.rotating || *masses.reciprocating < 0) {
        return std::nullopt;
      }
      const double own = bank == 0 ? 0 : angle;
      engine.cylinders.push_back({throw_of(observed, banks[bank][i], own), own,
                                  static_cast<double>(i) * spacing + (bank == 0 ? 0 : stagger),
                                  *masses.reciprocating, *masses.rotating});
      middle += engine.cylinders.back().position;
      mean_rotating += *masses.rotating;
    }
  }
  const auto count = static_cast<double>(engine.cylinders.size());
  const bool typed = build.balance && build.balance->crank_bobweight;
  const double balanced = bobweight
                              ? (typed ? build.balance->crank_bobweight->si() : bobweight->mass) / plan->rods
                              : mean_rotating / count;
  engine.basis = !bobweight ? "crank balanced for what rotates"
                 : typed    ? "crank balanced to its bobweight"
                            : "crank balanced to the bobweight of these parts";
  const double oil = bobweight ? plan->oil / plan->rods : 0;
  for (auto& cylinder : engine.cylinders) {
    cylinder.position -= middle / count;
    cylinder.rotating_mass += oil - balanced;
  }
  return engine;
}

}  // namespace fettle::stations
