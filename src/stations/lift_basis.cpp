#include "stations/lift_basis.h"

#include <algorithm>
#include <cmath>

#include "stations/finger.h"

namespace fettle::stations {
namespace {

constexpr double inch = 0.0254;

double lash_of(const build::Build& build, build::Valve valve) {
  if (!build.lash) {
    return 0;
  }
  const auto& lash = valve == build::Valve::intake ? build.lash->intake : build.lash->exhaust;
  return lash ? lash->si() : 0;
}

const build::LobeCard* lobe_card(const build::Build& build, build::Valve valve) {
  if (!build.cam || !build.cam->card) {
    return nullptr;
  }
  const auto& card = valve == build::Valve::intake ? build.cam->card->intake : build.cam->card->exhaust;
  return card ? &*card : nullptr;
}

}  // namespace

double stated_ratio(const build::Build& build, build::Valve valve) {
  if (build.rockers) {
    const auto& ratio =
        valve == build::Valve::intake ? build.rockers->intake_ratio : build.rockers->exhaust_ratio;
    if (ratio) {
      return *ratio;
    }
  }
  const bool finger = build.cam && build.cam->follower == build::Follower::finger;
  return finger ? finger_ratio(build, valve).value_or(1) : 1;
}

LiftBasis lift_basis(const build::Build& build, build::Valve valve, build::MeasuredAt measured_at) {
  const bool card_at_valve =
      build.cam && build.cam->card && build.cam->card->basis == build::LiftBasis::valve;
  const bool measured_at_valve = measured_at == build::MeasuredAt::valve;
  if (card_at_valve == measured_at_valve) {
    return {};
  }
  const double ratio = stated_ratio(build, valve);
  const double lash = lash_of(build, valve);
  return measured_at_valve ? LiftBasis{1 / ratio, lash} : LiftBasis{ratio, -lash / ratio};
}

std::vector<double> check_lifts(const build::Build& build, build::Valve valve) {
  std::vector<double> lifts{0.006 * inch, 0.020 * inch, main_check_lift, 0.100 * inch, 0.200 * inch, 1e-3};
  if (const build::LobeCard* card = lobe_card(build, valve)) {
    for (const auto& duration : card->durations) {
      lifts.push_back(duration.at.si());
    }
    for (const auto& event : card->events) {
      lifts.push_back(event.at.si());
    }
  }
  std::sort(lifts.begin(), lifts.end());
  lifts.erase(std::unique(lifts.begin(), lifts.end(), same_lift), lifts.end());
  return lifts;
}

bool same_lift(double a, double b) {
  constexpr double rounding = 1e-7;
  return std::abs(a - b) < rounding;
}

}  // namespace fettle::stations
