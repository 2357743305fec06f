#include "counsel/counsel.h"

#include <algorithm>
#include <stdexcept>
#include <utility>

#include "counsel/sets.h"
#include "stations/corrections.h"
#include "stations/prove.h"
#include "stations/station_work.h"

namespace fettle::counsel {
namespace {

using metrology::Verdict;
using stations::Effect;
using stations::Finding;
using stations::Report;

/// How bad a verdict is.
int badness(const std::optional<Verdict>& verdict) {
  return verdict == Verdict::fails ? 2 : verdict == Verdict::too_close ? 1 : 0;
}

bool troubled(const Finding& finding) {
  return badness(finding.verdict) > 0;
}

Remedy weigh(const Report& report, std::size_t correction) {
  Remedy remedy{correction, 0, {}};
  for (const Effect& effect : report.corrections[correction].effects) {
    remedy.mended += troubled(effect.from) && effect.to.verdict == Verdict::holds ? 1 : 0;
    if (badness(effect.to.verdict) > badness(effect.from.verdict)) {
      remedy.harmed.push_back(effect);
    }
  }
  return remedy;
}

bool mends(const stations::Correction& correction, const Finding& finding) {
  return std::any_of(correction.effects.begin(), correction.effects.end(), [&](const Effect& effect) {
    return effect.from.id == finding.id && effect.from.where == finding.where &&
           effect.to.verdict == Verdict::holds;
  });
}

int harm(const Remedy& remedy) {
  int sum = 0;
  for (const Effect& effect : remedy.harmed) {
    sum += badness(effect.to.verdict) - badness(effect.from.verdict);
  }
  return sum;
}

std::vector<Trouble> troubles_of(const build::Build& build, const Report& report) {
  std::vector<Remedy> remedies;
  for (std::size_t i = 0; i < report.corrections.size(); ++i) {
    remedies.push_back(weigh(report, i));
  }
  std::vector<Trouble> troubles;
  for (const Finding& finding : report.findings) {
    if (!troubled(finding)) {
      continue;
    }
    Trouble trouble{finding, {}, settling_of(build, finding)};
    for (const Remedy& remedy : remedies) {
      if (mends(report.corrections[remedy.correction], finding)) {
        trouble.remedies.push_back(remedy);
      }
    }
    std::stable_sort(trouble.remedies.begin(), trouble.remedies.end(), [](const auto& a, const auto& b) {
      return std::pair(harm(a), -a.mended) < std::pair(harm(b), -b.mended);
    });
    troubles.push_back(std::move(trouble));
  }
  std::stable_sort(troubles.begin(), troubles.end(), [](const auto& a, const auto& b) {
    return badness(a.finding.verdict) > badness(b.finding.verdict);
  });
  return troubles;
}

/// What the stations offer, in the order of the report's corrections, and how it acts.
class Offers {
 public:
  Offers(const stations::Sources& sources, const Report& report)
      : sources_(sources), report_(report), groups_(stations::all_groups(sources)) {
    for (const stations::StationWork& station : stations::station_work()) {
      if (station.changes != nullptr) {
        for (stations::Change& change : station.changes(sources, report)) {
          changes_.push_back(std::move(change));
        }
      }
    }
  }

  /// Effects of several made together; nothing where they do not go together.
  std::optional<std::vector<Effect>> effects(const std::vector<std::size_t>& set) const {
    if (set.size() == 1) {
      return report_.corrections[set.front()].effects;
    }
    stations::WhatIf all = changes_[set.front()].what_if;
    for (std::size_t i = 1; i < set.size(); ++i) {
      const auto both = made_together(sources_.build(), all, changes_[set[i]].what_if);
      if (!both) {
        return std::nullopt;
      }
      all = *both;
    }
    return stations::effects_of(sources_, groups_, report_, all);
  }

 private:
  const stations::Sources& sources_;
  const Report& report_;
  std::vector<stations::Group> groups_;
  std::vector<stations::Change> changes_;
};

Left left_after(Left now, const std::vector<Effect>& effects) {
  for (const Effect& effect : effects) {
    now.count(effect.from, -1);
    now.count(effect.to, +1);
  }
  return now;
}

/// Better first: all hold before not, then fewer corrections (of sets that hold) or less left (of others).
bool better(const Plan& a, const Plan& b) {
  if (a.all_hold() != b.all_hold()) {
    return a.all_hold();
  }
  const auto left = [](const Plan& plan) { return Left{plan.fails, plan.too_close}; };
  if (left(a) != left(b)) {
    return left(a) < left(b);
  }
  return a.corrections.size() < b.corrections.size();
}

/// Works out the sets in their order and keeps those that leave less than now. With a set at hand that makes
/// everything hold, larger ones are not asked.
void try_sets(const Offers& offers, const CounselOptions& options, Counsel& counsel) {
  const Left now = left_to_mend(counsel.report);
  auto enough = static_cast<std::size_t>(options.most_together);
  for (const CandidateSet& set : candidate_sets(counsel.report, options.most_together)) {
    if (set.corrections.size() > enough) {
      break;
    }
    if (counsel.tried >= options.most_tried) {
      counsel.complete = false;
      break;
    }
    auto effects = offers.effects(set.corrections);
    ++counsel.tried;
    if (!effects) {
      continue;
    }
    const Left left = left_after(now, *effects);
    if (left < now) {
      counsel.plans.push_back({set.corrections, left.fails, left.too_close, std::move(*effects)});
      enough = counsel.plans.back().all_hold() ? set.corrections.size() : enough;
    }
  }
  std::stable_sort(counsel.plans.begin(), counsel.plans.end(), better);
  if (counsel.plans.size() > static_cast<std::size_t>(options.most_plans)) {
    counsel.plans.resize(static_cast<std::size_t>(options.most_plans));
  }
}

}  // namespace

Counsel counsel(const build::Build& build, const CounselOptions& options) {
  if (options.most_together < 1 || options.most_together > 4 || options.most_tried < 1 ||
      options.most_plans < 1) {
    throw std::invalid_argument(
        "CounselOptions: most_together in 1..4, most_tried and most_plans at least 1");
  }
  const stations::Sources sources(build);
  Counsel counsel;
  counsel.report = stations::prove(sources);
  counsel.troubles = troubles_of(build, counsel.report);
  if (!counsel.troubles.empty()) {
    try_sets(Offers(sources, counsel.report), options, counsel);
  }
  return counsel;
}

}  // namespace fettle::counsel
