// What can be changed of the cam: the positions that its timing set offers.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/reading_rules.h"
#include "quantity/angle.h"
#include "stations/cam_evidence.h"
#include "stations/cam_timing.h"
#include "stations/prove.h"
#include "stations/what_if.h"

namespace fettle::stations {
namespace {

constexpr double degree = quantity::radians_per_degree;

/// The marks of the set to try: those offered, or the one that brings the cam where it is wanted, to half a
/// degree.
std::vector<double> positions_to_try(const build::TimingSet& set, const Report& report, double fitted) {
  std::vector<double> marks;
  const bool continuous = set.continuous.value_or(false);
  if (!continuous) {
    for (const auto& position : set.positions) {
      marks.push_back(position.si());
    }
    return marks;
  }
  const Finding* error = find(report, "cam.phase_error", {});
  if (error != nullptr && error->value && !set.positions.empty()) {
    const auto [least, greatest] = std::minmax_element(set.positions.begin(), set.positions.end());
    const double per_mark = crank_advance(set, 1);
    const double wanted = fitted + *error->value / per_mark;
    const double rounded = std::round(wanted / (0.5 * degree)) * 0.5 * degree;
    marks.push_back(std::clamp(rounded, least->si(), greatest->si()));
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
/// that must be written into them before another one is fitted.
std::vector<Operation> keep_positions(const build::Build& build) {
  std::vector<Operation> operations;
  const std::string fitted = build.timing_set->fitted ? build.timing_set->fitted->typed() : "0 deg";
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const build::Reading& reading = build.readings[i];
    const auto& fields = build::rule_for(reading.kind).optional;
    const bool at_a_position = std::find(fields.begin(), fields.end(), "position") != fields.end();
    if (at_a_position && !reading.position) {
      operations.push_back(
          {fmt::format("/readings/{}/position", reading.id.value_or(std::to_string(i))), fitted});
    }
  }
  return operations;
}

Change cam_position(const Sources& sources, double mark) {
  const build::TimingSet& set = *sources.build().timing_set;
  const double advance = crank_advance(set, mark) - crank_advance(set, fitted_position(sources.build()));
  Change change;
  change.id = "cam.position";
  const std::string wanted = mark_text(set, mark);
  change.operations = keep_positions(sources.build());
  change.operations.push_back({"/timing_set/fitted", wanted});
  change.says = fmt::format("{} the cam {} (crank): fit the {} position", advance > 0 ? "Advance" : "Retard",
                            degrees_text(std::abs(advance)), wanted);
  change.what_if.cam_advance = advance;
  return change;
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
  const double fitted = fitted_position(sources.build());
  for (const double mark : positions_to_try(*set, report, fitted)) {
    if (std::abs(mark - fitted) >= 0.01 * degree) {
      changes.push_back(cam_position(sources, mark));
    }
  }
  return changes;
}

}  // namespace fettle::stations
