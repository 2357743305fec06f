// What brings the ratio where it is wanted: milling the head, deepening the crowns, another gasket.

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include <fmt/format.h>

#include "mechanism/selective_fit.h"
#include "stations/bore_state.h"
#include "stations/compression.h"
#include "stations/compression_state.h"
#include "stations/head_height.h"
#include "stations/limits.h"
#include "stations/part_places.h"
#include "stations/prove.h"
#include "stations/wanted_ratio.h"

namespace fettle::stations {
namespace {

constexpr double inch = 0.0254;
constexpr double cc = 1e-6;

std::shared_ptr<build::Build> copy_of(const build::Build& build) {
  return std::make_shared<build::Build>(build);
}

std::optional<Change> milling(const build::Build& build, const MeanRoom& mean, double target) {
  // Beyond this the intake no longer fits the head (common practice, no source).
  constexpr double most = 0.060 * inch;
  constexpr double least = 0.0005 * inch;
  if (!build.chamber || !build.chamber->area) {
    return std::nullopt;
  }
  const auto changes =
      mechanism::changes_for_ratio(mean.parts, mean.stroke, target, build.chamber->area->si());
  const double amount = as_written(build, milled(build) + *changes.milling) - milled(build);
  if (amount < least || milled(build) + amount > most) {
    return std::nullopt;
  }
  Change change;
  change.id = "compression.mill_head";
  const std::string total = shop_length(build, milled(build) + amount);
  change.says = fmt::format("Mill the head by {}: a static ratio of {:.2f} in the mean",
                            shop_length(build, amount), target);
  change.operations = keep_milled(build);
  change.operations.push_back({"/chamber/milled", total});
  auto parts = copy_of(build);
  parts->chamber->milled = quantity::Length::typed(milled(build) + amount, total);
  change.what_if.parts = std::move(parts);
  return change;
}

std::optional<Change> deepening(const build::Build& build, const MeanRoom& mean, double target) {
  constexpr double most = 40 * cc;
  constexpr double least = 0.1 * cc;
  constexpr double step = 0.1 * cc;
  const double wanted = deepened(build) + mechanism::changes_for_ratio(mean.parts, mean.stroke, target).dish;
  const double amount = std::round(wanted / step) * step - deepened(build);
  if (amount < least || amount > most) {
    return std::nullopt;
  }
  Change change;
  change.id = "compression.deepen_crowns";
  const std::string total = fmt::format("{:.1f} cc", (deepened(build) + amount) / cc);
  change.says = fmt::format(
      "Cut {:.1f} cc out of each crown, as far as its thickness allows: a static ratio of "
      "{:.2f} in the mean",
      amount / cc, target);
  change.operations = keep_deepened(build);
  change.operations.push_back(set_member(build.crowns.has_value(), "crowns", "deepened", total));
  auto parts = copy_of(build);
  if (!parts->crowns) {
    parts->crowns.emplace();
  }
  parts->crowns->deepened = quantity::Volume::typed(deepened(build) + amount, total);
  change.what_if.parts = std::move(parts);
  return change;
}

/// Marks of the pistons fitted and of those whose crown was poured.
std::vector<int> pistons_poured(const Observed& observed) {
  std::set<int> marks;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    marks.insert(piston_in(observed.build(), cylinder));
  }
  for (const build::ReadingKind kind : {build::ReadingKind::dish_fill, build::ReadingKind::piston_fill}) {
    for (const int place : observed.sources().inventory().of(kind)) {
      if (const auto mark = piston_of(observed, observed.reading(place))) {
        marks.insert(*mark);
      }
    }
  }
  return {marks.begin(), marks.end()};
}

/// The pistons to the cylinders where the ratios lie closest together: a chamber stays where its head has it,
/// a piston may go anywhere that its clearance allows.
std::optional<Change> pistons_by_volume(const Observed& observed) {
  constexpr double worth_while = 0.02;
  const int cylinders = observed.sources().phases().cylinders();
  const auto marks = pistons_poured(observed);
  Eigen::MatrixXd ratios(cylinders, static_cast<Eigen::Index>(marks.size()));
  std::vector<std::size_t> now;
  double least = std::numeric_limits<double>::infinity();
  double greatest = -least;
  for (int cylinder = 1; cylinder <= cylinders; ++cylinder) {
    const int fitted = piston_in(observed.build(), cylinder);
    for (std::size_t j = 0; j < marks.size(); ++j) {
      const auto room = cylinder_room(observed, cylinder, marks[j]);
      const auto ratio = ratio_of(observed, cylinder, room);
      if (!ratio || !room.crown->basis.empty()) {
        return std::nullopt;
      }
      const bool stays = marks[j] == fitted;
      const bool fits = stays || !piston_does_not_fit(observed, cylinder, marks[j]);
      ratios(cylinder - 1, static_cast<Eigen::Index>(j)) =
          fits ? *ratio : std::numeric_limits<double>::infinity();
      if (stays) {
        now.push_back(j);
        least = std::min(least, *ratio);
        greatest = std::max(greatest, *ratio);
      }
    }
  }
  const auto fit = mechanism::least_spread(ratios, {}, now);
  if (!fit || greatest - least - (fit->greatest - fit->least) < worth_while) {
    return std::nullopt;
  }
  std::vector<int> pistons;
  for (const std::size_t part : fit->part_of_place) {
    pistons.push_back(marks[part]);
  }
  Change change;
  change.id = "compression.pistons";
  change.says = "Pistons to the chambers by volume, by cylinder: " + places_text(pistons, "piston");
  place_parts(change, observed.build(), pistons);
  return change;
}

}  // namespace

std::optional<MeanRoom> mean_room(const Sources& sources) {
  const Observed observed(sources, sources.estimates());
  MeanRoom mean;
  int count = 0;
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    const CylinderRoom room = cylinder_room(observed, cylinder);
    if (!room.clearance_volume) {
      continue;
    }
    if (count == 0) {
      mean.parts = *room.parts;
    } else {
      mean.parts.bore += room.parts->bore;
      mean.parts.gasket_bore += room.parts->gasket_bore;
      mean.parts.chamber += room.parts->chamber;
      mean.parts.deck += room.parts->deck;
      mean.parts.dish += room.parts->dish;
    }
    ++count;
  }
  if (count == 0) {
    return std::nullopt;
  }
  for (double* sum :
       {&mean.parts.bore, &mean.parts.gasket_bore, &mean.parts.chamber, &mean.parts.deck, &mean.parts.dish}) {
    *sum /= count;
  }
  mean.stroke = sources.crank().stroke();
  mean.ratio = mechanism::static_ratio(mechanism::swept_volume(mean.parts.bore, mean.stroke),
                                       mechanism::clearance_volume(mean.parts));
  return mean;
}

std::optional<double> wanted_ratio(const build::Build& build, const Report& report) {
  if (build.compression && build.compression->wanted_ratio) {
    return build.compression->wanted_ratio;
  }
  const auto limit = limit_for(build, "compression.static_ratio", {});
  const bool off = std::any_of(report.findings.begin(), report.findings.end(), [](const Finding& finding) {
    return finding.id == "compression.static_ratio" && finding.verdict == metrology::Verdict::fails;
  });
  if (!off || !limit || !limit->min || !limit->max) {
    return std::nullopt;
  }
  return (*limit->min + *limit->max) / 2;
}

std::vector<Change> compression_changes(const Sources& sources, const Report& report) {
  std::vector<Change> changes;
  if (!compression_concerns(sources)) {
    return changes;
  }
  const build::Build& build = sources.build();
  const auto mean = mean_room(sources);
  if (!mean) {
    return changes;
  }
  if (const auto target = wanted_ratio(build, report)) {
    for (auto change : {milling(build, *mean, *target), deepening(build, *mean, *target)}) {
      if (change) {
        changes.push_back(std::move(*change));
      }
    }
  }
  if (auto change = pistons_by_volume(Observed(sources, sources.estimates()))) {
    changes.push_back(std::move(*change));
  }
  // Where the valves' clearance is known the station Valve to piston offers the gaskets, with all they move.
  const bool offered = std::any_of(
      report.findings.begin(), report.findings.end(),
      [](const Finding& finding) { return finding.id == "piston_valve.clearance" && finding.value; });
  if (!offered) {
    for (Change& change : gasket_changes(build, "compression.gasket")) {
      changes.push_back(std::move(change));
    }
  }
  return changes;
}

}  // namespace fettle::stations
