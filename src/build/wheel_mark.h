#pragma once

#include <optional>
#include <string_view>

#include "build/types.h"

namespace fettle::build {

/// Reads what a degree wheel shows: degrees with or without a unit ("346", "41.5 deg", "-13.968 deg"), or
/// degrees from a dead centre ("14 BTDC", "30 deg ABDC", "TDC"), counted from its TDC mark in running
/// rotation: BTDC x is -x, ATDC x is x, BBDC x is 180 - x, ABDC x is 180 + x. Nothing for any other text, and
/// for more than ten thousand degrees.
std::optional<WheelMark> parse_wheel(std::string_view text);

}  // namespace fettle::build
