#pragma once

#include <algorithm>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "build/problem.h"
#include "build/types.h"
#include "quantity/dimension.h"
#include "stations/group.h"
#include "stations/memory.h"
#include "study/law.h"
#include "study/study.h"

namespace fettle::study {

/// A number of the build that varies, with its law.
struct PlannedNumber {
  std::string name;
  std::string path;
  quantity::Dimension dimension = quantity::Dimension::ratio;
  double base = 0.0;  ///< what the build says, SI
  Law law;
  Meaning meaning = Meaning::doubted;
};

/// One result of every draw.
struct PlannedResult {
  std::string name;  ///< "compression.static_ratio cylinder 1"; unlike all others
  std::string id;    ///< of the finding, or "pull.mean_torque"
  stations::Where where;
  quantity::Dimension dimension = quantity::Dimension::ratio;
  std::optional<stations::LimitInForce> limit;
};

/// A group of findings that some result comes from.
struct PlannedGroup {
  std::size_t station = 0;                          ///< place in stations::station_work()
  std::size_t group = 0;                            ///< place among the station's groups
  std::vector<stations::FindingKey> keys;           ///< of what it gives for the build as it is
  std::vector<std::optional<std::size_t>> results;  ///< which result each is, where it is one
};

/// What a study comes to for its build: everything needed to work out any draw.
struct Plan {
  Study study;
  build::Build build;
  std::vector<PlannedNumber> numbers;
  std::vector<PlannedResult> results;
  std::vector<PlannedGroup> groups;
  std::uint64_t draws = 0;
  std::uint64_t chunk = 1;  ///< draws that are worked out and written together
  /// Whether what is fitted to the readings must be fitted anew for each draw, and for which numbers.
  bool fit_anew = false;
  std::vector<std::string> fit_anew_for;
  std::shared_ptr<stations::Memory> memory;  ///< of fits that all draws share
  std::string digest;                        ///< hex; of study, build and the way of counting

  std::uint64_t chunks() const { return (draws + chunk - 1) / chunk; }
  /// Draws [first, last) of a chunk.
  std::uint64_t first(std::uint64_t of) const { return of * chunk; }
  std::uint64_t last(std::uint64_t of) const { return std::min(draws, (of + 1) * chunk); }
  std::size_t width() const { return numbers.size() + results.size(); }
};

struct PlanOutcome {
  std::unique_ptr<Plan> plan;
  build::Problems problems;  ///< places in the study's document
};

/// The plan of a study that read_study() gave, for a build that passed build::validate(). A pure function:
/// the same on every machine and in every rank.
PlanOutcome make_plan(const Study& study, const build::Build& build);

}  // namespace fettle::study
