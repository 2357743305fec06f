// Which shim goes to which bucket.

#include "stations/lash_shims.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/assignment.h"
#include "stations/lash.h"
#include "stations/lash_state.h"
#include "stations/limits.h"
#include "stations/prove.h"
#include "stations/valves.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;
using nlohmann::ordered_json;

/// A valve to be served: which lashes will do.
struct Demand {
  ShimPlace place;
  double least = 0, most = 0;  ///< lash, m
  double doubt = 0;            ///< expanded, of the lash read, m
};

struct Shim {
  double thickness = 0;
  ShimFrom from = ShimFrom::shelf;
  std::optional<std::size_t> demand;  ///< the valve it is at now
};

std::vector<Demand> demands_of(const Observed& observed, const Report& report) {
  std::vector<Demand> demands;
  for (const LobeKey& key : all_valves(observed.sources())) {
    const auto gap = lash_gap(observed, key);
    const auto shim = bucket_shim(observed, key);
    const auto wanted = wanted_lash(observed.build(), key);
    if (!gap || !shim || !wanted) {
      continue;
    }
    const auto limit = limit_for(observed.build(), "lash.gap", where_of(key));
    const Finding* finding = find(report, "lash.gap", where_of(key));
    demands.push_back({{key, gap->gap, *wanted, *shim, *shim, gap->gap, ShimFrom::stays, std::nullopt},
                       *limit->min,
                       *limit->max,
                       finding != nullptr ? finding->expanded : 0});
  }
  return demands;
}

/// Every shim that could be fitted, those with no end of them once a valve.
std::vector<Shim> shims_of(const build::Build& build, const std::vector<Demand>& demands) {
  std::vector<Shim> shims;
  for (std::size_t i = 0; i < demands.size(); ++i) {
    shims.push_back({demands[i].place.now, ShimFrom::other_valve, i});
  }
  if (!build.bucket_shims) {
    return shims;
  }
  const auto add = [&](double thickness, ShimFrom from, std::size_t count) {
    shims.insert(shims.end(), std::min(count, demands.size()), Shim{thickness, from, std::nullopt});
  };
  for (const build::ShimStock& stock : build.bucket_shims->stock) {
    add(stock.thickness.si(), ShimFrom::shelf,
        stock.count ? static_cast<std::size_t>(std::max(0, *stock.count)) : demands.size());
  }
  for (const build::Length& size : build.bucket_shims->sizes) {
    add(size.si(), ShimFrom::bought, demands.size());
  }
  return shims;
}

double gap_with(const Demand& demand, double thickness) {
  return demand.place.gap + demand.place.now - thickness;
}

/// Cost of giving each valve each shim: a purchase outweighs all moves together, a move all distances from
/// the middle, and going without a fitting shim (one column a valve, at the end) everything else.
Eigen::MatrixXd costs_of(const std::vector<Demand>& demands, const std::vector<Shim>& shims, bool guarded) {
  const double valves = static_cast<double>(demands.size());
  const double move = valves + 1;
  const double purchase = valves * (move + 1) + 1;
  const double without = valves * (purchase + 1) + 1;
  const auto rows = static_cast<Eigen::Index>(demands.size());
  const auto columns = static_cast<Eigen::Index>(shims.size());
  Eigen::MatrixXd costs =
      Eigen::MatrixXd::Constant(rows, columns + rows, std::numeric_limits<double>::infinity());
  for (Eigen::Index i = 0; i < rows; ++i) {
    const Demand& demand = demands[static_cast<std::size_t>(i)];
    costs(i, columns + i) = without;
    const double guard = guarded ? demand.doubt : 0;
    const double half = (demand.most - demand.least) / 2;
    for (Eigen::Index j = 0; j < columns; ++j) {
      const Shim& shim = shims[static_cast<std::size_t>(j)];
      const double off = std::abs(gap_with(demand, shim.thickness) - demand.place.wanted);
      constexpr double rounding = 1e-9;
      if (off > half - guard + rounding) {
        continue;
      }
      const bool own = shim.demand == static_cast<std::size_t>(i);
      const double effort = shim.from == ShimFrom::bought ? purchase : own ? 0 : move;
      costs(i, j) = effort + (half > 0 ? std::min(1.0, std::pow(off / half, 2)) : 0);
    }
  }
  return costs;
}

ShimPlan plan_of(std::vector<Demand> demands, const std::vector<Shim>& shims,
                 const mechanism::Assignment& pairs, bool guarded) {
  ShimPlan plan;
  plan.proved = guarded;
  std::vector<bool> used(shims.size(), false);
  for (std::size_t i = 0; i < demands.size(); ++i) {
    ShimPlace& place = demands[i].place;
    const std::size_t column = *pairs.column_of_row[i];
    if (column >= shims.size()) {
      place.from = ShimFrom::nowhere;
      place.next = place.now + place.gap - place.wanted;
      place.gap_after = place.wanted;
      ++plan.unserved;
    } else {
      const Shim& shim = shims[column];
      used[column] = true;
      const bool own = shim.demand == i;
      place.from = own ? ShimFrom::stays : shim.from;
      place.next = shim.thickness;
      place.gap_after = gap_with(demands[i], shim.thickness);
      plan.bought += shim.from == ShimFrom::bought ? 1 : 0;
      plan.moved += !own && shim.from != ShimFrom::bought ? 1 : 0;
      if (shim.demand && !own) {
        place.from_valve = demands[*shim.demand].place.key;
      }
    }
    plan.places.push_back(place);
  }
  for (std::size_t j = 0; j < shims.size(); ++j) {
    // One whose valve is left without another stays where it is until one is found.
    const bool freed = shims[j].demand && !used[j] && plan.places[*shims[j].demand].from != ShimFrom::nowhere;
    if (freed) {
      plan.left_over.push_back(shims[j].thickness);
    }
  }
  return plan;
}

std::string valve_text(const LobeKey& key) {
  return fmt::format("{} {}", build::word(key.valve), key.cylinder);
}

/// A thickness in the unit that shims were typed in.
std::string shim_text(const build::Build& build, double thickness) {
  std::string typed;
  if (build.bucket_shims && !build.bucket_shims->fitted.empty()) {
    typed = build.bucket_shims->fitted.front().thickness.typed();
  }
  for (const build::Reading& reading : build.readings) {
    if (typed.empty() && reading.kind == ReadingKind::bucket_shim) {
      typed = reading.thickness->typed();
    }
  }
  const bool inches = !typed.empty() && typed.find('m') == std::string::npos;
  return inches ? fmt::format("{:.4f} in", thickness / 0.0254) : fmt::format("{:.3f} mm", thickness * 1e3);
}

std::string plan_text(const build::Build& build, const ShimPlan& plan) {
  std::string text;
  for (const ShimPlace& place : plan.places) {
    if (place.from == ShimFrom::stays) {
      continue;
    }
    text += text.empty() ? "" : "; ";
    text += fmt::format("{}: {}", valve_text(place.key), shim_text(build, place.next));
    switch (place.from) {
      case ShimFrom::other_valve:
        text += " from " + valve_text(*place.from_valve);
        break;
      case ShimFrom::shelf:
        text += " off the shelf";
        break;
      case ShimFrom::bought:
        text += " to be bought";
        break;
      default:
        text += " wanted, none to be had";
    }
  }
  return text;
}

/// All shims fitted as the document holds them, those of the plan in place of what was there.
std::vector<build::BucketShim> fitted_after(const build::Build& build, const ShimPlan& plan) {
  std::vector<build::BucketShim> fitted;
  if (build.bucket_shims) {
    fitted = build.bucket_shims->fitted;
  }
  for (const ShimPlace& place : plan.places) {
    if (place.from == ShimFrom::stays || place.from == ShimFrom::nowhere) {
      continue;
    }
    const std::string text = shim_text(build, place.next);
    const build::BucketShim next{place.key.cylinder, place.key.valve, build::Length::typed(place.next, text)};
    const auto old = std::find_if(fitted.begin(), fitted.end(), [&](const build::BucketShim& one) {
      return one.cylinder == place.key.cylinder && one.valve == place.key.valve;
    });
    if (old == fitted.end()) {
      fitted.push_back(next);
    } else {
      *old = next;
    }
  }
  return fitted;
}

/// The shelf once the shims of the plan are taken off it and those left over are put on it.
std::vector<build::ShimStock> stock_after(const build::Build& build, const ShimPlan& plan) {
  std::vector<build::ShimStock> stock;
  if (build.bucket_shims) {
    stock = build.bucket_shims->stock;
  }
  const auto add = [&](double thickness, int count) {
    for (build::ShimStock& shelf : stock) {
      if (std::abs(shelf.thickness.si() - thickness) < 1e-7 && (!shelf.count || *shelf.count + count >= 0)) {
        shelf.count = shelf.count ? std::optional(*shelf.count + count) : std::nullopt;
        return;
      }
    }
    stock.push_back({build::Length::typed(thickness, shim_text(build, thickness)), count});
  };
  for (const ShimPlace& place : plan.places) {
    if (place.from == ShimFrom::shelf) {
      add(place.next, -1);
    }
  }
  for (const double thickness : plan.left_over) {
    add(thickness, 1);
  }
  return stock;
}

/// Lashes and shims were read with the shims fitted until now: that must be written into them first.
std::vector<Operation> keep_shims(const build::Build& build, const ShimPlan& plan) {
  std::vector<Operation> operations;
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const build::Reading& reading = build.readings[i];
    const bool concerned =
        reading.kind == ReadingKind::valve_lash || reading.kind == ReadingKind::bucket_shim;
    if (!concerned || reading.shim) {
      continue;
    }
    for (const ShimPlace& place : plan.places) {
      const bool moves = place.from != ShimFrom::stays && place.from != ShimFrom::nowhere;
      if (moves && place.key.cylinder == reading.cylinder && place.key.valve == reading.valve) {
        operations.push_back({fmt::format("/readings/{}/shim", reading.id.value_or(std::to_string(i))),
                              shim_text(build, place.now)});
      }
    }
  }
  return operations;
}

ordered_json fitted_json(const std::vector<build::BucketShim>& fitted) {
  ordered_json list = ordered_json::array();
  for (const build::BucketShim& one : fitted) {
    list.push_back({{"cylinder", one.cylinder},
                    {"valve", std::string(build::word(one.valve))},
                    {"thickness", one.thickness.typed()}});
  }
  return list;
}

ordered_json stock_json(const std::vector<build::ShimStock>& stock) {
  ordered_json list = ordered_json::array();
  for (const build::ShimStock& one : stock) {
    if (one.count == 0) {
      continue;
    }
    ordered_json entry{{"thickness", one.thickness.typed()}};
    if (one.count) {
      entry["count"] = *one.count;
    }
    list.push_back(std::move(entry));
  }
  return list;
}

}  // namespace

std::optional<ShimPlan> shim_plan(const Observed& observed, const Report& report) {
  const auto demands = demands_of(observed, report);
  if (demands.empty()) {
    return std::nullopt;
  }
  const auto shims = shims_of(observed.build(), demands);
  std::optional<ShimPlan> best;
  for (const bool guarded : {true, false}) {
    const auto pairs = mechanism::assign(costs_of(demands, shims, guarded));
    ShimPlan plan = plan_of(demands, shims, *pairs, guarded);
    // Doubt that fills the band must not keep a shim from being chosen.
    if (!best || plan.unserved < best->unserved) {
      best = std::move(plan);
    }
  }
  return best;
}

std::vector<Change> lash_changes(const Sources& sources, const Report& report) {
  std::vector<Change> changes;
  const Observed observed(sources, sources.estimates());
  const build::Build& build = sources.build();
  const auto plan = shim_plan(observed, report);
  if (!plan || plan->moved + plan->bought == 0) {
    return changes;
  }
  const auto fitted = fitted_after(build, *plan);
  const auto stock = stock_after(build, *plan);
  Change change;
  change.id = "lash.shims";
  change.says = fmt::format("Change shims, {} at hand and {} to buy{}: {}", plan->moved, plan->bought,
                            plan->proved ? "" : ", inside the limits but not by the doubt of the lashes",
                            plan_text(build, *plan));
  change.operations = keep_shims(build, *plan);
  change.operations.push_back({"/bucket_shims/fitted", fitted_json(fitted)});
  const auto on_shelf = stock_json(stock);
  const bool shelf_before = build.bucket_shims && !build.bucket_shims->stock.empty();
  if (shelf_before || !on_shelf.empty()) {
    change.operations.push_back({"/bucket_shims/stock", on_shelf});
  }
  auto parts = std::make_shared<build::Build>(build);
  if (!parts->bucket_shims) {
    parts->bucket_shims.emplace();
  }
  parts->bucket_shims->fitted = fitted;
  parts->bucket_shims->stock = stock;
  change.what_if.parts = std::move(parts);
  changes.push_back(std::move(change));
  return changes;
}

ordered_json shims_picture(const Observed& observed, const Report& report) {
  const auto plan = shim_plan(observed, report);
  if (!plan) {
    return nullptr;
  }
  constexpr const char* words[] = {"stays", "other_valve", "shelf", "bought", "nowhere"};
  ordered_json places = ordered_json::array();
  for (const ShimPlace& place : plan->places) {
    ordered_json one{{"cylinder", place.key.cylinder},
                     {"valve", std::string(build::word(place.key.valve))},
                     {"gap", place.gap},
                     {"wanted", place.wanted},
                     {"now", place.now},
                     {"next", place.next},
                     {"gap_after", place.gap_after},
                     {"from", words[static_cast<std::size_t>(place.from)]}};
    if (place.from_valve) {
      one["from_cylinder"] = place.from_valve->cylinder;
      one["from_valve"] = std::string(build::word(place.from_valve->valve));
    }
    places.push_back(std::move(one));
  }
  return {{"places", std::move(places)},
          {"proved", plan->proved},
          {"moved", plan->moved},
          {"bought", plan->bought},
          {"unserved", plan->unserved}};
}

}  // namespace fettle::stations
