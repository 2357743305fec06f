#pragma once

#include <optional>
#include <string>
#include <vector>

#include "mechanism/valve_setting.h"
#include "stations/report.h"
#include "stations/true_tdc.h"

namespace fettle::stations {

/// Lash of one valve with the shim fitted now; hot readings count where there are any.
struct LashGap {
  double gap = 0;  ///< m
  build::Warmth warmth = build::Warmth::cold;
  bool reckoned = false;  ///< read with another shim in place, and brought over to the one fitted now
};
std::optional<LashGap> lash_gap(const Observed& observed, const LobeKey& key);

/// Shim at a bucket now, m: as measured, else as the build has it fitted.
std::optional<double> bucket_shim(const Observed& observed, const LobeKey& key);

/// The shim at a bucket as the build lists it, m.
std::optional<double> fitted_bucket_shim(const build::Build& build, const LobeKey& key);

/// Lash in the middle of its limits in force, m; nothing where they are not two.
std::optional<double> wanted_lash(const build::Build& build, const LobeKey& key);

/// Where a valve is off its base circle, by its lobe as read or else the card's.
struct SettableLobe {
  mechanism::SettableValve valve;
  std::string basis;
  double expanded = 0;  ///< doubt of the ends, crank rad
};
std::optional<SettableLobe> settable_lobe(const Observed& observed, const Report& report, const LobeKey& key,
                                          TdcOfWheels& tdc_of);

}  // namespace fettle::stations
