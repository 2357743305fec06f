#include "stations/corrections.h"

#include <algorithm>
#include <cmath>

#include "stations/cam_evidence.h"
#include "stations/limits.h"
#include "stations/prove.h"
#include "stations/station_work.h"

namespace fettle::stations {
namespace {

using metrology::Verdict;

/// Every finding that a change moves, from and to. To first order a change leaves the doubt as it is.
std::vector<Effect> effects_of(const Sources& sources, const std::vector<Group>& groups, const Report& report,
                               const WhatIf& what_if) {
  constexpr double rounding = 1e-9;
  const Observed changed(sources, sources.estimates(), nullptr, what_if);
  std::vector<Effect> effects;
  for (const Group& group : groups) {
    for (const Valued& valued : group.evaluate(changed)) {
      const Finding* from = find(report, valued.key.id, valued.key.where);
      if (from == nullptr || !from->value || std::abs(*from->value - valued.value) < rounding) {
        continue;
      }
      Effect effect{*from, *from};
      effect.to.value = valued.value;
      effect.to.limit = limit_for(changed.build(), effect.to.id, effect.to.where);
      if (effect.to.limit) {
        effect.to.verdict = metrology::decide(effect.to.value, effect.to.expanded,
                                              {effect.to.limit->min, effect.to.limit->max});
      }
      effects.push_back(std::move(effect));
    }
  }
  return effects;
}

/// How much is left to mend: failing counts most, too close less, and then how far the cam is from where it
/// is wanted.
struct Badness {
  int fails = 0;
  int too_close = 0;
  double distance = 0;
  auto operator<=>(const Badness&) const = default;
};

Badness badness(const Report& report, const std::vector<Effect>& effects) {
  Badness total;
  const auto count = [&](const Finding& finding) {
    total.fails += finding.verdict == Verdict::fails ? 1 : 0;
    total.too_close += finding.verdict == Verdict::too_close ? 1 : 0;
    if (finding.id == "cam.phase_error" && finding.value) {
      total.distance = std::abs(*finding.value);
    }
  };
  for (const Finding& finding : report.findings) {
    const auto moved = std::find_if(effects.begin(), effects.end(), [&](const Effect& effect) {
      return effect.from.id == finding.id && effect.from.where == finding.where;
    });
    count(moved == effects.end() ? finding : moved->to);
  }
  return total;
}

}  // namespace

std::vector<Correction> find_corrections(const Sources& sources, const Report& report) {
  std::vector<Correction> corrections;
  const Badness now = badness(report, {});
  const std::vector<Group> groups = all_groups(sources);
  for (const StationWork& station : station_work()) {
    if (station.changes == nullptr) {
      continue;
    }
    std::optional<std::size_t> best;
    Badness least = now;
    for (Change& change : station.changes(sources, report)) {
      corrections.push_back({std::move(change.id), std::move(change.says), false,
                             std::move(change.operations),
                             effects_of(sources, groups, report, change.what_if)});
      const Badness then = badness(report, corrections.back().effects);
      if (then < least) {
        least = then;
        best = corrections.size() - 1;
      }
    }
    // A move that leaves as much failing as before mends nothing: something else is wrong.
    if (best && (least.fails < now.fails || (least.fails == now.fails && least.too_close < now.too_close))) {
      corrections[*best].recommended = true;
    }
  }
  return corrections;
}

}  // namespace fettle::stations
