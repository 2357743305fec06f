#pragma once

#include <vector>

#include "stations/cam_evidence.h"
#include "stations/report.h"
#include "stations/sources.h"

/// The parts of cam_mistakes(); each looks at one kind of evidence.
namespace fettle::stations {

/// Lobes that are not the ones they are said to be, true TDC of another cylinder, and wheels numbered the
/// other way. Lobes and places explained so are taken out of the evidence.
std::vector<Mistake> identity_mistakes(const Sources& sources, CamEvidence& evidence);

/// The whole cam off by a tooth, or its phase or TDC wrong, or one lobe off while the others agree.
std::vector<Mistake> phase_mistakes(const Sources& sources, const Report& report,
                                    const CamEvidence& evidence);

/// Durations, lobe separation, symmetry and lift that are not the card's.
std::vector<Mistake> grind_mistakes(const Sources& sources, const CamEvidence& evidence);

/// How readings were taken: slack side, bleed-down, a wheel that moved, corrections that went the wrong way.
std::vector<Mistake> handling_mistakes(const Sources& sources, const Report& report,
                                       const CamEvidence& evidence);

}  // namespace fettle::stations
