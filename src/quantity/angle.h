#pragma once

#include <compare>
#include <numbers>

namespace fettle::quantity {

inline constexpr double radians_per_degree = std::numbers::pi / 180;

// An angle that knows which shaft or scale it is on. Radians inside; positive in the running direction for
// crank and cam, as numbered for the wheel. Kinds cannot be mixed: the conversions below say what is assumed.
template <typename Scale>
class AngleOn {
 public:
  static constexpr AngleOn from_radians(double radians) noexcept { return AngleOn(radians); }
  static constexpr AngleOn from_degrees(double degrees) noexcept {
    return AngleOn(degrees * radians_per_degree);
  }

  constexpr double radians() const noexcept { return radians_; }
  constexpr double degrees() const noexcept { return radians_ / radians_per_degree; }

  constexpr AngleOn& operator+=(AngleOn other) noexcept { return radians_ += other.radians_, *this; }
  constexpr AngleOn& operator-=(AngleOn other) noexcept { return radians_ -= other.radians_, *this; }

  friend constexpr AngleOn operator+(AngleOn a, AngleOn b) noexcept { return a += b; }
  friend constexpr AngleOn operator-(AngleOn a, AngleOn b) noexcept { return a -= b; }
  friend constexpr AngleOn operator-(AngleOn a) noexcept { return AngleOn(-a.radians_); }
  friend constexpr AngleOn operator*(AngleOn a, double factor) noexcept {
    return AngleOn(a.radians_ * factor);
  }
  friend constexpr AngleOn operator*(double factor, AngleOn a) noexcept { return a * factor; }
  friend constexpr AngleOn operator/(AngleOn a, double divisor) noexcept {
    return AngleOn(a.radians_ / divisor);
  }
  friend constexpr bool operator==(AngleOn a, AngleOn b) noexcept { return a.radians_ == b.radians_; }
  friend constexpr std::partial_ordering operator<=>(AngleOn a, AngleOn b) noexcept {
    return a.radians_ <=> b.radians_;
  }

 private:
  explicit constexpr AngleOn(double radians) noexcept : radians_(radians) {}
  double radians_;
};

struct CrankScale;
struct CamScale;
struct WheelScale;

using CrankAngle = AngleOn<CrankScale>;  // of the crankshaft, positive as it runs
using CamAngle = AngleOn<CamScale>;      // of a camshaft at half crank speed, positive as it runs
using WheelAngle = AngleOn<WheelScale>;  // as read off a degree wheel fixed to the crankshaft

// A four-stroke camshaft turns once for two turns of the crankshaft.
constexpr CrankAngle to_crank(CamAngle cam) noexcept {
  return CrankAngle::from_radians(2 * cam.radians());
}
constexpr CamAngle to_cam(CrankAngle crank) noexcept {
  return CamAngle::from_radians(crank.radians() / 2);
}

// How the degree wheel stands on the crankshaft.
struct WheelSetting {
  enum class Numbering {
    grows_forward,  // the reading at the pointer grows as the crank turns in its running direction
    falls_forward,
  };
  WheelAngle at_tdc;  // reading when the piston stands at the TDC from which crank angles count
  Numbering numbering;
};

// Crank angle past that TDC, not wrapped: a wheel shows one turn only, so the right turn is for the caller
// to choose (nearest_turn).
CrankAngle to_crank(WheelAngle wheel, const WheelSetting& setting);
WheelAngle to_wheel(CrankAngle crank, const WheelSetting& setting);

// Wrapping. An angle that rounding has left a hair short of the upper end is taken for the lower one.
// std::invalid_argument for an angle that is not finite.
CrankAngle wrap_360(CrankAngle angle);     // to [0, 360) degrees: one turn
CrankAngle wrap_720(CrankAngle angle);     // to [0, 720) degrees: one cycle
CrankAngle wrap_signed(CrankAngle angle);  // to (-180, 180] degrees
WheelAngle wrap_360(WheelAngle angle);     // to [0, 360) degrees, as a wheel is numbered

// The angle that differs from `angle` by whole turns (or whole cycles of two turns) and lies nearest to
// `reference`, within half a period; of two equally near the greater.
CrankAngle nearest_turn(CrankAngle angle, CrankAngle reference);
CrankAngle nearest_cycle(CrankAngle angle, CrankAngle reference);

}  // namespace fettle::quantity
