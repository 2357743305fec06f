#include "stations/mistakes.h"

#include "stations/cam_mistakes.h"

namespace fettle::stations {

std::vector<Mistake> cam_mistakes(const Sources& sources, const Report& report) {
  CamEvidence evidence = gather_cam_evidence(sources, report);
  std::vector<Mistake> mistakes = identity_mistakes(sources, evidence);
  for (auto more : {handling_mistakes(sources, report, evidence), grind_mistakes(sources, evidence),
                    phase_mistakes(sources, report, evidence)}) {
    mistakes.insert(mistakes.end(), more.begin(), more.end());
  }
  return mistakes;
}

std::vector<Mistake> find_mistakes(const Sources& sources, const Report& report) {
  std::vector<Mistake> mistakes = tdc_mistakes(sources, report);
  const auto cam = cam_mistakes(sources, report);
  mistakes.insert(mistakes.end(), cam.begin(), cam.end());
  return mistakes;
}

}  // namespace fettle::stations
