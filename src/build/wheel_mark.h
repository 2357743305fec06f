#pragma once

#include <optional>
#include <string_view>

namespace fettle::build {

/// Reads what a degree wheel shows: degrees with or without a unit ("346", "41.5 deg", "-13.968 deg"), or
/// degrees from a dead centre ("14 BTDC", "30 deg ABDC", "TDC"), where the wheel counts from its TDC mark in
/// running rotation: BTDC x is -x, ATDC x is x, BBDC x is 180 - x, ABDC x is 180 + x. Gives radians, not
/// wrapped; nothing for any other text, and for more than ten thousand degrees.
std::optional<double> parse_wheel(std::string_view text);

}  // namespace fettle::build
