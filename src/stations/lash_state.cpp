#include "stations/lash_state.h"

#include <algorithm>
#include <cmath>

#include "stations/card_lobe.h"
#include "stations/limits.h"
#include "stations/valve_motion.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;
using build::Warmth;

constexpr double same_shim = 1e-7;  // m; thicknesses typed in different units agree to this

/// A follower that stands higher than this is off its base circle: above the run-out of one and the noise of
/// a curve (common practice, no source).
constexpr double off_base_lift = 0.1e-3;

/// The shim at a bucket with the parts as they are: readings of it count before what the build lists.
std::optional<double> shim_as_read(const Observed& observed, const LobeKey& key) {
  const auto listed = fitted_bucket_shim(observed.sources().build(), key);
  double sum = 0;
  int count = 0;
  for (const int place : observed.sources().inventory().at(ReadingKind::bucket_shim, key)) {
    const auto& shim = observed.reading(place).shim;
    if (!shim || (listed && std::abs(shim->si() - *listed) < same_shim)) {
      sum += observed.amount(place, Amount::thickness);
      ++count;
    }
  }
  return count > 0 ? std::optional(sum / count) : listed;
}

/// Whether a what-if puts another shim at this bucket.
bool changed(const Observed& observed, const LobeKey& key) {
  const auto now = fitted_bucket_shim(observed.build(), key);
  const auto before = fitted_bucket_shim(observed.sources().build(), key);
  return now && (!before || std::abs(*now - *before) >= same_shim);
}

/// By how much the shim that a lash was read with was thicker than the one now, m; nothing where it is the
/// same one.
std::optional<double> was_thicker(const Observed& observed, const LobeKey& key, const build::Reading& read) {
  const auto now = bucket_shim(observed, key);
  if (read.shim && now) {
    const auto listed = fitted_bucket_shim(observed.build(), key);
    const bool same = std::abs(read.shim->si() - listed.value_or(*now)) < same_shim;
    return same ? std::nullopt : std::optional(read.shim->si() - *now);
  }
  const auto then = shim_as_read(observed, key);
  return changed(observed, key) && then && now ? std::optional(*then - *now) : std::nullopt;
}

/// Mean of the lashes read, the engine cold or hot: with the shim of now, else brought over to it.
std::optional<LashGap> mean_gap(const Observed& observed, const LobeKey& key, Warmth warmth, bool reckoned) {
  double sum = 0;
  int count = 0;
  for (const int place : observed.sources().inventory().at(ReadingKind::valve_lash, key)) {
    const build::Reading& reading = observed.reading(place);
    const auto thicker = was_thicker(observed, key, reading);
    if (reading.warmth.value_or(Warmth::cold) == warmth && thicker.has_value() == reckoned) {
      sum += observed.amount(place, Amount::gap) + thicker.value_or(0);
      ++count;
    }
  }
  return count > 0 ? std::optional(LashGap{sum / count, warmth, reckoned}) : std::nullopt;
}

/// Doubt of the lowest events that were read of this lobe, or of another of its kind.
double doubt_of_ends(const Report& report, Valve valve) {
  double most = 0;
  double lowest = 1;
  for (const Finding& finding : report.findings) {
    const bool event = finding.id == "cam.opening" || finding.id == "cam.closing";
    if (event && finding.where.valve == valve && finding.value && finding.where.at &&
        *finding.where.at <= lowest) {
      most = *finding.where.at < lowest ? finding.expanded : std::max(most, finding.expanded);
      lowest = *finding.where.at;
    }
  }
  return most;
}

}  // namespace

std::optional<double> fitted_bucket_shim(const build::Build& build, const LobeKey& key) {
  if (build.bucket_shims) {
    for (const build::BucketShim& one : build.bucket_shims->fitted) {
      if (one.cylinder == key.cylinder && one.valve == key.valve) {
        return one.thickness.si();
      }
    }
  }
  return std::nullopt;
}

std::optional<double> bucket_shim(const Observed& observed, const LobeKey& key) {
  return changed(observed, key) ? fitted_bucket_shim(observed.build(), key) : shim_as_read(observed, key);
}

std::optional<LashGap> lash_gap(const Observed& observed, const LobeKey& key) {
  for (const bool reckoned : {false, true}) {
    for (const Warmth warmth : {Warmth::hot, Warmth::cold}) {
      if (const auto gap = mean_gap(observed, key, warmth, reckoned)) {
        return gap;
      }
    }
  }
  return std::nullopt;
}

std::optional<double> wanted_lash(const build::Build& build, const LobeKey& key) {
  const auto limit = limit_for(build, "lash.gap", {key.cylinder, key.valve, std::nullopt});
  return limit && limit->min && limit->max ? std::optional((*limit->min + *limit->max) / 2) : std::nullopt;
}

std::optional<SettableLobe> settable_lobe(const Observed& observed, const Report& report, const LobeKey& key,
                                          TdcOfWheels& tdc_of) {
  const double overlap = observed.sources().phases().overlap_tdc(key.cylinder);
  const auto kind = key.valve == Valve::intake ? mechanism::ValveKind::intake : mechanism::ValveKind::exhaust;
  if (const auto motion = valve_motion(observed, key, tdc_of)) {
    const auto off = motion->follower_span(off_base_lift);
    return SettableLobe{{key.cylinder, kind, overlap + off.from, overlap + off.to},
                        motion->basis,
                        doubt_of_ends(report, key.valve)};
  }
  // The card's lobe where the card puts it, for valves whose lobes nobody read.
  if (const auto lobe = card_lobe(observed.build(), key.valve, observed.sources().memory())) {
    return SettableLobe{{key.cylinder, kind, overlap + lobe->lift_start, overlap + lobe->lift_end},
                        "the card's lobe, ramps made smooth",
                        0};
  }
  return std::nullopt;
}

}  // namespace fettle::stations
