#pragma once

#include "gasflow/burn_duration.h"
#include "gasflow/cylinder.h"
#include "pull/plan.h"

namespace fettle::pull {

/// A charge at intake closing.
struct Charge {
  gasflow::GasState gas;
  double mass = 0.0;  ///< kg
};

/// The shut part of the cycle of one cylinder by itself: what the spark does to a charge.
class ClosedCycle {
 public:
  /// `speed` of the crank, rad/s.
  ClosedCycle(const EnginePlan& plan, const ModelOptions& model, const CylinderPlan& cylinder, double speed);

  /// The charge that a cycle trapped.
  Charge charge(const gasflow::CycleRecord& record) const;
  /// Gas of that state at intake closing.
  Charge charge_at(const gasflow::GasState& gas) const;
  /// Burn of that charge when the spark comes `advance` before firing TDC, rad.
  gasflow::CylinderSetup::Burn burn(const Charge& charge, double advance) const;

  struct Outcome {
    double work = 0.0;  ///< from intake closing to exhaust opening, J
    double knock_integral = 0.0;
  };
  Outcome run(const Charge& charge, double advance) const;

  /// Spark of most work; rad before firing TDC, within -10 to 60 degrees.
  double best_advance(const Charge& charge) const;
  /// Spark at which the knock integral reaches one; the end of the range where it does not within it.
  double knock_advance(const Charge& charge) const;

  static constexpr double least_advance = -0.1745329251994330;
  static constexpr double most_advance = 1.0471975511965976;

 private:
  gasflow::BurnState unfired(const Charge& charge, double after_tdc) const;

  const EnginePlan* plan_;
  gasflow::GasPair gas_;
  gasflow::CylinderSetup setup_;
  mechanism::SliderCrank crank_;
  double area_;       ///< of the bore, m2
  double clearance_;  ///< m3
  double speed_;
};

/// Spark that the builder gave, at a speed: linear between his points, and the first or last beyond them.
double given_advance(const EnginePlan& plan, double speed);

}  // namespace fettle::pull
