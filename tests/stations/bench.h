#pragma once

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "build/types.h"
#include "build/wheel_mark.h"
#include "mechanism/circular.h"
#include "stations/prove.h"
#include "support/invented_shop.h"

/// What the tests of the stations share: builds and readings written by hand, readings spoiled on purpose,
/// and a look at what the report says.
namespace fettle::stations::test {

using build::Side;
using build::Turning;
using build::Valve;
using invented::degree;
using invented::inch;

inline constexpr int clean_seeds = 30;

/// How nearly the same findings must be when the same lobe is read elsewhere on the wheel: exactly for single
/// points; the curve through a sweep keeps its knots where they are, which must stay below the doubt.
inline double allowed(const build::Build& build, const Finding& finding) {
  const bool swept = std::any_of(build.readings.begin(), build.readings.end(), [](const auto& reading) {
    return reading.kind == build::ReadingKind::lobe_sweep;
  });
  return std::max(1e-7, swept ? finding.u / 2 : 0);
}

// --- What a report says ---------------------------------------------------------------------------------

inline std::set<std::string> mistake_ids(const Report& report) {
  std::set<std::string> ids;
  for (const Mistake& one : report.mistakes) {
    ids.insert(one.id);
  }
  return ids;
}

using Ids = std::set<std::string>;

/// The only mistake of that id; throws where there is none or more than one.
inline const Mistake& only(const Report& report, std::string_view id) {
  const Mistake* found = nullptr;
  for (const Mistake& one : report.mistakes) {
    if (one.id == id) {
      if (found != nullptr) {
        throw std::runtime_error(fmt::format("{} was found twice", id));
      }
      found = &one;
    }
  }
  if (found == nullptr) {
    throw std::runtime_error(fmt::format("{} was not found", id));
  }
  return *found;
}

inline const Finding& finding(const Report& report, std::string_view id, const Where& where = {}) {
  const Finding* found = find(report, id, where);
  if (found == nullptr) {
    throw std::runtime_error(fmt::format("no finding {}", id));
  }
  return *found;
}

/// A finding's value in crank degrees.
inline double degrees(const Report& report, std::string_view id, const Where& where = {}) {
  return finding(report, id, where).value.value() / degree;
}

inline Where of(int cylinder, std::optional<Valve> valve = {}, std::optional<double> at_in = {}) {
  return {cylinder, valve, at_in ? std::optional(*at_in * inch) : std::nullopt};
}

// --- Builds and readings written by hand ----------------------------------------------------------------

inline build::Length inches(double value) {
  return build::Length::typed(value * inch, fmt::format("{:g} in", value));
}
inline build::Length millimetres(double value) {
  return build::Length::typed(value * 1e-3, fmt::format("{:g} mm", value));
}
inline build::Angle angle(double value) {
  return build::Angle::typed(value * degree, fmt::format("{:g} deg", value));
}
inline build::Measure length_measure(double value_in) {
  return {quantity::Dimension::length, value_in * inch, fmt::format("{:g} in", value_in)};
}
inline build::Measure angle_measure(double value) {
  return {quantity::Dimension::angle, value * degree, fmt::format("{:g} deg", value)};
}
inline build::WheelMark mark(const std::string& text) {
  return build::parse_wheel(text).value();
}

/// An inline four with tools so fine that sums can be checked by hand: a wheel read to a thousandth of a
/// degree, and an indicator read to a millionth of an inch.
inline build::Build hand_build() {
  build::Build build;
  build.name = "By hand";
  build.engine.layout = "inline 4";
  build.engine.firing_order = {1, 3, 4, 2};
  build.engine.bore = millimetres(86);
  build.engine.stroke = millimetres(86);
  build.engine.rod_length = millimetres(148.6);
  build::Tool wheel;
  wheel.kind = build::ToolKind::degree_wheel;
  wheel.resolution = angle_measure(0.001);
  build::Tool dial;
  dial.kind = build::ToolKind::dial_indicator;
  dial.resolution = length_measure(1e-6);
  build.tools = {{"wheel", wheel}, {"dial", dial}};
  return build;
}

inline build::Reading stop(Turning turning, const std::string& wheel, int cylinder = 1, int pass = 1) {
  build::Reading reading;
  reading.kind = build::ReadingKind::stop_contact;
  reading.cylinder = cylinder;
  reading.turning = turning;
  reading.wheel = mark(wheel);
  reading.pass = pass;
  reading.tool = "wheel";
  return reading;
}

/// A stop met as far before as after TDC, on a wheel that stands right.
inline void find_tdc(build::Build& build) {
  build.readings.push_back(stop(Turning::forward, "20 BTDC"));
  build.readings.push_back(stop(Turning::backward, "20 ATDC"));
}

inline build::Reading point(const LobeKey& key, Side side, double lift_in, const std::string& wheel,
                            bool below_max = false) {
  build::Reading reading;
  reading.kind = build::ReadingKind::lobe_point;
  reading.cylinder = key.cylinder;
  reading.valve = key.valve;
  reading.side = side;
  (below_max ? reading.below_max : reading.lift) = inches(lift_in);
  reading.wheel = mark(wheel);
  reading.tool = "wheel";
  reading.lift_tool = "dial";
  return reading;
}

/// Both flanks of a lobe at one lift.
inline void read_lobe(build::Build& build, const LobeKey& key, double lift_in, const std::string& opening,
                      const std::string& closing, bool below_max = false) {
  build.readings.push_back(point(key, Side::opening, lift_in, opening, below_max));
  build.readings.push_back(point(key, Side::closing, lift_in, closing, below_max));
}

// --- Readings of the invented shop ----------------------------------------------------------------------

inline build::WheelMark on_wheel(double radians) {
  const double shown = mechanism::wrap_positive(radians, mechanism::full_turn);
  return {shown, fmt::format("{:.3f} deg", shown / degree)};
}

/// As if the wheel had been turned on the crank, or read `by` radians too much.
inline void turn_wheel(build::Reading& reading, double by) {
  if (reading.wheel) {
    reading.wheel = on_wheel(reading.wheel->radians + by);
  }
  for (auto& repeat : reading.repeats) {
    repeat = on_wheel(repeat.radians + by);
  }
  for (auto& one : reading.points) {
    one.wheel = on_wheel(one.wheel.radians + by);
  }
}

/// As if the wheel had been numbered the other way: x reads 360 - x.
inline void mirror_wheel(build::Reading& reading) {
  if (reading.wheel) {
    reading.wheel = on_wheel(-reading.wheel->radians);
  }
  for (auto& repeat : reading.repeats) {
    repeat = on_wheel(-repeat.radians);
  }
  for (auto& one : reading.points) {
    one.wheel = on_wheel(-one.wheel.radians);
  }
}

/// One lobe read at single points, as a builder in a hurry does: 0.050 and 0.200 in both ways, and its lift.
inline void point_lobe(build::Build& build, invented::Shop& shop, const LobeKey& key) {
  for (const double lift : {0.050, 0.200}) {
    build.readings.push_back(shop.lobe_point(key, Side::opening, lift));
    build.readings.push_back(shop.lobe_point(key, Side::closing, lift));
  }
  build.readings.push_back(shop.lobe_top(key));
}

inline void shop_stop(build::Build& build, invented::Shop& shop, int pass = 1, int cylinder = 1) {
  build.readings.push_back(shop.stop(Turning::forward, 41.6, pass, cylinder));
  build.readings.push_back(shop.stop(Turning::backward, 41.6, pass, cylinder));
}

/// Both lobes of some cylinders read at single points, TDC found before and, if asked, again after.
inline build::Build point_build(invented::Shop& shop, const std::vector<int>& cylinders, bool twice = true) {
  build::Build build = shop.parts();
  shop_stop(build, shop, 1);
  for (const int cylinder : cylinders) {
    point_lobe(build, shop, {cylinder, Valve::intake});
    point_lobe(build, shop, {cylinder, Valve::exhaust});
  }
  if (twice) {
    shop_stop(build, shop, 2);
  }
  return build;
}

/// Places of the readings of one lobe.
inline std::vector<int> readings_of(const build::Build& build, const LobeKey& key) {
  std::vector<int> places;
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const build::Reading& reading = build.readings[i];
    if (reading.valve == key.valve && reading.cylinder == key.cylinder &&
        reading.turning != Turning::backward) {
      places.push_back(static_cast<int>(i));
    }
  }
  return places;
}

inline build::Reading& at(build::Build& build, int place) {
  return build.readings.at(static_cast<std::size_t>(place));
}

/// The forward sweep of a lobe.
inline build::Reading& sweep_of(build::Build& build, const LobeKey& key) {
  for (const int place : readings_of(build, key)) {
    if (at(build, place).kind == build::ReadingKind::lobe_sweep) {
      return at(build, place);
    }
  }
  throw std::runtime_error("no sweep of that lobe");
}

inline invented::ShopOptions cam_late(double lateness_deg) {
  invented::ShopOptions options;
  options.cam_lateness_deg = lateness_deg;
  return options;
}

}  // namespace fettle::stations::test
