#include "stations/balance.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "stations/balance_state.h"
#include "stations/cam_evidence.h"
#include "stations/prove.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::WeighedItem;
using nlohmann::ordered_json;

constexpr double gram = 1e-3;

bool concerns(const Sources& sources) {
  const auto& weights = sources.inventory().of(ReadingKind::part_weight);
  return std::any_of(weights.begin(), weights.end(), [&](int place) {
    return !build::of_valve_train(*sources.build().readings[static_cast<std::size_t>(place)].item);
  });
}

std::string words_of(WeighedItem item) {
  std::string text(build::word(item));
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

Group cylinder_group(int cylinder) {
  return {[cylinder](const Observed& observed) {
    std::vector<Valued> values;
    const Where where{cylinder, {}, {}};
    const MovingMasses masses = moving_masses(observed, cylinder);
    if (masses.reciprocating) {
      values.push_back(
          {{"balance.reciprocating_mass", where, masses.reciprocating_basis}, *masses.reciprocating});
    }
    if (masses.rotating) {
      values.push_back({{"balance.rotating_mass", where, masses.rotating_basis}, *masses.rotating});
    }
    if (masses.rod_closure) {
      values.push_back({{"balance.rod_closure", where, ""}, *masses.rod_closure});
    }
    return values;
  }};
}

struct Weight {
  int cylinder = 1;
  double mass = 0;
};

/// Weights of one kind of part, of the cylinders whose own was weighed.
std::vector<Weight> weights(const Observed& observed, WeighedItem item) {
  std::vector<Weight> all;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    if (!own_weighings(observed, item, cylinder).empty()) {
      all.push_back({cylinder, *weight_of(observed, item, cylinder)});
    }
  }
  return all;
}

std::vector<WeighedItem> all_items() {
  std::vector<WeighedItem> items;
  for (const auto& named : build::names(WeighedItem{})) {
    if (!build::of_valve_train(named.value)) {
      items.push_back(named.value);
    }
  }
  return items;
}

Group spread_group(WeighedItem item) {
  return {[item](const Observed& observed) {
    const auto all = weights(observed, item);
    if (all.size() < 2) {
      return std::vector<Valued>{};
    }
    const auto [least, greatest] = std::minmax_element(
        all.begin(), all.end(), [](const Weight& a, const Weight& b) { return a.mass < b.mass; });
    return std::vector<Valued>{
        {{"balance.weight_spread", {{}, {}, {}, words_of(item), {}}, ""}, greatest->mass - least->mass}};
  }};
}

/// Whether pistons and ends of rods were weighed one by one, or nothing could be said of their spread.
bool each_weighed(const Observed& observed) {
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    if (own_weighings(observed, WeighedItem::piston, cylinder).empty()) {
      return false;
    }
  }
  return true;
}

/// Orders 1 and 2 of the whole engine at the speed that forces are told at.
std::optional<std::pair<ShakenEngine, std::vector<mechanism::ShakingOrder>>> shaking_of(
    const Observed& observed) {
  const auto engine = shaken_engine(observed);
  const auto speed = balance_speed(observed.build());
  if (!engine || !speed) {
    return std::nullopt;
  }
  mechanism::CrankGeometry geometry = observed.sources().crank().geometry();
  geometry.pin_offset = 0;  // some thousandths of the throw: it moves the first order by as little
  return std::pair{*engine, mechanism::shaking(geometry, engine->cylinders, *speed, 2)};
}

/// Force of all reciprocating parts together as if they moved as one, N.
double largest_force(const Observed& observed, const ShakenEngine& engine) {
  const double speed = balance_speed(observed.build()).value_or(0);
  double mass = 0;
  for (const auto& cylinder : engine.cylinders) {
    mass += cylinder.reciprocating_mass;
  }
  return mass * observed.sources().crank().geometry().crank_throw * speed * speed;
}

/// How far apart the cylinders, and the pins, are in what they move.
Group spreads_group() {
  return {[](const Observed& observed) {
    std::vector<Valued> values;
    std::vector<double> masses;
    for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
      if (const auto mass = moving_masses(observed, cylinder).reciprocating) {
        masses.push_back(*mass);
      }
    }
    const auto add = [&](const char* id, const std::vector<double>& all) {
      if (all.size() > 1) {
        const auto [least, greatest] = std::minmax_element(all.begin(), all.end());
        values.push_back({{id, {}, ""}, *greatest - *least});
      }
    };
    if (each_weighed(observed)) {
      add("balance.reciprocating_spread", masses);
      add("balance.pin_spread", pin_weights(observed, pin_groups(observed)));
    }
    return values;
  }};
}

Group whole_group() {
  return {[](const Observed& observed) {
    std::vector<Valued> values;
    if (const auto bobweight = bobweight_of(observed)) {
      values.push_back({{"balance.bobweight", {}, bobweight->basis}, bobweight->mass});
      const auto& typed = observed.build().balance;
      if (typed && typed->crank_bobweight) {
        values.push_back({{"balance.bobweight_error", {}, bobweight->basis},
                          bobweight->mass - typed->crank_bobweight->si()});
      }
    }
    const auto shaken = shaking_of(observed);
    if (!shaken) {
      return values;
    }
    const auto& [engine, orders] = *shaken;
    const std::array forces{"balance.primary_force", "balance.secondary_force"};
    const std::array moments{"balance.primary_moment", "balance.secondary_moment"};
    const auto left_over = [largest = largest_force(observed, engine)](double value) {
      // What cancels leaves the rounding of its parts.
      constexpr double rounding = 1e-12;
      return value > rounding * largest ? value : 0;
    };
    for (std::size_t i = 0; i < 2; ++i) {
      values.push_back({{forces[i], {}, engine.basis}, left_over(orders[i].greatest_force())});
      if (engine.positions) {
        values.push_back({{moments[i], {}, engine.basis}, left_over(orders[i].greatest_moment())});
      }
    }
    return values;
  }};
}

/// The two ends weigh more or less than the whole: one end hung out of level, or the scale was not set anew.
std::vector<Mistake> ends_off(const Observed& observed, const Report& report) {
  constexpr double accepted = 1 * gram;
  std::vector<Mistake> mistakes;
  for (const Finding& finding : report.findings) {
    if (finding.id != "balance.rod_closure" || !finding.value ||
        std::abs(*finding.value) <= accepted + finding.expanded) {
      continue;
    }
    std::vector<int> places;
    for (const WeighedItem item : {WeighedItem::big_end, WeighedItem::small_end, WeighedItem::whole_rod}) {
      const auto own = own_weighings(observed, item, finding.where.cylinder.value_or(1));
      places.insert(places.end(), own.begin(), own.end());
    }
    mistakes.push_back(
        {"balance.rod_ends", places, finding.where.cylinder,
         fmt::format("The ends of rod {} weigh {:.1f} g {} than the whole rod.",
                     finding.where.cylinder.value_or(1), std::abs(*finding.value) / gram,
                     *finding.value > 0 ? "more" : "less"),
         "Hang the other end free and level, set the scale to nought, and weigh both ends again."});
  }
  return mistakes;
}

std::vector<Mistake> odd_weights(const Observed& observed, WeighedItem item) {
  constexpr double odd = 2 * gram;
  std::vector<Mistake> mistakes;
  const auto all = weights(observed, item);
  if (all.size() < 3) {
    return mistakes;
  }
  std::vector<double> masses;
  masses.reserve(all.size());
  for (const Weight& one : all) {
    masses.push_back(one.mass);
  }
  const double middle = median(masses);
  for (const Weight& one : all) {
    const auto places = own_weighings(observed, item, one.cylinder);
    const double u =
        observed.sources().inputs()[*observed.sources().amount_input(places.front(), Amount::mass)].u();
    if (std::abs(one.mass - middle) <= odd + 2 * u) {
      continue;
    }
    mistakes.push_back(
        {"balance.odd_weight", places, one.cylinder,
         fmt::format(
             "The {} of cylinder {} weighs {:.1f} g {} than the middle of the others: another part, or a "
             "weight misread.",
             words_of(item), one.cylinder, std::abs(one.mass - middle) / gram,
             one.mass > middle ? "more" : "less"),
         "Weigh it again beside a neighbour's; then compare part numbers."});
  }
  return mistakes;
}

}  // namespace

std::vector<Group> balance_station(const Sources& sources) {
  std::vector<Group> groups;
  if (!concerns(sources)) {
    return groups;
  }
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    groups.push_back(cylinder_group(cylinder));
  }
  for (const WeighedItem item : all_items()) {
    groups.push_back(spread_group(item));
  }
  groups.push_back(spreads_group());
  groups.push_back(whole_group());
  return groups;
}

std::vector<Missing> balance_missing(const Sources& sources) {
  std::vector<Missing> missing;
  if (!concerns(sources)) {
    return missing;
  }
  const Observed observed(sources, sources.estimates());
  bool any = false;
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    const MovingMasses masses = moving_masses(observed, cylinder);
    any = any || (masses.reciprocating && masses.rotating);
  }
  if (!any) {
    missing.push_back({{"balance.bobweight", {}, ""},
                       "the weights of piston, pin and both ends of the rod of one cylinder"});
  } else if (!balances_itself(sources.build()) && !balance_plan(sources.build())) {
    missing.push_back({{"balance.bobweight", {}, ""}, "the balance factor and what it is of, in balance"});
  }
  return missing;
}

std::vector<Mistake> balance_mistakes(const Sources& sources, const Report& report,
                                      const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  if (!concerns(sources)) {
    return mistakes;
  }
  const Observed observed(sources, sources.estimates());
  mistakes = ends_off(observed, report);
  for (const WeighedItem item : all_items()) {
    for (Mistake& odd : odd_weights(observed, item)) {
      mistakes.push_back(std::move(odd));
    }
  }
  return mistakes;
}

ordered_json balance_picture(const Sources& sources, const Report& /*report*/) {
  ordered_json picture{{"speed", nullptr}, {"orders", ordered_json::array()}};
  if (!concerns(sources)) {
    return picture;
  }
  const Observed observed(sources, sources.estimates());
  const auto shaken = shaking_of(observed);
  if (!shaken) {
    return picture;
  }
  const auto pair = [](const std::complex<double>& value) {
    return ordered_json{value.real(), value.imag()};
  };
  picture["speed"] = *balance_speed(sources.build());
  picture["basis"] = shaken->first.basis;
  for (const mechanism::ShakingOrder& order : shaken->second) {
    ordered_json one{{"order", order.order},
                     {"forward", pair(order.force_forward)},
                     {"backward", pair(order.force_backward)},
                     {"moment_forward", nullptr},
                     {"moment_backward", nullptr}};
    if (shaken->first.positions) {
      one["moment_forward"] = pair(order.moment_forward);
      one["moment_backward"] = pair(order.moment_backward);
    }
    picture["orders"].push_back(std::move(one));
  }
  return picture;
}

}  // namespace fettle::stations
