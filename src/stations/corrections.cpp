#include "stations/corrections.h"

#include <algorithm>
#include <cmath>

#include <tbb/parallel_for.h>

#include "stations/cam_evidence.h"
#include "stations/cursor.h"
#include "stations/limits.h"
#include "stations/prove.h"
#include "stations/station_work.h"

namespace fettle::stations {
namespace {

using metrology::Verdict;

/// How much is left to mend: failing counts most, too close less, and then how far the cam is from where it
/// is wanted.
struct Badness {
  int fails = 0;
  int too_close = 0;
  double distance = 0;
  auto operator<=>(const Badness&) const = default;

  void count(const Finding& finding, int sign) {
    fails += finding.verdict == Verdict::fails ? sign : 0;
    too_close += finding.verdict == Verdict::too_close ? sign : 0;
    if (finding.id == "cam.phase_error" && finding.value) {
      distance = std::abs(*finding.value);
    }
  }
};

Badness badness(const Report& report) {
  Badness total;
  for (const Finding& finding : report.findings) {
    total.count(finding, +1);
  }
  return total;
}

Badness after(Badness now, const std::vector<Effect>& effects) {
  for (const Effect& effect : effects) {
    now.count(effect.from, -1);
    now.count(effect.to, +1);
  }
  return now;
}

}  // namespace

std::vector<Effect> effects_of(const Sources& sources, const std::vector<Group>& groups, const Report& report,
                               const WhatIf& what_if) {
  constexpr double rounding = 1e-9;
  const Observed changed(sources, sources.estimates(), nullptr, what_if);
  Cursor cursor(report.findings);
  std::vector<Effect> effects;
  for (const Group& group : groups) {
    for (const Valued& valued : group.evaluate(changed)) {
      const Finding* from = cursor.find(valued.key.id.text(), valued.key.where);
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

std::vector<Correction> find_corrections(const Sources& sources, const std::vector<Group>& groups,
                                         const Report& report) {
  std::vector<Correction> corrections;
  const Badness now = badness(report);
  for (const StationWork& station : station_work()) {
    if (station.changes == nullptr) {
      continue;
    }
    std::vector<Change> changes = station.changes(sources, report);
    std::vector<std::vector<Effect>> effects(changes.size());
    tbb::parallel_for(std::size_t{0}, changes.size(), [&](std::size_t i) {
      effects[i] = effects_of(sources, groups, report, changes[i].what_if);
    });
    std::optional<std::size_t> best;
    Badness least = now;
    for (std::size_t i = 0; i < changes.size(); ++i) {
      const Badness then = after(now, effects[i]);
      if (then < least) {
        least = then;
        best = corrections.size();
      }
      corrections.push_back({std::move(changes[i].id), std::move(changes[i].says), false,
                             std::move(changes[i].operations), std::move(effects[i])});
    }
    // A move that leaves as much failing as before mends nothing: something else is wrong.
    if (best && (least.fails < now.fails || (least.fails == now.fails && least.too_close < now.too_close))) {
      corrections[*best].recommended = true;
    }
  }
  return corrections;
}

}  // namespace fettle::stations
