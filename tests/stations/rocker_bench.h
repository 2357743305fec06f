#pragma once

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string>
#include <utility>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "build/codec.h"
#include "stations/prove.h"

/// What the tests of the rockers share: an invented small engine with its rockers measured, and a solution of
/// the mechanism by bisection that knows nothing of the program's closed forms. Inches here.
namespace fettle::stations::test {

inline constexpr double in = 0.0254;
inline constexpr double lbf = 4.4482216152605;
inline constexpr double radian = 0.017453292519943295;  // of one degree

template <class F>
double bisect(F f, double low, double high) {
  const bool rising = f(low) < 0;
  if (rising == (f(high) < 0)) {
    throw std::runtime_error("bisect: no root there");
  }
  for (int i = 0; i < 200; ++i) {
    const double middle = (low + high) / 2;
    ((f(middle) < 0) == rising ? low : high) = middle;
  }
  return (low + high) / 2;
}

/// The measured rocker of rocker_document(), its loop closed by bisection.
struct HandRocker {
  double pivot_x = -1.5, pivot_height = 0.15, tip_arm = 1.52, cup_arm = 1.0, arm_angle = 160 * radian;
  double tip_radius = 0.25, pushrod_lean = 8 * radian, lifter_lean = 5 * radian;
  double ball_to_ball = 7.8 - 0.3125;

  struct Place {
    double x = 0, y = 0;
  };
  struct Travel {
    double least = 0, greatest = 0, lift = 0;
    double centre() const { return (least + greatest) / 2; }
    double width() const { return greatest - least; }
  };

  /// Direction of the tip's arm with the tip's circle on the valve open by `lift`, pivot raised.
  double tip_direction(double raised, double lift) const {
    return bisect([&](double a) { return pivot_height + raised + tip_arm * std::sin(a) - tip_radius + lift; },
                  -1.5, 1.5);
  }
  Place cup(double raised, double lift) const {
    const double direction = tip_direction(raised, lift) + arm_angle;
    return {pivot_x + cup_arm * std::cos(direction), pivot_height + raised + cup_arm * std::sin(direction)};
  }
  Place tappet(double rise) const {
    const Place top = cup(0, 0);
    return {top.x - ball_to_ball * std::sin(pushrod_lean) + rise * std::sin(lifter_lean),
            top.y - ball_to_ball * std::cos(pushrod_lean) + rise * std::cos(lifter_lean)};
  }
  static double between(const Place& a, const Place& b) { return std::hypot(a.x - b.x, a.y - b.y); }
  /// Pushrod over the ball ends that stands without slack under a raised pivot.
  double pushrod(double raised) const { return between(cup(raised, 0), tappet(0)) + 0.3125; }
  double raised_for(double over_ends) const {
    return bisect([&](double raised) { return pushrod(raised) - over_ends; }, -0.2, 0.2);
  }
  Travel travel(double raised, double rise) const {
    const double length = pushrod(raised) - 0.3125;
    Travel result;
    result.lift =
        bisect([&](double lift) { return between(cup(raised, lift), tappet(rise)) - length; }, 0, 1.0);
    result.least = 1e9;
    result.greatest = -1e9;
    constexpr int steps = 3000;
    for (int i = 0; i <= steps; ++i) {
      const double x = pivot_x + tip_arm * std::cos(tip_direction(raised, result.lift * i / steps));
      result.least = std::min(result.least, x);
      result.greatest = std::max(result.greatest, x);
    }
    return result;
  }
  /// Raised pivot that brings the middle of a mark to the middle of the tip.
  double raised_for_mark(double offset, double rise) const {
    const double wanted = quick_centre(0, rise) - offset;
    return bisect([&](double raised) { return quick_centre(raised, rise) - wanted; }, 0, 0.19);
  }

 private:
  /// Middle of the sweep where the arm passes square to the valve on the way: farthest out there.
  double quick_centre(double raised, double rise) const {
    const double length = pushrod(raised) - 0.3125;
    const double lift =
        bisect([&](double one) { return between(cup(raised, one), tappet(rise)) - length; }, 0, 1.0);
    const double closed = std::cos(tip_direction(raised, 0));
    const double open = std::cos(tip_direction(raised, lift));
    const bool square = tip_direction(raised, 0) > 0 && tip_direction(raised, lift) < 0;
    const double out = square ? 1 : std::max(closed, open);
    return pivot_x + tip_arm * (std::min(closed, open) + out) / 2;
  }
};

/// A length as typed: in inches, or the same in millimetres.
inline std::string typed(double inches, bool metric = false) {
  return metric ? fmt::format("{:.9f} mm", inches * 25.4) : fmt::format("{:.9f} in", inches);
}

/// An invented in-line four on 1.5 rockers, lobe lift 0.300 in.
inline nlohmann::json rocker_document(bool metric = false) {
  using nlohmann::json;
  const HandRocker hand;
  const auto length = [&](double value) { return typed(value, metric); };
  const json rocker{{"pivot_to_valve", length(1.5)},
                    {"pivot_height", length(hand.pivot_height)},
                    {"tip_arm", length(hand.tip_arm)},
                    {"cup_arm", length(hand.cup_arm)},
                    {"arm_angle", "160 deg"},
                    {"tip_radius", length(hand.tip_radius)},
                    {"tip", "roller"},
                    {"pushrod_lean", "8 deg"},
                    {"lifter_lean", "5 deg"}};
  return {{"fettle", 1},
          {"name", "Invented four"},
          {"engine",
           {{"layout", "inline 4"},
            {"firing_order", {1, 3, 4, 2}},
            {"bore", "90 mm"},
            {"stroke", "85 mm"},
            {"rod_length", "150 mm"}}},
          {"cam", {{"follower", "flat"}, {"card", {{"intake", {{"lift", length(0.3)}}}}}}},
          {"lifters",
           {{"kind", "hydraulic"},
            {"plunger_travel", length(0.180)},
            {"adjuster", "stud_nut"},
            {"thread_pitch", length(1.0 / 24)}}},
          {"rockers", {{"intake_ratio", 1.5}, {"geometry", {{"intake", rocker}}}}},
          {"pushrods", {{"length", length(7.8)}, {"choices", {length(7.75), length(7.8), length(7.85)}}}},
          {"readings", json::array()}};
}

inline nlohmann::json at_valve(const std::string& kind, int cylinder = 1) {
  return {{"kind", kind}, {"cylinder", cylinder}, {"valve", "intake"}};
}
inline nlohmann::json mark_reading(double offset, double width, int cylinder = 1, bool metric = false) {
  auto reading = at_valve("tip_mark", cylinder);
  reading["offset"] = typed(offset, metric);
  reading["width"] = typed(width, metric);
  return reading;
}
inline nlohmann::json top_reading(const std::string& end, double lift) {
  auto reading = at_valve("lobe_top");
  reading["measured_at"] = end;
  reading["lift"] = typed(lift);
  return reading;
}

inline build::Build read(const nlohmann::json& document) {
  auto result = build::read_document(document);
  if (!result.build || !result.problems.empty()) {
    throw std::runtime_error(result.problems.empty() ? "no build" : result.problems.front().message());
  }
  return std::move(*result.build);
}

}  // namespace fettle::stations::test
