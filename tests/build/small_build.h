#pragma once

#include <nlohmann/json.hpp>

namespace fettle::build {

/// A small sound document to spoil in tests; an invented engine.
inline nlohmann::json small_document() {
  return nlohmann::json::parse(R"({
    "fettle": 1, "name": "Invented 5.4",
    "engine": { "layout": "V8", "bank_angle": "90 deg", "firing_order": [1,8,4,3,6,5,7,2], "turning": "clockwise",
                "bore": "100.0 mm", "stroke": "3.386 in", "rod_length": "5.85 in", "pin_offset": "0 mm" },
    "cam": { "follower": "flat", "card": { "intake": { "centerline": "108 deg", "lift": "0.300 in",
             "durations": [ { "at": "0.006 in", "duration": "268 deg" }, { "at": "0.050 in", "duration": "218 deg" } ] } } },
    "timing_set": { "positions": ["-4 deg", "0 deg", "4 deg"], "fitted": "0 deg" },
    "tools": { "wheel": { "kind": "degree_wheel", "resolution": "0.5 deg", "parallax": "0.25 deg" },
               "dial": { "kind": "dial_indicator", "resolution": "0.0005 in", "permissible_error": "0.001 in" } },
    "readings": [
      { "kind": "stop_contact", "cylinder": 1, "turning": "forward", "wheel": "0 deg", "tool": "wheel" },
      { "kind": "stop_contact", "cylinder": 1, "turning": "backward", "wheel": "41 deg", "tool": "wheel" },
      { "kind": "lobe_point", "valve": "intake", "cylinder": 1, "side": "opening", "below_max": "0.050 in",
        "wheel": "71.5 deg", "tool": "wheel", "lift_tool": "dial" } ],
    "limits": [ { "finding": "cam.intake_centerline", "min": "106 deg", "max": "110 deg", "source": "cam card" } ]
  })");
}

}  // namespace fettle::build
