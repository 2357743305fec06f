// The pushrods to be had in place of those fitted.

#include <cmath>

#include <fmt/format.h>

#include "stations/length_text.h"
#include "stations/rocker.h"
#include "stations/rocker_state.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;

/// What was read or measured over the pushrod fitted until now says so before another one is fitted.
std::vector<Operation> keep_pushrod(const build::Build& build) {
  std::vector<Operation> operations;
  const std::string typed = build.pushrods->length->typed();
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const build::Reading& reading = build.readings[i];
    const bool over_pushrod = reading.kind == ReadingKind::tip_mark ||
                              reading.kind == ReadingKind::preload_turns ||
                              reading.kind == ReadingKind::plunger_depth;
    if (over_pushrod && !reading.pushrod) {
      operations.push_back(
          {fmt::format("/readings/{}/pushrod", reading.id.value_or(std::to_string(i))), typed});
    }
  }
  for (const auto& [valve, name] :
       {std::pair{build::Valve::intake, "intake"}, std::pair{build::Valve::exhaust, "exhaust"}}) {
    const build::RockerDimensions* rocker = rocker_dimensions(build, valve);
    if (rocker != nullptr && !rocker->pushrod) {
      operations.push_back({fmt::format("/rockers/geometry/{}/pushrod", name), typed});
    }
  }
  return operations;
}

}  // namespace

std::vector<Change> rocker_changes(const Sources& sources, const Report& /*report*/) {
  std::vector<Change> changes;
  const build::Build& build = sources.build();
  if (!fitted_pushrod(build)) {
    return changes;
  }
  for (const quantity::Length& choice : build.pushrods->choices) {
    const double longer = choice.si() - *fitted_pushrod(build);
    constexpr double rounding = 1e-6;
    if (std::abs(longer) < rounding) {
      continue;
    }
    Change change;
    change.id = "rocker.pushrod";
    change.says = fmt::format("Fit pushrods {} long: {} {}", choice.typed(), in_both(std::abs(longer), 3),
                              longer > 0 ? "longer" : "shorter");
    change.operations = keep_pushrod(build);
    change.operations.push_back({"/pushrods/length", choice.typed()});
    auto parts = std::make_shared<build::Build>(build);
    parts->pushrods->length = choice;
    change.what_if.parts = std::move(parts);
    changes.push_back(std::move(change));
  }
  return changes;
}

}  // namespace fettle::stations
