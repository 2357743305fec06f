#pragma once

#include <optional>
#include <string>

#include "build/types.h"
#include "stations/report.h"

namespace fettle::stations {

/// Limits of common practice (no source) for the stations of the top end, by the kind of engine, follower and
/// lifter that the build names. Nothing where practice says nothing.
std::optional<LimitInForce> top_end_practice(const build::Build& build, const std::string& id,
                                             const Where& where);

/// The same for the stations Compression, Deck, Fasteners and Balance.
std::optional<LimitInForce> block_practice(const build::Build& build, const std::string& id,
                                           const Where& where);
/// The same for bearings and bores.
std::optional<LimitInForce> short_block_practice(const build::Build& build, const std::string& id);

}  // namespace fettle::stations
