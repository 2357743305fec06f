#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "build/types.h"
#include "mechanism/lobe_card.h"
#include "mechanism/phasing.h"
#include "mechanism/slider_crank.h"
#include "stations/inventory.h"
#include "support/draws.h"
#include "support/engine_plan.h"

/// A shop that is not there: an invented engine (engine_plan.h; a V8 unless another is asked for), its
/// invented tools, and a builder who reads them with the errors those tools make. It knows the truth, so that
/// tests can ask whether the stated intervals hold it, and it makes the example build. Everything is drawn
/// from one seed; the same seed gives the same readings on every machine.
///
/// The errors (all drawn anew for each shop):
/// - wheel: once-a-turn error c cos w + s sin w, amplitude uniform up to its permissible error, phase
/// uniform;
///   parallax uniform within ± its figure at each reading; what is read is rounded to the resolution.
/// - indicator: one error for all lifts above the base circle, uniform within ± its permissible error; noise
/// normal
///   at each reading; a zero that wanders within ± its drift from sweep to sweep; rounded to the resolution.
/// - engine: the cam stands late by `cam_lateness` (of two cams the exhaust's by `exhaust_lateness`); each
/// lobe by a phase and a lift of its own; the drive has slack,
///   so that the cam lags farther when the crank turns backward.
namespace fettle::invented {

/// What is true of the engine, SI, crank radians; positive late.
struct Truth {
  double tdc_on_wheel = 0;      ///< wheel reading at cylinder 1's true TDC
  double cam_lateness = 0;      ///< against the card, with the timing set at 0
  double exhaust_lateness = 0;  ///< of the exhaust cam; the same where there is one cam
  double slack = 0;
  std::map<stations::LobeKey, double> lobe_lateness;
  std::map<stations::LobeKey, double> lobe_lift_factor;
};

/// The usual tools: no one error without a normal spread dominates a finding, since there a normal coverage
/// factor says too much (JCGM 101:2008, 9.2.4).
struct ShopOptions {
  double wheel_resolution_deg = 0.25;
  double wheel_permissible_deg = 0.15;
  double wheel_parallax_deg = 0.15;
  double dial_resolution_in = 0.0005;
  double dial_permissible_in = 0.0002;
  double dial_noise_in = 0.0002;
  double dial_drift_in = 0.0001;
  double cam_lateness_deg = 3.6;
  double exhaust_lateness_deg = -1.8;  ///< of the exhaust cam, where it is one of its own
  double lobe_scatter_deg = 0.35;      ///< lobes are placed evenly over ± this, in an order of their own
  double slack_deg = 3.0;
  double fitted_deg = 0;       ///< position of the timing set
  bool counts_forward = true;  ///< whether the wheel's numbers grow as the crank turns forward
  double asymmetry_deg = 0;    ///< by which the closing flank is longer at 0.050 in
};

class Shop {
 public:
  explicit Shop(std::uint64_t seed, const ShopOptions& options = {}, const EnginePlan& plan = pushrod_v8());

  const Truth& truth() const { return truth_; }
  const ShopOptions& options() const { return options_; }
  const EnginePlan& plan() const { return plan_; }
  const mechanism::SliderCrank& crank() const { return crank_; }
  const mechanism::CylinderPhases& phases() const { return phases_; }

  /// The build with everything but readings.
  build::Build parts() const;
  /// The build with the whole set of readings: stop from both sides in two passes, all lobes swept forward,
  /// one also backward.
  build::Build full_build();

  /// Contact with a stop, met `span` apart.
  build::Reading stop(build::Turning turning, double span_deg, int pass = 1, int cylinder = 1);
  /// Indicator drop either side of TDC.
  build::Reading drop(build::Side side, double drop_in, int cylinder = 1);
  build::Reading tdc_sweep(int cylinder = 1);
  build::Reading lobe_sweep(const stations::LobeKey& key, build::Turning turning = build::Turning::forward);
  /// Wheel at a lift on one flank (or at a drop from the top).
  build::Reading lobe_point(const stations::LobeKey& key, build::Side side, double lift_in,
                            bool below_max = false);
  build::Reading lobe_top(const stations::LobeKey& key);

  /// The next name of a reading.
  std::string next_id();
  /// What the indicator shows of a lift or drop, m.
  double dial_shows(double lift) { return shown_lift(lift, 0); }
  /// The wheel at a true crank angle after cylinder 1's TDC.
  build::WheelMark wheel_at(double crank_angle);
  /// A length as this engine's papers write it.
  build::Length typed(double metres, int decimals_in) const;

  /// True lift of a lobe, m, at a crank angle after cylinder 1's overlap TDC counted over two turns.
  double lift(const stations::LobeKey& key, double crank_angle) const;
  /// True crank angle, signed from the cylinder's overlap TDC, at which a flank passes a lift.
  double event(const stations::LobeKey& key, build::Side side, double lift) const;
  double top(const stations::LobeKey& key) const;
  double max_lift(const stations::LobeKey& key) const;

 private:
  const mechanism::SynthesisedLobe& shape(build::Valve valve) const;
  build::LobeCard card_of(build::Valve valve) const;
  build::TimingSet timing_set() const;
  double centre(const stations::LobeKey& key) const;
  double uniform(double half_width) { return draws_.uniform(half_width); }
  double normal(double u) { return draws_.normal(u); }
  double wheel_error(double wheel) const;
  double read_wheel(double true_wheel);
  double wheel_of(double crank_angle) const;
  std::string degrees(double radians) const;
  std::string length_text(double metres, int decimals_in = 4) const;
  build::Measure length_figure(double value_in) const;
  build::SweepPoint point(double wheel, double height) const;
  double shown_lift(double lift, double zero);

  ShopOptions options_;
  EnginePlan plan_;
  mechanism::SliderCrank crank_;
  mechanism::CylinderPhases phases_;
  mechanism::SynthesisedLobe intake_, exhaust_;
  Draws draws_;
  Truth truth_;
  double error_cosine_ = 0, error_sine_ = 0;  ///< of the wheel, rad
  double dial_error_ = 0;                     ///< m
  std::map<std::string, std::size_t> counters_;
};

inline constexpr double degree = 0.017453292519943295;
inline constexpr double inch = 0.0254;

}  // namespace fettle::invented
