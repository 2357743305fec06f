#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fettle::mechanism {

/// One reading of a spring tester.
struct SpringReading {
  double height = 0.0;  ///< m; > 0
  double load = 0.0;    ///< N; > 0
};

/// Two neighbouring heights between which the load falls although the spring was compressed: a reading
/// mistyped, a tester that stuck, or coils that jumped. Repeats at one height are averaged.
struct LoadFall {
  double taller = 0.0;   ///< m
  double shorter = 0.0;  ///< m
  double fall = 0.0;     ///< N; > 0
};

/// All places where the load falls, from the tallest down. Whether a fall exceeds the tester's doubt is for
/// the caller to say.
std::vector<LoadFall> load_falls(std::span<const SpringReading> readings);

enum class SpringShape {
  line,  ///< constant rate; two heights or more
  curve  ///< rate linear in height, as of beehive and conical springs; three heights or more
};

/// Why no characteristic follows from the readings, in words fit for a builder, one line each: numbers that
/// are not positive, too few different heights, or a fitted rate that is not positive somewhere between them.
std::vector<std::string> spring_problems(std::span<const SpringReading> readings, SpringShape shape);

/// Load over height of one spring, by least squares with equal weights through its readings.
///
/// Outside the heights that were read the curve goes on straight with the rate of its end (continuous with
/// its first derivative): `measured` tells. Above the free height the load is zero. What the readings cannot
/// show, coils that go solid below the shortest height, is not in it: hold the bind margin separately.
class SpringCharacteristic {
 public:
  /// Throws std::invalid_argument with spring_problems()'s words.
  SpringCharacteristic(std::span<const SpringReading> readings, SpringShape shape);
  /// The same, nothing where there are problems.
  static std::optional<SpringCharacteristic> of(std::span<const SpringReading> readings, SpringShape shape);
  /// From a sheet: a load at a height and a rate, N/m, all > 0, else throws std::invalid_argument. Counts as
  /// measured at that height only.
  static SpringCharacteristic from_rate(double height, double load, double rate);

  double load(double height) const;          ///< N, zero above the free height
  double rate(double height) const;          ///< −dF/dh, N/m; > 0, of the curve even above the free height
  double free_height() const;                ///< where the curve reaches zero, m; most often extrapolated
  double height_at_load(double load) const;  ///< m; throws std::invalid_argument unless load >= 0
  bool measured(double height) const { return height >= shortest_ && height <= tallest_; }
  double shortest() const { return shortest_; }                        ///< least height read, m
  double tallest() const { return tallest_; }                          ///< greatest, m
  const std::vector<double>& residuals() const { return residuals_; }  ///< reading less curve, N

 private:
  SpringCharacteristic() = default;
  double unclipped(double height) const;

  double centre_ = 0.0;    // height about which the polynomial is written, m
  double constant_ = 0.0;  // load there, N
  double slope_ = 0.0;     // rate there, N/m
  double bend_ = 0.0;      // half the growth of rate with compression, N/m²
  double shortest_ = 0.0;
  double tallest_ = 0.0;
  std::vector<double> residuals_;
};

/// A spring of a nested set.
struct NestedSpring {
  SpringCharacteristic spring;
  double step = 0.0;  ///< by how much this spring's height is less than the set's, m; either sign
  std::optional<double> solid_height;  ///< of this spring, m; > 0
};

/// Springs under one retainer, the load of all of them; the damper (a flat coil rubbing inside) adds a band
/// of friction: compressing the load is greater by damper_friction + damper_fraction F, relaxing less by it.
struct SpringSet {
  std::vector<NestedSpring> springs;  ///< at least one
  double damper_friction = 0.0;       ///< N; >= 0
  double damper_fraction = 0.0;       ///< of the load; [0, 1)

  double load(double height) const;              ///< without friction, N
  double rate(double height) const;              ///< N/m
  double load_compressing(double height) const;  ///< N, as the valve opens
  double load_relaxing(double height) const;     ///< N, as it closes; never below zero
  bool measured(double height) const;            ///< of every spring
  std::optional<double> solid_height() const;    ///< where the first spring binds, m; empty if none is known
  /// Height at which the set carries `load`, m; nothing for load <= 0.
  std::optional<double> height_at_load(double load) const;
};

/// A set in place: heights at the valve, closed.
struct SpringPlace {
  double installed_height = 0.0;           ///< retainer to spring seat without shims, m; > 0
  double net_lift = 0.0;                   ///< valve's greatest lift, lash taken off, m; >= 0
  double shims = 0.0;                      ///< thickness under the set, m; >= 0
  std::optional<double> retainer_to_seal;  ///< gap at closed valve, m; shims do not change it
};

struct InstalledSpring {
  double seat_height = 0.0;               ///< m
  double open_height = 0.0;               ///< m
  double seat_load = 0.0;                 ///< N, without friction
  double open_load = 0.0;                 ///< N
  double seat_rate = 0.0;                 ///< N/m
  double open_rate = 0.0;                 ///< N/m
  bool measured = false;                  ///< both heights lie where there are readings
  std::optional<double> bind_margin;      ///< open height less solid height, m; negative: it would bind
  std::optional<double> retainer_margin;  ///< gap left to the seal at full lift, m; negative: it strikes
};

/// Why a set cannot stand so (heights not positive, no springs, friction out of range); nothing if it can.
std::optional<std::string> spring_place_problem(const SpringSet& set, const SpringPlace& place);

/// Loads and margins in place. A shim t raises the seat load by rate × t and takes t off the bind margin.
/// Throws std::invalid_argument with spring_place_problem()'s words.
InstalledSpring install(const SpringSet& set, const SpringPlace& place);

/// Thickness of shims that gives the seat load, m: negative where even without shims the load is above it;
/// nothing unless seat_load > 0.
std::optional<double> shims_for_seat_load(const SpringSet& set, double installed_height, double seat_load);

}  // namespace fettle::mechanism
