// What brings the moving parts' weights together: pistons to rods, sets of both to crank pins, and metal
// taken off what is heavier than the lightest.

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <numeric>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/selective_fit.h"
#include "stations/balance.h"
#include "stations/balance_state.h"
#include "stations/bore_state.h"
#include "stations/part_places.h"

namespace fettle::stations {
namespace {

using build::WeighedItem;
using nlohmann::ordered_json;

constexpr double gram = 1e-3;
/// Bringing weights closer together by less than this is not worth changing parts round.
constexpr double worth_while = 0.5 * gram;
constexpr double step = 0.1 * gram;

struct Ends {
  double least = std::numeric_limits<double>::infinity();
  double greatest = -std::numeric_limits<double>::infinity();
  void add(double value) {
    least = std::min(least, value);
    greatest = std::max(greatest, value);
  }
  double spread() const { return greatest - least; }
};

/// Weights of all that can change places, kg: by cylinder, and by piston.
struct LooseParts {
  int cylinders = 0;
  std::vector<int> marks;             ///< of the pistons weighed
  std::vector<double> pistons;        ///< with pin, by place in `marks`
  std::vector<std::size_t> now;       ///< place in `marks` of the piston in each cylinder
  std::vector<double> small_ends;     ///< of the rod in each cylinder
  std::vector<double> big_ends;       ///< likewise
  std::vector<double> reciprocating;  ///< that stays in the cylinder: rings and locks
  std::vector<double> rotating;       ///< likewise: the bearing
  std::vector<bool> own_rod;          ///< whether the very rod of each cylinder was weighed
};

/// Marks of the pistons that were weighed one by one.
std::vector<int> pistons_weighed(const Observed& observed) {
  std::vector<int> marks;
  for (const int place : observed.sources().inventory().of(build::ReadingKind::part_weight)) {
    const build::Reading& reading = observed.reading(place);
    const auto mark = reading.item == WeighedItem::piston ? piston_of(observed, reading) : std::nullopt;
    if (mark && std::find(marks.begin(), marks.end(), *mark) == marks.end()) {
      marks.push_back(*mark);
    }
  }
  std::sort(marks.begin(), marks.end());
  return marks;
}

/// Nothing unless every cylinder's masses are known and its piston was weighed.
std::optional<LooseParts> loose_parts(const Observed& observed) {
  LooseParts parts;
  parts.cylinders = observed.sources().phases().cylinders();
  parts.marks = pistons_weighed(observed);
  const auto common_pin = weight_of(observed, WeighedItem::pin, 1);
  for (const int mark : parts.marks) {
    const auto pin = marked_weight(observed, WeighedItem::pin, mark);
    parts.pistons.push_back(*marked_weight(observed, WeighedItem::piston, mark) +
                            (pin ? *pin : common_pin.value_or(0)));
  }
  for (int cylinder = 1; cylinder <= parts.cylinders; ++cylinder) {
    const MovingMasses masses = moving_masses(observed, cylinder);
    const auto mark =
        std::find(parts.marks.begin(), parts.marks.end(), piston_in(observed.build(), cylinder));
    if (!masses.reciprocating || !masses.rotating || mark == parts.marks.end()) {
      return std::nullopt;
    }
    parts.now.push_back(static_cast<std::size_t>(mark - parts.marks.begin()));
    const auto if_any = [&](WeighedItem item) { return weight_of(observed, item, cylinder).value_or(0); };
    parts.reciprocating.push_back(if_any(WeighedItem::rings) + if_any(WeighedItem::locks));
    parts.rotating.push_back(if_any(WeighedItem::rod_bearing));
    parts.small_ends.push_back(*masses.reciprocating - parts.pistons[parts.now.back()] -
                               parts.reciprocating.back());
    parts.big_ends.push_back(*masses.rotating - parts.rotating.back());
    const auto weighed = [&](WeighedItem item) { return !own_weighings(observed, item, cylinder).empty(); };
    parts.own_rod.push_back(weighed(WeighedItem::big_end) + weighed(WeighedItem::small_end) +
                                weighed(WeighedItem::whole_rod) >=
                            2);
  }
  return parts;
}

std::vector<int> marks_of(const LooseParts& parts, const std::vector<std::size_t>& places) {
  std::vector<int> marks;
  for (const std::size_t place : places) {
    marks.push_back(parts.marks[place]);
  }
  return marks;
}

/// Reciprocating masses by cylinder and piston, the rods where they are.
Eigen::MatrixXd masses_of_pairs(const LooseParts& parts) {
  Eigen::MatrixXd masses(parts.cylinders, static_cast<Eigen::Index>(parts.marks.size()));
  for (Eigen::Index i = 0; i < masses.rows(); ++i) {
    const auto cylinder = static_cast<std::size_t>(i);
    for (Eigen::Index j = 0; j < masses.cols(); ++j) {
      masses(i, j) = parts.small_ends[cylinder] + parts.reciprocating[cylinder] +
                     parts.pistons[static_cast<std::size_t>(j)];
    }
  }
  return masses;
}

bool fits(const Observed& observed, const LooseParts& parts, std::size_t cylinder, std::size_t piston) {
  return parts.now[cylinder] == piston ||
         !piston_does_not_fit(observed, static_cast<int>(cylinder) + 1, parts.marks[piston]);
}

/// Pistons to the rods as those stand, where it brings the cylinders closer together.
std::optional<Change> pistons_change(const Observed& observed, const LooseParts& parts) {
  Eigen::MatrixXd masses = masses_of_pairs(parts);
  Ends now;
  for (Eigen::Index i = 0; i < masses.rows(); ++i) {
    const auto cylinder = static_cast<std::size_t>(i);
    now.add(masses(i, static_cast<Eigen::Index>(parts.now[cylinder])));
    for (Eigen::Index j = 0; j < masses.cols(); ++j) {
      if (!fits(observed, parts, cylinder, static_cast<std::size_t>(j))) {
        masses(i, j) = std::numeric_limits<double>::infinity();
      }
    }
  }
  const auto fit = mechanism::least_spread(masses, {}, parts.now);
  if (!fit || now.spread() - (fit->greatest - fit->least) < worth_while) {
    return std::nullopt;
  }
  const auto marks = marks_of(parts, fit->part_of_place);
  Change change;
  change.id = "balance.pistons";
  change.says = fmt::format("Pistons with their pins to the rods by weight, by cylinder: {}",
                            places_text(marks, "piston"));
  place_parts(change, observed.build(), marks);
  return change;
}

/// Sets of rod and piston: the rod by the cylinder where it stands now, the piston by its place in the marks.
struct Sets {
  std::vector<std::size_t> piston_of_rod;
  std::vector<double> weights;  ///< as the pin counts them
};

/// Rods and pistons paired so that what reciprocates lies closest together, whichever cylinder they go to.
std::optional<Sets> make_sets(const LooseParts& parts, const PinFactors& factors) {
  Eigen::MatrixXd masses = masses_of_pairs(parts);
  for (Eigen::Index i = 0; i < masses.rows(); ++i) {
    masses.row(i).array() -= parts.reciprocating[static_cast<std::size_t>(i)];
  }
  const auto fit = mechanism::least_spread(masses, {}, parts.now);
  if (!fit) {
    return std::nullopt;
  }
  Sets sets{fit->part_of_place, {}};
  for (std::size_t rod = 0; rod < sets.piston_of_rod.size(); ++rod) {
    sets.weights.push_back(factors.rotating * parts.big_ends[rod] +
                           factors.reciprocating *
                               (parts.small_ends[rod] + parts.pistons[sets.piston_of_rod[rod]]));
  }
  return sets;
}

mechanism::GroupedPlaces grouped_places(const LooseParts& parts, const PinFactors& factors,
                                        const std::vector<std::vector<int>>& groups) {
  mechanism::GroupedPlaces places;
  for (const auto& group : groups) {
    places.groups.emplace_back();
    for (const int cylinder : group) {
      places.groups.back().push_back(static_cast<std::size_t>(cylinder - 1));
    }
  }
  for (std::size_t i = 0; i < parts.rotating.size(); ++i) {
    places.fixed.push_back(factors.rotating * parts.rotating[i] +
                           factors.reciprocating * parts.reciprocating[i]);
  }
  return places;
}

/// Rods too change places, so that the pins carry alike: what reciprocates is brought together first, then
/// the pins.
std::optional<Change> sets_change(const Observed& observed, const LooseParts& parts) {
  const build::Build& build = observed.build();
  const auto factors = pin_factors(build);
  const auto groups = pin_groups(observed);
  const auto count = static_cast<std::size_t>(parts.cylinders);
  const bool shared =
      std::any_of(groups.begin(), groups.end(), [](const auto& one) { return one.size() > 1; });
  const bool rods_weighed =
      std::all_of(parts.own_rod.begin(), parts.own_rod.end(), [](bool own) { return own; });
  if (!factors || !shared || groups.size() < 2 || !rods_weighed || count > mechanism::most_grouped_parts) {
    return std::nullopt;
  }
  const auto sets = make_sets(parts, *factors);
  if (!sets) {
    return std::nullopt;
  }
  Eigen::Array<bool, Eigen::Dynamic, Eigen::Dynamic> allowed(parts.cylinders, parts.cylinders);
  std::vector<std::size_t> stay(count);
  std::iota(stay.begin(), stay.end(), std::size_t{0});
  for (std::size_t cylinder = 0; cylinder < count; ++cylinder) {
    for (std::size_t rod = 0; rod < count; ++rod) {
      allowed(static_cast<Eigen::Index>(cylinder), static_cast<Eigen::Index>(rod)) =
          fits(observed, parts, cylinder, sets->piston_of_rod[rod]);
    }
  }
  const auto fit =
      mechanism::least_group_spread(sets->weights, grouped_places(parts, *factors, groups), allowed, stay);
  if (!fit) {
    return std::nullopt;
  }
  Ends pins;
  for (const double weight : pin_weights(observed, groups)) {
    pins.add(weight);
  }
  if (fit->part_of_place == stay || pins.spread() - (fit->greatest - fit->least) < worth_while) {
    return std::nullopt;
  }
  std::vector<std::size_t> pistons;
  std::vector<int> rods;
  std::string list;
  for (std::size_t cylinder = 0; cylinder < count; ++cylinder) {
    const std::size_t rod = fit->part_of_place[cylinder];
    pistons.push_back(sets->piston_of_rod[rod]);
    rods.push_back(rod_in(build, static_cast<int>(rod) + 1));
    list += fmt::format("{}{}: rod {}, piston {}", list.empty() ? "" : "; ", cylinder + 1, rods.back(),
                        parts.marks[pistons.back()]);
  }
  Change change;
  change.id = "balance.sets";
  change.says = fmt::format("Rods and pistons by weight, by cylinder: {}", list);
  place_parts(change, build, marks_of(parts, pistons), rods);
  return change;
}

/// Metal that one part can still lose, kg.
double spare(const build::Build& build, WeighedItem item, int mark) {
  double most = 5 * gram;  // common practice, no source
  if (build.balance) {
    for (const build::SpareMetal& one : build.balance->spare) {
      most = one.item == item ? one.most.si() : most;
    }
  }
  return std::max(0.0, most - taken_off(build, item, mark));
}

struct Lightening {
  WeighedItem item = WeighedItem::piston;
  int mark = 1;
  double amount = 0;
};

/// What brings weights that can only be lowered, each by no more than its spare, closest together with the
/// least metal: the level to lower them to is the lightest's, or where the heaviest can come down to.
double level_of(const std::vector<double>& weights, const std::vector<double>& spares) {
  double lightest = std::numeric_limits<double>::infinity();
  double reached = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < weights.size(); ++i) {
    lightest = std::min(lightest, weights[i]);
    reached = std::max(reached, weights[i] - spares[i]);
  }
  return std::max(lightest, reached);
}

/// In steps of what is written, never below the level.
double down_to(double weight, double level) {
  return std::floor(std::max(0.0, weight - level) / step + 1e-6) * step;
}

/// Off pistons first, what those cannot lose off the small ends; big ends by themselves.
std::vector<Lightening> lightening(const Observed& observed, const LooseParts& parts) {
  const build::Build& build = observed.build();
  std::vector<double> reciprocating, rotating, reciprocating_spare, rotating_spare;
  std::vector<double> piston_spare;
  for (std::size_t i = 0; i < parts.now.size(); ++i) {
    const int rod = rod_in(build, static_cast<int>(i) + 1);
    const bool own = parts.own_rod[i];
    reciprocating.push_back(parts.pistons[parts.now[i]] + parts.small_ends[i] + parts.reciprocating[i]);
    rotating.push_back(parts.big_ends[i] + parts.rotating[i]);
    piston_spare.push_back(spare(build, WeighedItem::piston, parts.marks[parts.now[i]]));
    reciprocating_spare.push_back(piston_spare.back() +
                                  (own ? spare(build, WeighedItem::small_end, rod) : 0));
    rotating_spare.push_back(own ? spare(build, WeighedItem::big_end, rod) : 0);
  }
  const double reciprocating_level = level_of(reciprocating, reciprocating_spare);
  const double rotating_level = level_of(rotating, rotating_spare);
  std::vector<Lightening> list;
  const auto add = [&](WeighedItem item, int mark, double amount) {
    if (amount > step / 2) {
      list.push_back({item, mark, amount});
    }
  };
  for (std::size_t i = 0; i < parts.now.size(); ++i) {
    const int rod = rod_in(build, static_cast<int>(i) + 1);
    const double off = std::min(down_to(reciprocating[i], reciprocating_level), reciprocating_spare[i]);
    const double off_piston = std::min(off, piston_spare[i]);
    add(WeighedItem::piston, parts.marks[parts.now[i]], off_piston);
    add(WeighedItem::small_end, rod, off - off_piston);
    add(WeighedItem::big_end, rod, std::min(down_to(rotating[i], rotating_level), rotating_spare[i]));
  }
  return list;
}

std::string mass_text(double mass) {
  return fmt::format("{:.1f} g", mass / gram);
}

/// Readings of weights say what was off their part by then, before more goes.
void keep_weights(const Observed& observed, std::vector<Operation>& operations) {
  const build::Build& build = observed.build();
  for (const int place : observed.sources().inventory().of(build::ReadingKind::part_weight)) {
    const build::Reading& reading = observed.reading(place);
    const WeighedItem item = *reading.item;
    const bool of_rod =
        item == WeighedItem::big_end || item == WeighedItem::small_end || item == WeighedItem::whole_rod;
    const auto mark = item == WeighedItem::piston ? piston_of(observed, reading)
                      : of_rod                    ? rod_of(observed, reading)
                                                  : std::nullopt;
    if (mark && !reading.lightened) {
      operations.push_back({fmt::format("/readings/{}/lightened", reading.id.value_or(std::to_string(place))),
                            mass_text(taken_off(build, item, *mark))});
    }
  }
}

std::optional<Change> lighten_change(const Observed& observed, const LooseParts& parts) {
  Ends reciprocating, rotating;
  for (std::size_t i = 0; i < parts.now.size(); ++i) {
    reciprocating.add(parts.pistons[parts.now[i]] + parts.small_ends[i] + parts.reciprocating[i]);
    rotating.add(parts.big_ends[i] + parts.rotating[i]);
  }
  const auto list = lightening(observed, parts);
  if (list.empty() || std::max(reciprocating.spread(), rotating.spread()) < worth_while) {
    return std::nullopt;
  }
  const build::Build& build = observed.build();
  auto changed = std::make_shared<build::Build>(build);
  if (!changed->balance) {
    changed->balance.emplace();
  }
  auto& off = changed->balance->taken_off;
  std::string said;
  for (const Lightening& one : list) {
    const double total = taken_off(build, one.item, one.mark) + one.amount;
    std::erase_if(off, [&](const auto& other) { return other.item == one.item && other.number == one.mark; });
    // As it will be read back from what is written.
    off.push_back(
        {one.item, one.mark, quantity::Mass::typed(std::round(total / step) * step, mass_text(total))});
    std::string part(build::word(one.item));
    std::replace(part.begin(), part.end(), '_', ' ');
    said += fmt::format("{}{} {}: {}", said.empty() ? "" : "; ",
                        one.item == WeighedItem::piston ? part : part + " of rod", one.mark,
                        mass_text(one.amount));
  }
  std::sort(off.begin(), off.end(), [](const auto& a, const auto& b) {
    return std::pair(a.item, a.number) < std::pair(b.item, b.number);
  });
  ordered_json written = ordered_json::array();
  for (const build::TakenOff& one : off) {
    written.push_back({{"item", std::string(build::word(one.item))},
                       {"number", one.number},
                       {"amount", one.amount.typed()}});
  }
  Change change;
  change.id = "balance.lighten";
  change.says = fmt::format(
      "Take off, down to the lightest and only where the pads allow it: {}; then weigh anew", said);
  keep_weights(observed, change.operations);
  change.operations.push_back(build.balance ? Operation{"/balance/taken_off", std::move(written)}
                                            : Operation{"/balance", {{"taken_off", std::move(written)}}});
  change.what_if.parts = std::move(changed);
  return change;
}

}  // namespace

std::vector<Change> balance_changes(const Sources& sources, const Report& /*report*/) {
  std::vector<Change> changes;
  if (sources.inventory().of(build::ReadingKind::part_weight).empty()) {
    return changes;
  }
  const Observed observed(sources, sources.estimates());
  const auto parts = loose_parts(observed);
  if (!parts) {
    return changes;
  }
  for (auto change :
       {pistons_change(observed, *parts), sets_change(observed, *parts), lighten_change(observed, *parts)}) {
    if (change) {
      changes.push_back(std::move(*change));
    }
  }
  return changes;
}

}  // namespace fettle::stations
