// What weights of the valve train give away, and what can be changed where it does not hold.

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "build/names.h"
#include "stations/spring_packing.h"
#include "stations/train.h"
#include "stations/train_speeds.h"
#include "stations/valves.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;
using build::WeighedItem;

constexpr double gram = 1e-3;
constexpr double rpm = 2 * std::numbers::pi / 60;

/// What parts of car engines weigh (common practice, no source), grams.
struct UsualWeight {
  WeighedItem item;
  double least, most;
};
constexpr std::array usual_weights{
    UsualWeight{WeighedItem::valve, 20, 300},   UsualWeight{WeighedItem::retainer, 4, 80},
    UsualWeight{WeighedItem::spring, 15, 350},  UsualWeight{WeighedItem::rocker, 25, 400},
    UsualWeight{WeighedItem::pushrod, 15, 250}, UsualWeight{WeighedItem::lifter, 15, 300},
};

std::optional<Mistake> odd_weight(const Observed& observed, int place) {
  const build::Reading& reading = observed.reading(place);
  const auto usual = std::find_if(usual_weights.begin(), usual_weights.end(),
                                  [&](const UsualWeight& one) { return one.item == reading.item; });
  if (usual == usual_weights.end()) {
    return std::nullopt;
  }
  const double grams = observed.amount(place, Amount::mass) / gram;
  if (grams >= usual->least && grams <= usual->most) {
    return std::nullopt;
  }
  return Mistake{
      "valve_train.weight_odd",
      {place},
      reading.cylinder,
      fmt::format("A {} of {:.1f} g is {} than any of a car's engine, {:.0f} to {:.0f} g: the unit, "
                  "the point or the part is not the one meant.",
                  build::word(*reading.item), grams, grams < usual->least ? "lighter" : "heavier",
                  usual->least, usual->most),
      "Nought the scale with its pan, weigh the part by itself, and see in which unit it shows."};
}

const Finding* of_kind(const Report& report, std::string_view id, Valve valve) {
  const auto found =
      std::find_if(report.findings.begin(), report.findings.end(), [&](const Finding& finding) {
        return finding.id == id && finding.where.valve == valve && finding.value.has_value();
      });
  return found == report.findings.end() ? nullptr : &*found;
}

/// One more shim of the stock under every spring of a kind.
std::optional<Change> shimmed(const Sources& sources, Valve valve, const build::ShimStock& shim) {
  const build::Build& build = sources.build();
  const int cylinders = sources.phases().cylinders();
  if (shim.count && *shim.count < cylinders) {
    return std::nullopt;
  }
  std::vector<std::pair<LobeKey, double>> thicknesses;
  for (int cylinder = 1; cylinder <= cylinders; ++cylinder) {
    const LobeKey key{cylinder, valve};
    thicknesses.emplace_back(key, fitted_shims(build, key) + shim.thickness.si());
  }
  Change change;
  change.id = "valve_train.shims";
  change.says = fmt::format(
      "Put {} more under every {} spring: so much more load, and so much less travel "
      "before coil bind",
      shim.thickness.typed(), build::word(valve));
  put_shims(build, valve, thicknesses, change);
  return change;
}

/// A redline that holds with its doubt, down to the next hundred.
std::optional<Change> lower_redline(const Sources& sources, const Report& report) {
  const double redline = *train_redline(sources.build());
  double holds = redline;
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    if (const Finding* finding = of_kind(report, "valve_train.separation", valve)) {
      holds = std::min(holds, *finding->value - finding->expanded);
    }
  }
  const double hundreds = std::floor(holds / rpm / 100) * 100;
  if (holds >= redline || hundreds < 1000) {
    return std::nullopt;
  }
  Change change;
  change.id = "valve_train.redline";
  change.says = fmt::format("Run it to {:.0f} rpm at most", hundreds);
  const std::string typed = fmt::format("{:.0f} rpm", hundreds);
  change.operations.push_back({"/valve_train/redline", typed});
  auto parts = std::make_shared<build::Build>(sources.build());
  parts->valve_train->redline = quantity::RotationalSpeed::from_si(hundreds * rpm);
  change.what_if.parts = std::move(parts);
  return change;
}

bool does_not_hold(const Finding* finding) {
  return finding != nullptr && finding->verdict && *finding->verdict != metrology::Verdict::holds;
}

}  // namespace

std::vector<Mistake> train_mistakes(const Sources& sources, const Report& /*report*/,
                                    const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  const Observed observed(sources, sources.estimates());
  for (const int place : sources.inventory().of(ReadingKind::part_weight)) {
    if (const auto mistake = odd_weight(observed, place)) {
      mistakes.push_back(*mistake);
    }
  }
  return mistakes;
}

std::vector<Change> train_changes(const Sources& sources, const Report& report) {
  std::vector<Change> changes;
  const build::Build& build = sources.build();
  if (!train_concerns(build)) {
    return changes;
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    if (!does_not_hold(of_kind(report, "valve_train.separation_margin", valve)) || !build.springs) {
      continue;
    }
    for (const build::ShimStock& shim : build.springs->shims) {
      if (auto change = shimmed(sources, valve, shim)) {
        changes.push_back(std::move(*change));
      }
    }
  }
  if (auto change = lower_redline(sources, report)) {
    changes.push_back(std::move(*change));
  }
  return changes;
}

}  // namespace fettle::stations
