#include "stations/card_lobe.h"

#include <algorithm>

#include "quantity/angle.h"
#include "stations/lift_basis.h"
#include "stations/limits.h"
#include "stations/lobe_slopes.h"

namespace fettle::stations {

namespace {
constexpr double degree = quantity::radians_per_degree;
constexpr double inch = 0.0254;
}  // namespace

std::shared_ptr<const mechanism::SynthesisedLobe> card_lobe(const build::Build& build, build::Valve valve,
                                                            Memory& memory) {
  if (!build.cam || !build.cam->card) {
    return nullptr;
  }
  const auto& card = valve == build::Valve::intake ? build.cam->card->intake : build.cam->card->exhaust;
  if (!card || !card->lift) {
    return nullptr;
  }
  mechanism::LobeCard lobe{card->lift->si(), expected_centre(build, valve), {}};
  for (const auto& event : card->events) {
    const auto events = card_events(build, valve, event.at.si());
    lobe.events.push_back({event.at.si(), events->opening, events->closing});
  }
  for (const auto& one : card->durations) {
    const bool printed = std::any_of(card->events.begin(), card->events.end(), [&](const auto& event) {
      return same_lift(event.at.si(), one.at.si());
    });
    if (!printed) {
      lobe.events.push_back(
          {one.at.si(), lobe.top - one.duration.si() / 2, lobe.top + one.duration.si() / 2});
    }
  }
  if (lobe.events.empty() || !mechanism::lobe_card_problems(lobe).empty()) {
    return nullptr;
  }
  auto made = memory.lobe(lobe);
  return made->curve ? made : nullptr;
}

std::shared_ptr<const mechanism::SynthesisedLobe> usual_lobe(double centre, Memory& memory) {
  return memory.lobe(mechanism::symmetric_card(
      0.300 * inch, centre,
      {{0.006 * inch, 268 * degree}, {0.050 * inch, 218 * degree}, {0.200 * inch, 132 * degree}}));
}

}  // namespace fettle::stations
