#include "stations/first_start.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>

namespace fettle::stations {
namespace {

using build::Build;
using build::Follower;
using build::LifterKind;
using build::Practice;
using metrology::Verdict;

/// Ids of findings with one of these verdicts, each once.
std::vector<std::string> ids_with(const Report& report, std::initializer_list<Verdict> verdicts) {
  std::vector<std::string> ids;
  for (const Finding& finding : report.findings) {
    const bool wanted =
        finding.verdict && std::find(verdicts.begin(), verdicts.end(), *finding.verdict) != verdicts.end();
    if (wanted && std::find(ids.begin(), ids.end(), finding.id) == ids.end()) {
      ids.push_back(finding.id);
    }
  }
  return ids;
}

void add_checks(const Report& report, std::vector<StartStep>& steps) {
  if (auto ids = ids_with(report, {Verdict::fails}); !ids.empty()) {
    steps.push_back({"mend", "Mend what fails before anything turns under power.",
                     "What fails its limit by more than its doubt does not mend itself by running.", true,
                     std::move(ids)});
  }
  if (auto ids = ids_with(report, {Verdict::open, Verdict::too_close}); !ids.empty()) {
    steps.push_back({"settle", "Settle the checks that are open or too close to call.",
                     "What was not read is not known to hold.", true, std::move(ids)});
  }
  if (!report.mistakes.empty()) {
    steps.push_back({"look_into",
                     fmt::format("Look into the {} that the numbers give away.",
                                 report.mistakes.size() == 1 ? "mistake" : "mistakes"),
                     "A wrong reading makes a sound engine look bad, and a bad one sound.",
                     true,
                     {}});
  }
  steps.push_back({"turn_by_hand",
                   "Plugs out, turn the engine two full turns by hand. Stop where it goes tight.",
                   "A valve that meets a piston is felt by hand; a starter bends it.",
                   true,
                   {}});
}

/// A flat tappet must spin on its lobe or both are gone within minutes.
void add_flat_tappets(const Build& build, std::vector<StartStep>& steps) {
  const bool vintage = build.engine.practice == Practice::vintage_solid;
  steps.push_back(
      {"match_lifters",
       vintage ? "See that lobes and lifters belong together: tapered lobes want crowned lifters; some "
                 "vintage kinds are flat on both."
               : "See that the lobes are tapered and the lifters crowned: new lifters on a new cam, "
                 "each kept to its lobe.",
       "Taper and crown make the lifter spin; without it lobe and lifter wear away.",
       true,
       {}});
  steps.push_back({"lifters_spin",
                   "Turn the engine by hand and see that every lifter spins.",
                   "One that stands still will wipe its lobe in minutes.",
                   true,
                   {}});
  const auto nested = [](const std::optional<build::SpringSpec>& spec) {
    return spec && spec->coils.size() > 1;
  };
  const bool inner = build.springs && (nested(build.springs->intake) || nested(build.springs->exhaust));
  steps.push_back(
      {"light_springs",
       inner ? "Take the inner springs out for the break-in." : "Fit light springs for the break-in.",
       "Less load while the faces bed in.",
       false,
       {}});
  steps.push_back({"lobe_paste",
                   "Coat lobes and lifter faces with break-in lubricant.",
                   "There is no oil film before the first turns.",
                   true,
                   {}});
}

void add_before(const Build& build, std::vector<StartStep>& steps) {
  const bool overhead =
      build.cam && (build.cam->follower == Follower::bucket || build.cam->follower == Follower::finger);
  steps.push_back({"fluids",
                   "Coolant full, oil full, no leak of fuel, an extinguisher at hand, outdoors or with "
                   "the exhaust led away.",
                   "A first start that has to be broken off is worse than a late one.",
                   true,
                   {}});
  steps.push_back({"prime",
                   overhead
                       ? "Drive oil through until it stands at every cam bearing."
                       : "Drive the oil pump, turning the crank a quarter now and then, until oil comes at "
                         "every rocker.",
                   "Bearings and followers live on the first seconds' oil.",
                   true,
                   {}});
  if (build.lifters && build.lifters->kind == LifterKind::hydraulic) {
    steps.push_back({"bleed_down",
                     "After preload was set wait until the plungers have bled down before the crank "
                     "is turned.",
                     "A plunger that is still up holds its valve open into the piston.",
                     true,
                     {}});
  }
  steps.push_back({"spark",
                   "Set the spark by the marks before it turns, advanced enough to fire at once.",
                   "Long cranking wipes off the oil; a spark far too late makes the exhaust valves glow.",
                   true,
                   {}});
}

void add_running(const Build& build, bool flat, std::vector<StartStep>& steps) {
  if (flat) {
    steps.push_back(
        {"break_in",
         "As soon as it fires 2,000 to 3,000 rpm, up and down between them, for 20 to 30 minutes. No "
         "idling. Stop it only for no oil pressure, heat or noise.",
         "At idle a flat tappet gets too little oil and the load of the nose is greatest.",
         true,
         {}});
  } else {
    steps.push_back({"first_run",
                     "Let it run at a fast idle until warm, eyes on oil pressure and temperature.",
                     "No oil pressure within seconds: stop it.",
                     true,
                     {}});
  }
  const bool solid = !build.lifters || build.lifters->kind == LifterKind::solid;
  if (solid) {
    steps.push_back({"lash_again",
                     "Set the lash again, hot or cold as the sheet has it.",
                     "Seats and followers settle in the first run.",
                     false,
                     {}});
  }
  steps.push_back({"filter",
                   "Change oil and filter, cut the filter open and look at it.",
                   "What wears shows there first.",
                   false,
                   {}});
  steps.push_back({"gauge",
                   "Read the compression of all cylinders: the lowest at least 70 % of the highest.",
                   "One that lags has a valve or ring that does not seal.",
                   false,
                   {}});
}

double leak_down_of(const Build& build) {
  switch (build.engine.practice.value_or(Practice::street_pushrod)) {
    case Practice::performance_pushrod:
      return 5;
    case Practice::twin_cam:
      return 8;
    case Practice::vintage_solid:
      return 12;
    default:
      return 10;
  }
}

}  // namespace

std::vector<StartStep> first_start(const Build& build, const Report& report) {
  std::vector<StartStep> steps;
  const bool flat = build.cam && build.cam->follower == Follower::flat;
  add_checks(report, steps);
  if (flat) {
    add_flat_tappets(build, steps);
  }
  add_before(build, steps);
  add_running(build, flat, steps);
  if (flat) {
    steps.push_back({"running_springs",
                     "Fit the running springs again, and read installed heights once more.",
                     "The light ones will not hold the valves on the cam at speed.",
                     true,
                     {}});
  }
  steps.push_back({"leak_down",
                   fmt::format("Leak-down test: at most {:g} % on each cylinder.", leak_down_of(build)),
                   "It tells where a cylinder loses its charge.",
                   false,
                   {}});
  steps.push_back({"makers_sheet",
                   "Where the maker's sheet or local codes say otherwise, they win.",
                   "These steps are common practice, with no source.",
                   false,
                   {}});
  return steps;
}

}  // namespace fettle::stations
