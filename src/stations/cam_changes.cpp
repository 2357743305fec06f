// What can be changed of the cam: the positions that its timing set offers.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "build/reading_rules.h"
#include "quantity/angle.h"
#include "stations/cam_evidence.h"
#include "stations/cam_timing.h"
#include "stations/limits.h"
#include "stations/prove.h"
#include "stations/what_if.h"

namespace fettle::stations {
namespace {

constexpr double degree = quantity::radians_per_degree;

/// Degrees by which a cam stands late of where it is wanted, crank rad: of the one cam, or of one of two.
std::optional<double> lateness(const Report& report, const build::Build& build, build::Valve valve) {
  if (valve == build::Valve::intake) {
    const Finding* error = find(report, "cam.phase_error", {});
    return error != nullptr ? error->value : std::nullopt;
  }
  const auto wanted = wanted_exhaust_centreline(build);
  double sum = 0;
  int count = 0;
  for (const Finding& finding : report.findings) {
    if (finding.id == "cam.exhaust_centerline" && finding.value) {
      sum += *finding.value;
      ++count;
    }
  }
  return wanted && count > 0 ? std::optional(*wanted - sum / count) : std::nullopt;
}

/// The mark that brings a cam where it is wanted, to half a degree, on a set without steps.
std::optional<double> best_mark(const build::TimingSet& set, std::optional<double> late, double fitted) {
  if (!late || set.positions.empty()) {
    return std::nullopt;
  }
  const auto [least, greatest] = std::minmax_element(set.positions.begin(), set.positions.end());
  const double wanted = fitted + *late / crank_advance(set, 1);
  const double rounded = std::round(wanted / (0.5 * degree)) * 0.5 * degree;
  return std::clamp(rounded, least->si(), greatest->si());
}

/// The marks of the set to try: those offered, or the best one.
std::vector<double> positions_to_try(const build::TimingSet& set, std::optional<double> late, double fitted) {
  std::vector<double> marks;
  if (!set.continuous.value_or(false)) {
    for (const auto& position : set.positions) {
      marks.push_back(position.si());
    }
  } else if (const auto best = best_mark(set, late, fitted)) {
    marks.push_back(*best);
  }
  return marks;
}

std::string mark_text(const build::TimingSet& set, double mark) {
  for (const auto& position : set.positions) {
    if (std::abs(position.si() - mark) < 1e-9 && !position.typed().empty()) {
      return position.typed();
    }
  }
  return fmt::format("{:g} deg", std::round(mark / degree * 100) / 100);
}

/// Lobe readings that do not say at which position they were taken were taken at the one fitted until now:
/// that must be written into them before another one is fitted. Of two cams only those of the one moved.
std::vector<Operation> keep_positions(const build::Build& build, std::optional<build::Valve> of_cam) {
  std::vector<Operation> operations;
  const auto& set = *build.timing_set;
  const auto& now = of_cam == build::Valve::exhaust ? set.exhaust_fitted : set.fitted;
  const std::string fitted = now ? now->typed() : "0 deg";
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const build::Reading& reading = build.readings[i];
    const auto& fields = build::rule_for(reading.kind).optional;
    const bool at_a_position = std::find(fields.begin(), fields.end(), "position") != fields.end();
    if (at_a_position && !reading.position && (!of_cam || reading.valve == of_cam)) {
      operations.push_back(
          {fmt::format("/readings/{}/position", reading.id.value_or(std::to_string(i))), fitted});
    }
  }
  return operations;
}

std::string move_text(std::string_view cam, double advance, const std::string& mark) {
  return fmt::format("{} the {} {} (crank): fit the {} position", advance > 0 ? "Advance" : "Retard", cam,
                     degrees_text(std::abs(advance)), mark);
}

Change cam_position(const Sources& sources, double mark) {
  const build::TimingSet& set = *sources.build().timing_set;
  const double advance = crank_advance(set, mark) - crank_advance(set, fitted_position(sources.build()));
  Change change;
  change.id = "cam.position";
  const std::string wanted = mark_text(set, mark);
  change.operations = keep_positions(sources.build(), std::nullopt);
  change.operations.push_back({"/timing_set/fitted", wanted});
  change.says = move_text("cam", advance, wanted);
  change.what_if.cam_advance = advance;
  return change;
}

/// One of two cams moved, the other left where it is.
Change one_cam_position(const Sources& sources, build::Valve valve, double mark) {
  const build::TimingSet& set = *sources.build().timing_set;
  const bool exhaust = valve == build::Valve::exhaust;
  const double advance =
      crank_advance(set, mark) - crank_advance(set, fitted_position(sources.build(), valve));
  Change change;
  change.id = fmt::format("cam.position_{}", build::word(valve));
  const std::string wanted = mark_text(set, mark);
  change.operations = keep_positions(sources.build(), valve);
  change.operations.push_back({exhaust ? "/timing_set/exhaust_fitted" : "/timing_set/fitted", wanted});
  change.says = move_text(fmt::format("{} cam", build::word(valve)), advance, wanted);
  change.what_if.cam_advance = exhaust ? 0 : advance;
  change.what_if.exhaust_advance = exhaust ? advance : 0;
  return change;
}

/// Both cams moved at once: their centres drawn together or apart.
Change both_cams(Change intake, const Change& exhaust) {
  intake.id = "cam.positions";
  intake.says += "; " + exhaust.says;
  intake.operations.insert(intake.operations.end(), exhaust.operations.begin(), exhaust.operations.end());
  intake.what_if.exhaust_advance = exhaust.what_if.exhaust_advance;
  return intake;
}

/// The offered mark nearest to the best one; nothing where the cam stands there already.
std::optional<double> nearest_mark(const build::TimingSet& set, std::optional<double> late, double fitted) {
  if (!late) {
    return std::nullopt;
  }
  const double wanted = fitted + *late / crank_advance(set, 1);
  const auto marks = positions_to_try(set, late, fitted);
  if (marks.empty()) {
    return std::nullopt;
  }
  const double nearest = *std::min_element(marks.begin(), marks.end(), [&](double a, double b) {
    return std::abs(a - wanted) < std::abs(b - wanted);
  });
  return std::abs(nearest - fitted) < 0.01 * degree ? std::nullopt : std::optional(nearest);
}

std::vector<Change> changes_of_two_cams(const Sources& sources, const Report& report) {
  std::vector<Change> changes;
  const build::TimingSet& set = *sources.build().timing_set;
  std::vector<Change> best;
  for (const build::Valve valve : {build::Valve::intake, build::Valve::exhaust}) {
    const auto late = lateness(report, sources.build(), valve);
    const double fitted = fitted_position(sources.build(), valve);
    for (const double mark : positions_to_try(set, late, fitted)) {
      if (std::abs(mark - fitted) >= 0.01 * degree) {
        changes.push_back(one_cam_position(sources, valve, mark));
      }
    }
    if (const auto mark = nearest_mark(set, late, fitted)) {
      best.push_back(one_cam_position(sources, valve, *mark));
    }
  }
  if (best.size() == 2) {
    changes.push_back(both_cams(std::move(best.front()), best.back()));
  }
  return changes;
}

}  // namespace

std::vector<Change> cam_changes(const Sources& sources, const Report& report) {
  std::vector<Change> changes;
  const auto& set = sources.build().timing_set;
  const bool read = std::any_of(report.findings.begin(), report.findings.end(), [](const Finding& finding) {
    return finding.id.starts_with("cam.") && finding.value.has_value();
  });
  if (!set || !read) {
    return changes;
  }
  if (cams_set_apart(sources.build())) {
    return changes_of_two_cams(sources, report);
  }
  const double fitted = fitted_position(sources.build());
  const auto late = lateness(report, sources.build(), build::Valve::intake);
  for (const double mark : positions_to_try(*set, late, fitted)) {
    if (std::abs(mark - fitted) >= 0.01 * degree) {
      changes.push_back(cam_position(sources, mark));
    }
  }
  return changes;
}

}  // namespace fettle::stations
