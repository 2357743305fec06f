#pragma once

#include <vector>

#include "stations/report.h"
#include "stations/sources.h"

/// What the numbers give away: each mistake has a signature in the readings. All are common practice, no
/// source.
namespace fettle::stations {

std::vector<Mistake> tdc_mistakes(const Sources& sources, const Report& report);
/// `of_tdc` are the mistakes found in the readings of true TDC.
std::vector<Mistake> cam_mistakes(const Sources& sources, const Report& report,
                                  const std::vector<Mistake>& of_tdc);

}  // namespace fettle::stations
