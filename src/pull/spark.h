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

  /// How that charge burns by the model asked for: sets the setup's burn.
  void set_burn(gasflow::CylinderSetup& setup, const Charge& charge, double advance) const;

  struct Outcome {
    double work = 0.0;  ///< from intake closing to exhaust opening, J
    double knock_integral = 0.0;
  };
  Outcome run(const Charge& charge, double advance) const;

  /// Spark of most work; rad before firing TDC, within -20 to 60 degrees.
  double best_advance(const Charge& charge) const;
  /// Least spark at which the knock integral reaches one: the search goes up from a little before `from`, or
  /// down where it knocks there already. most_advance where it does not up to `to`. (Far too early sparks can
  /// have a smaller integral again, as the burn is over sooner.)
  double knock_advance(const Charge& charge, double from = 0.0, double to = most_advance) const;

  static constexpr double least_advance = -0.3490658503988659;
  static constexpr double most_advance = 1.0471975511965976;

 private:
  gasflow::BurnState unfired(const Charge& charge, double after_tdc) const;

  const EnginePlan* plan_;
  BurnModel burn_model_;
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
