#include "stations/mistakes.h"

#include <algorithm>

#include "stations/cam_mistakes.h"

namespace fettle::stations {
namespace {

bool holds(const std::vector<Mistake>& mistakes, std::string_view id) {
  return std::any_of(mistakes.begin(), mistakes.end(), [&](const Mistake& one) { return one.id == id; });
}

/// Lobes whose readings were spoiled in the taking say nothing of the cam.
void leave_out_spoiled(const std::vector<Mistake>& handling, CamEvidence& evidence) {
  std::erase_if(evidence.lobes, [&](const LobeEvidence& lobe) {
    return std::any_of(handling.begin(), handling.end(), [&](const Mistake& mistake) {
      return mistake.cylinder &&
             std::any_of(mistake.readings.begin(), mistake.readings.end(), [&](int place) {
               return std::find(lobe.readings.begin(), lobe.readings.end(), place) != lobe.readings.end();
             });
    });
  });
}

/// With true TDC taken half a turn out no lobe can be placed; durations and lifts still hold.
void forget_places(CamEvidence& evidence) {
  evidence.separation_errors.clear();
  for (LobeEvidence& lobe : evidence.lobes) {
    lobe.lateness.reset();
  }
}

void append(std::vector<Mistake>& all, const std::vector<Mistake>& more) {
  all.insert(all.end(), more.begin(), more.end());
}

}  // namespace

std::vector<Mistake> cam_mistakes(const Sources& sources, const Report& report,
                                  const std::vector<Mistake>& of_tdc) {
  CamEvidence evidence = gather_cam_evidence(sources, report);
  if (holds(of_tdc, "tdc.bottom_dead_centre")) {
    forget_places(evidence);
  }
  std::vector<Mistake> mistakes = identity_mistakes(sources, evidence);
  const auto handling = handling_mistakes(sources, report, evidence);
  append(mistakes, handling);
  leave_out_spoiled(handling, evidence);
  append(mistakes, grind_mistakes(sources, evidence));
  // A correction that went wrong explains where the whole cam stands.
  if (!holds(handling, "cam.moved_wrong_way") && !holds(handling, "cam.marks_in_other_degrees")) {
    append(mistakes, phase_mistakes(sources, report, evidence));
  }
  return mistakes;
}

}  // namespace fettle::stations
