#include "counsel/sets.h"

#include <algorithm>
#include <map>
#include <memory>
#include <utility>

#include "build/codec.h"
#include "ledger/document.h"
#include "metrology/decision.h"
#include "stations/cursor.h"

namespace fettle::counsel {
namespace {

using metrology::Verdict;
using stations::Correction;
using stations::Finding;
using stations::Report;

/// What a correction does to one finding, by the finding's place in the report.
struct Move {
  const Finding* from = nullptr;
  const Finding* to = nullptr;
};
using Moves = std::map<std::size_t, Move>;

Moves moves_of(const Correction& correction, const Report& report) {
  Moves moves;
  stations::Cursor cursor(report.findings);
  for (const stations::Effect& effect : correction.effects) {
    if (const Finding* found = cursor.find(effect.from.id, effect.from.where)) {
      const auto place = static_cast<std::size_t>(found - report.findings.data());
      moves[place] = {&effect.from, &effect.to};
    }
  }
  return moves;
}

/// A finding that several corrections move: their moves added up, the limit that of the last.
Finding moved_by_all(const Finding& finding, const std::vector<Move>& moves) {
  Finding moved = finding;
  for (const Move& move : moves) {
    if (moved.value && move.from->value && move.to->value) {
      *moved.value += *move.to->value - *move.from->value;
    }
    moved.limit = move.to->limit;
  }
  if (moves.size() == 1) {
    moved.verdict = moves.front().to->verdict;
  } else if (moved.value && moved.limit) {
    moved.verdict = metrology::decide(*moved.value, moved.expanded, {moved.limit->min, moved.limit->max});
  }
  return moved;
}

Left expected_of(const std::vector<std::size_t>& set, const std::vector<Moves>& moves, const Report& report,
                 Left now) {
  std::map<std::size_t, std::vector<Move>> of_finding;
  for (const std::size_t correction : set) {
    for (const auto& [place, move] : moves[correction]) {
      of_finding[place].push_back(move);
    }
  }
  for (const auto& [place, together] : of_finding) {
    now.count(report.findings[place], -1);
    now.count(moved_by_all(report.findings[place], together), +1);
  }
  return now;
}

bool together(const Correction& a, const Correction& b) {
  return std::none_of(a.operations.begin(), a.operations.end(), [&](const auto& one) {
    return std::any_of(b.operations.begin(), b.operations.end(),
                       [&](const auto& other) { return ledger::overlap(one.path, other.path); });
  });
}

}  // namespace

void Left::count(const Finding& finding, int sign) {
  fails += finding.verdict == Verdict::fails ? sign : 0;
  too_close += finding.verdict == Verdict::too_close ? sign : 0;
}

Left left_to_mend(const Report& report) {
  Left left;
  for (const Finding& finding : report.findings) {
    left.count(finding, +1);
  }
  return left;
}

std::vector<CandidateSet> candidate_sets(const Report& report, int most_together) {
  const Left now = left_to_mend(report);
  std::vector<Moves> moves;
  moves.reserve(report.corrections.size());
  for (const Correction& correction : report.corrections) {
    moves.push_back(moves_of(correction, report));
  }
  std::vector<CandidateSet> all;
  std::vector<std::vector<std::size_t>> last{{}};
  for (int size = 1; size <= most_together; ++size) {
    std::vector<std::vector<std::size_t>> larger;
    const auto first_of_size = static_cast<std::ptrdiff_t>(all.size());
    for (const auto& set : last) {
      for (std::size_t next = set.empty() ? 0 : set.back() + 1; next < report.corrections.size(); ++next) {
        const Correction& added = report.corrections[next];
        const bool fits = !added.operations.empty() && std::all_of(set.begin(), set.end(), [&](auto member) {
          return together(report.corrections[member], added);
        });
        if (fits) {
          larger.push_back(set);
          larger.back().push_back(next);
          all.push_back({larger.back(), expected_of(larger.back(), moves, report, now)});
        }
      }
    }
    std::stable_sort(all.begin() + first_of_size, all.end(),
                     [](const auto& a, const auto& b) { return a.expected < b.expected; });
    last = std::move(larger);
  }
  return all;
}

std::optional<stations::WhatIf> made_together(const build::Build& as_they_are, const stations::WhatIf& a,
                                              const stations::WhatIf& b) {
  stations::WhatIf both;
  both.cam_advance = a.cam_advance + b.cam_advance;
  if (a.exhaust_advance || b.exhaust_advance) {
    both.exhaust_advance = a.advance(build::Valve::exhaust) + b.advance(build::Valve::exhaust);
  }
  both.parts = a.parts ? a.parts : b.parts;
  if (!a.parts || !b.parts) {
    return both;
  }
  // What `a` changed of the document is changed in that of `b` too.
  try {
    const nlohmann::json changes =
        nlohmann::json::diff(build::write_build(as_they_are), build::write_build(*a.parts));
    auto read = build::read_document(nlohmann::json(build::write_build(*b.parts)).patch(changes));
    if (!read.build) {
      return std::nullopt;
    }
    both.parts = std::make_shared<const build::Build>(std::move(*read.build));
  } catch (const nlohmann::json::exception&) {
    return std::nullopt;
  }
  return both;
}

}  // namespace fettle::counsel
