#include "stations/prove.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <map>

#include <tbb/parallel_for.h>

#include "metrology/monte_carlo.h"
#include "stations/at_estimates.h"
#include "stations/corrections.h"
#include "stations/first_start.h"
#include "stations/lift_basis.h"
#include "stations/limits.h"
#include "stations/next_reading.h"
#include "stations/station_work.h"

namespace fettle::stations {
namespace {

/// Values of a group in the order of `keys`, NaN where one is not obtained.
std::vector<double> in_order(const std::vector<Valued>& values, const std::vector<Valued>& nominal) {
  std::vector<double> ordered(nominal.size(), std::nan(""));
  std::size_t next = 0;
  for (std::size_t i = 0; i < nominal.size(); ++i) {
    // Nearly always the same findings in the same order; a lift that is only just reached may drop out.
    for (std::size_t tried = 0; tried < values.size(); ++tried) {
      const std::size_t place = (next + tried) % values.size();
      if (values[place].key.id == nominal[i].key.id && values[place].key.where == nominal[i].key.where) {
        ordered[i] = values[place].value;
        next = place + 1;
        break;
      }
    }
  }
  return ordered;
}

/// What a group looks at, as a model of those inputs alone.
class GroupModel {
 public:
  GroupModel(const Group& group, const Sources& sources, const AtEstimates& at_estimates,
             const std::vector<Valued>& nominal, const Used& used)
      : group_(group), sources_(sources), at_estimates_(at_estimates), nominal_(nominal) {
    for (std::size_t i = 0; i < used.size(); ++i) {
      if (used[i]) {
        places_.push_back(i);
        inputs_.push_back(sources.inputs()[i]);
      }
    }
  }

  /// Their places among the inputs of the sources.
  const std::vector<std::size_t>& places() const { return places_; }
  const std::vector<metrology::Input>& inputs() const { return inputs_; }

  /// Safe to call from several threads.
  std::vector<double> operator()(std::span<const double> values) const {
    std::vector<double> all = sources_.estimates();
    return at(values, all);
  }

  /// The same, with the estimates of all inputs at hand; they are as they were afterwards.
  std::vector<double> at(std::span<const double> values, std::vector<double>& all) const {
    std::vector<std::size_t> moved;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      double& value = all[places_[i]];
      if (value != values[i]) {
        value = values[i];
        moved.push_back(places_[i]);
      }
    }
    auto findings = in_order(group_.evaluate(Observed(sources_, all, at_estimates_, moved)), nominal_);
    for (const std::size_t place : moved) {
      all[place] = sources_.estimates()[place];
    }
    return findings;
  }

 private:
  const Group& group_;
  const Sources& sources_;
  const AtEstimates& at_estimates_;
  const std::vector<Valued>& nominal_;
  std::vector<std::size_t> places_;
  std::vector<metrology::Input> inputs_;
};

/// The parts of a finding's variance, all inputs of one reading or one tool's property together, largest
/// first.
std::vector<Share> shares_of(const metrology::Estimate& estimate, const GroupModel& model,
                             const Sources& sources) {
  constexpr double least_share = 0.001;
  std::vector<Share> shares;
  for (std::size_t i = 0; i < estimate.share.size(); ++i) {
    if (estimate.share[i] == 0) {
      continue;
    }
    const Origin& origin = sources.origin(model.places()[i]);
    const auto same = std::find_if(shares.begin(), shares.end(), [&](const Share& share) {
      return share.reading == origin.reading && share.tool == origin.tool && share.label == origin.label;
    });
    if (same == shares.end()) {
      shares.push_back({origin.reading, origin.tool, origin.label, estimate.share[i]});
    } else {
      same->share += estimate.share[i];
    }
  }
  std::erase_if(shares, [](const Share& share) { return share.share < least_share; });
  std::stable_sort(shares.begin(), shares.end(),
                   [](const Share& a, const Share& b) { return a.share > b.share; });
  return shares;
}

Finding finding_of(const Valued& valued, const std::optional<metrology::Estimate>& estimate,
                   const GroupModel& model, const Sources& sources) {
  Finding finding;
  finding.id = valued.key.id.text();
  finding.where = valued.key.where;
  finding.basis = valued.key.basis;
  finding.limit = limit_for(sources.build(), finding.id, finding.where);
  if (!estimate) {
    finding.needs = "readings from which its doubt can be worked out";
    finding.verdict = metrology::Verdict::open;
    return finding;
  }
  finding.value = estimate->value;
  finding.u = estimate->u;
  finding.dof = estimate->dof;
  finding.expanded = estimate->expanded;
  finding.shares = shares_of(*estimate, model, sources);
  if (finding.limit) {
    finding.verdict =
        metrology::decide(finding.value, finding.expanded, {finding.limit->min, finding.limit->max});
  }
  return finding;
}

void add_trials(std::vector<Finding>& findings, std::size_t first, const GroupModel& model,
                const ProveOptions& options) {
  metrology::MonteCarloOptions monte_carlo;
  monte_carlo.trials = options.trials;
  monte_carlo.seed = options.seed;
  const auto result = metrology::propagate_distributions(std::cref(model), model.inputs(), monte_carlo);
  for (std::size_t i = 0; i < result.outputs.size(); ++i) {
    if (const auto& output = result.outputs[i]) {
      findings[first + i].trials = {output->mean, output->u, output->shortest.low, output->shortest.high};
    }
  }
}

void add_group(const Group& group, const Sources& sources, const AtEstimates& at_estimates,
               const ProveOptions& options, std::vector<Finding>& findings) {
  Used used(sources.inputs().size(), false);
  const std::vector<Valued> nominal = group.evaluate(Observed(sources, sources.estimates(), &used));
  if (nominal.empty()) {
    return;
  }
  const GroupModel model(group, sources, at_estimates, nominal, used);
  std::vector<double> all = sources.estimates();
  const auto propagated = metrology::propagate(
      [&](std::span<const double> values) { return model.at(values, all); }, model.inputs());
  const std::size_t first = findings.size();
  for (std::size_t i = 0; i < nominal.size(); ++i) {
    findings.push_back(finding_of(nominal[i], propagated.outputs[i], model, sources));
  }
  if (options.trials > 0) {
    add_trials(findings, first, model, options);
  }
}

void add_missing(const std::vector<Missing>& missing, const build::Build& build,
                 std::vector<Finding>& findings) {
  for (const Missing& one : missing) {
    Finding finding;
    finding.id = one.key.id.text();
    finding.where = one.key.where;
    finding.limit = limit_for(build, finding.id, finding.where);
    finding.verdict = metrology::Verdict::open;
    finding.needs = one.needs;
    findings.push_back(std::move(finding));
  }
}

}  // namespace

std::vector<Group> all_groups(const Sources& sources) {
  std::vector<Group> groups;
  for (const StationWork& station : station_work()) {
    for (Group& group : station.groups(sources)) {
      groups.push_back(std::move(group));
    }
  }
  return groups;
}

Report prove(const build::Build& build, const ProveOptions& options) {
  return prove(Sources(build), options);
}

Report prove(const Sources& sources, const ProveOptions& options) {
  Report report;
  const AtEstimates at_estimates(sources);
  const std::vector<Group> groups = all_groups(sources);
  std::vector<std::vector<Finding>> of_groups(groups.size());
  tbb::parallel_for(std::size_t{0}, groups.size(), [&](std::size_t i) {
    add_group(groups[i], sources, at_estimates, options, of_groups[i]);
  });
  for (std::vector<Finding>& findings : of_groups) {
    std::move(findings.begin(), findings.end(), std::back_inserter(report.findings));
  }
  for (const StationWork& station : station_work()) {
    add_missing(station.missing(sources), sources.build(), report.findings);
  }
  report.assumptions = sources.assumptions();
  if (options.advise) {
    for (const StationWork& station : station_work()) {
      for (Mistake& mistake : station.mistakes(sources, report, report.mistakes)) {
        report.mistakes.push_back(std::move(mistake));
      }
    }
    report.corrections = find_corrections(sources, groups, report);
    report.next_reading = find_next_reading(sources, report);
    report.first_start = first_start(sources.build(), report);
  }
  return report;
}

const Finding* find(const Report& report, std::string_view id, const Where& where) {
  const auto same_place = [&](const Where& other) {
    return other.cylinder == where.cylinder && other.valve == where.valve && other.part == where.part &&
           other.number == where.number && other.main == where.main &&
           other.at.has_value() == where.at.has_value() && (!where.at || same_lift(*other.at, *where.at));
  };
  for (const Finding& finding : report.findings) {
    if (finding.id == id && same_place(finding.where)) {
      return &finding;
    }
  }
  return nullptr;
}

}  // namespace fettle::stations
